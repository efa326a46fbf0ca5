"""The job in a browser: pages made here, shown there; nothing leaves this computer.

The data's path: `serve` finds a port, tells its one address and runs `app`, which is routes only. `job` holds the
design file that is worked on: its project, undo and redo, and what somebody else changes in it. `board` gives each
revision to every open window, each page rendered once. `work` runs what takes long, with progress and a stop. `shelf`
judges every design of the folder once for what its file holds.
`views` turn results into what a template shows; no physics here, and no words about danger but the verdict's own.
"""
