"""One surface for everything that uses the program: command line, pages, notebooks.

The data's path: `project` holds a design that was read, begun or changed, and where its file lies; each stage of the
job is one module here with the result that it gives (`flight`, `firing`, `proof`, `tune`, `scatter`, `make`, `study`),
all of them a `result.Result`: frozen, with its verdict, its cures, its numbers in SI, its words, its pictures and its
files. Nothing is printed, and nothing is written before `save` is called. `watch` carries progress and stop.

Every import of a package below stands inside a function, so that a command's help and a notebook's first line come at
once.
"""
