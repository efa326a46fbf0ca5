"""Where the rocket comes down, which wind allows a launch, and how far people stand.

The path of the data; each module hands its result to the next:

    site             [site] of the design and its map     →  the field in metres about the launch point
    landings         the design with every ±, wind, luck  →  a batch of flights, and what goes wrong on each
    trials           the batch, flown                     →  where and how each flight came down
    exposure         landings on the field                →  chance of leaving it and of each keep-out (chance)
    wind_limit       a few of the flights in other winds  →  strongest wind by direction; go, wait or no by hour
    launch_point     the landings moved, other tilts      →  what would keep them further from harm
    distance         landings                             →  how far people stand (people: the published distance)
    outlines         landings                             →  ground that holds 50, 90 and 95 % of them
    findings         all of it                            →  what it asks of the builder
    scatter runs these in that order; results, chapters, pictures and files write down what it found.
"""
