"""What a day with children needs: a pure count.

The path of the data: `figures` gathers a design's own numbers, each from its owner; `asked` has what somebody plans
and what a row is; `things`, `hours`, `money` and `ground` make the rows; `count` puts them together, says what does
not fit and what was not counted. What nobody owns is our judgement, with its ±, in `data/need.toml`. No row says that
something will do.
"""
