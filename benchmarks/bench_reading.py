"""A recipe of two hundred steps read and validated, every slip in it found, with line and caret."""

from __future__ import annotations

from itertools import count

from benchmarks.recipes import slipped_recipe
from benchmarks.timing import Row, least_of, ms
from onfold.body.measures import MEASURES
from onfold.recipe.file import read_recipe
from onfold.steps import VERBS

BAR = 0.030
STEPS = 200


def rows() -> list[Row]:
    """Return the row; its bar is missed too where a slip isn't found or a problem has no caret."""
    text, wrong = slipped_recipe(STEPS)
    _, problems = read_recipe(text, "two-hundred.yaml", VERBS, MEASURES)
    lines = {each.where.line for each in problems}
    pointed = all(each.where.line and each.where.column and "^" in each.excerpt for each in problems)
    seeds = count(1)
    # written beforehand: no formula is read twice, so nothing is remembered from another run
    texts = iter([slipped_recipe(STEPS, next(seeds))[0] for _ in range(20)])
    taken = least_of(lambda: read_recipe(next(texts), "two-hundred.yaml", VERBS, MEASURES), 20)
    what = f"{STEPS} steps read, {len(lines)} of {wrong} slips found" + ("" if pointed else ", some without a caret")
    return [Row(what, ms(BAR), ms(taken), taken <= BAR and len(lines) == wrong and pointed)]
