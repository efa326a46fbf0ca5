"""What happened, kept in files that a person can read in ten years, and the rules of the day in the field.

The path of the data; nothing here but `people` and `phone_journal` looks at a clock, whoever calls says the time:

    records, files     a bottle's or a launch's file       →  its record, or what is wrong with which line
    journal, raw       an entry, a logger's file           →  on the disk before it is acknowledged
    book               two folders                         →  one, nothing lost, and what they say differently
    vessels, history   a bottle's file, a design           →  what counts of the bottle
    export, words      the book                            →  tables, one document, lines
    forgetting         a folder of designs                 →  without a name (forgetting_records: in the files above)
    day_table, roles   data/day.toml                       →  states, steps, who confirms what; who writes what by phone
    day_plan, day_sums designs with their verdicts         →  the rockets and people of a day, and its sums
    gates, day         the journal's entries (day_state)   →  where each rocket stands, what stands against a step
    day_book           an entry of a day                   →  decided, written, carried into the bottles' files
    people             who asks to be let in               →  who is known, and whose pass it is
    entries            what a phone sends                  →  checked; phone_journal keeps it, and it is no event
    angles, timing, wind_by_hand, air_pressure (gum)       →  what was measured, with its ±; sighting: by one angle
    scoring, placing   flights, rules of a contest         →  who is first, and what can't be told apart; contest: turns
    paper, day_needs   the day's table, designs            →  steps for paper, what a day takes; cards: as PDF
"""
