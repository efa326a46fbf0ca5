"""From a design to things in the hand: patterns, launcher drawings, plan, sheets, solids and the printed pack.

The path of the data, all of it in `build.build`:

1. `inputs` gathers what comes from elsewhere: findings and numbers of proof and flight, prices, the school's matrix.
2. `specification` works out once what the workshop needs of the design: measures, features, counts, units.
3. `template_values` turns it into the texts that the printed words name in braces; the words lie in `data/`.
4. `plan` picks the steps that fit the features, adds the glue, and lays them into the opening hours.
5. `parts` lists what to get, with mass, price and stock.
6. `patterns` and `launcher` draw in millimetres (`drawing`), for paper, cutter and screen alike.
7. `solids` makes what a 3D printer can print; `findings` says what will not fit.
8. `sheets` fills the risk sheet, the checklist and the cards.
9. `pack` puts it all on pages; `build` returns every file by name, and `chapters` makes the study's chapter of it.
"""
