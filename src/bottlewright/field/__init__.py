"""Where the rocket comes down, which wind is too much, and where people stand.

The path of the data; each module hands its result to the next:

    site             [site] of the design and its map     →  the field in metres about the launch point
    landings         the design with every ±, wind, luck  →  a batch of flights, and what goes wrong on each
    trials           the batch, flown                     →  where and how each flight came down
    ground           landings, rare returns (strata)      →  chances (exposure), distances (distance, tail), people
    wind_limit       a few of the flights in other winds  →  strongest wind by direction; what stands against an hour
    launch_point     the landings moved, other tilts      →  what would keep them further from harm
    outlines         landings                             →  ground that holds 50, 90 and 95 % of them
    findings         all of it                            →  what it asks of the builder (people_findings)
    scatter runs these in that order; results, chapters, pictures and files write down what it found, and numbers keeps
    what people act on for the other commands.
"""
