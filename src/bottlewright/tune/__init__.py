"""Which water, which pressure, which bore: what to load and what to change, and why.

The path of the data; each module hands its result to the next:

    pressure_limit         the allowed pressure             →  the highest pressure that any trial may have
    aims, variables        [tune] of the design             →  what is aimed at, what may be changed
    trials                 the same sample under each load  →  worth of the load, how far inside each limit
    search                 trials                           →  the best load
    mapping                trials over water and pressure   →  the map, and the best height at each pressure
    spread_contributions   many flights of the best load    →  which uncertain value makes the spread (sensitivity)
    advice runs these in that order; summary_text, results, chapters and pictures write down what it found.
"""
