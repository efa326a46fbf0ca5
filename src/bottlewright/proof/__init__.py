"""How hard the bottle may be pumped, what shows it, what the launcher bears, and where people stand.

The path of the data; each module hands its result to the next:

    vessel           the design                           →  the bottle, its stresses and its own proof tests
    bursts           published bursts of its kind         →  burst pressure before any test of its own
    burst_posterior  that, and its own tests              →  burst pressure after them
    rating           that, and the published rules        →  rated pressure, what sets it, what would raise it
    testplan         the rated bottle                     →  the next proof test and its energy (energy, distances)
    launcher         release, stand_stability, parts      →  forces, weakest part, holes to drill
    pumping_report   pump                                 →  strokes, force on the handle, warmth, back-flow
    distances        rules                                →  where each person stands, which rules are met
    *_findings       all of it                            →  what it asks of the builder
    prove runs these in that order; summary_text, chapters, pictures and sheet write down what it found.
"""
