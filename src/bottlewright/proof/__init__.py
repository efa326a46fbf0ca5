"""How hard the bottle may be pumped, what shows it, what the launcher bears, and where people stand.

The path of the data; each module hands its result to the next:

    vessel           the design                           →  the bottle and its stresses
    bursts           published bursts, losses             →  burst pressure before any test of its own
    expiry           a test, what happened since          →  whether a launch may still rest on it
    evidence         its own tests, what happened since   →  what each shows today, and what contradicts it
    burst_posterior  those two                            →  burst pressure after the tests
    condition        the design                           →  what ends the vessel for good
    rating           those, and pressure_rules            →  what it has shown, what sets that, what would raise it
    allowed          that, gauge_error, parts, place      →  the highest reading of the gauge, or what a test would give
    testplan         the next test                        →  its steps and its energy (energy, distances)
    launcher         release, stand_stability, parts      →  forces, weakest part, holes to drill
    pumping_report   pump                                 →  strokes, force on the handle, warmth, back-flow
    distances        rules                                →  where each person stands, which rules are met
    *_findings       all of it                            →  what it asks of the builder
    prove runs these in that order; summary_text, chapters, pictures and sheet write down what it found.
"""
