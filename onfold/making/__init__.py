"""Making up: what is done to the cut cloth, in which order and why, with which stitch, thread, needle and care.

A reader of the pattern and the cloth. `operation` holds the nouns, `order` finds the order; nothing here prints.

What machine, iron and hand need of a cloth: `traits` says what kind of cloth it is; `stitches`, `thread`, `machine` set
the rows; `iron`, `handling`, `pressing` say how it is worked; `trials`, `readings` what a scrap tells first; `tubes`,
`stays`, `fastenings`, `notions` what is had and held; `rows` what is sewn in all; `minutes` how long it takes.
"""
