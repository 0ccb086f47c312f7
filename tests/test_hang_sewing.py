"""From pattern to cloth: straps, a facing turned in and laid on what it faces, pieces put on, what hangs on."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("numba")

from onfold.hang.again import from_last
from onfold.hang.hanging import size_for
from onfold.hang.levels import TELLS_BEST, level_heights, put_on
from onfold.hang.mechanics import mechanics_of
from onfold.hang.net import areas
from onfold.hang.parts import parts_of
from onfold.hang.sewn import sew
from onfold.hang.sewn_net import Sewn
from onfold.hang.start import Start, start_on
from onfold.hang.strips import strap_of
from onfold.hang.tacking import LEFT, laminated, turned_in
from onfold.pattern import Pattern
from onfold.project import open_text
from onfold.project_hang import Stand, stand_for

SHEATH = Path(__file__).resolve().parent.parent / "examples" / "alto-1-sheath.yaml"


@lru_cache
def stand(figure: str = "") -> Stand:
    """The sheath's stand; `figure` is a figure note of its wearer."""
    text = SHEATH.read_text("utf-8")
    if figure:
        text = text.replace("fittings: []", f"fittings:\n  - on: 2026-10-19\n    figure: {{{figure}}}")
    found = stand_for(open_text(text, SHEATH))
    assert isinstance(found, Stand)
    return found


def pattern_of(figure: str = "") -> Pattern:
    draft = stand(figure).garment.draft
    assert draft is not None
    return draft.pattern


def sewn_of(pattern: Pattern) -> Sewn:
    parts = parts_of(pattern)
    found = sew(pattern, parts, mechanics_of(stand().ticket.cloth), size_for(parts, pattern, 2000))
    assert isinstance(found, Sewn)
    return found


def strap_lengths(sewn: Sewn) -> list[float]:
    """How long the left and the right strap are as they are cut, mm, from the corners of their own triangles."""
    strap = sewn.layer == 2
    return [float(np.ptp(sewn.corner[strap & (sewn.copy == copy)][:, :, 1])) for copy in (1, -1)]


@pytest.mark.parametrize(("side", "which"), [("left", 0), ("right", 1)])
def test_the_strap_of_a_low_shoulder_is_sewn_shorter_by_what_the_pattern_says(side: str, which: int) -> None:
    even, low = pattern_of(), pattern_of(f"{side} shoulder: 1 cm low")
    name = next(each.name for each in even.pieces if each.name.startswith("strap"))
    shorter = low.facts[f"{side} {name} shorter"].value
    assert shorter > 0.0
    whole = even.facts["strap way"].value
    assert strap_lengths(sewn_of(even)) == pytest.approx([whole, whole], abs=1e-6)  # [A]
    lengths = strap_lengths(sewn_of(low))
    assert lengths[which] == pytest.approx(low.facts["strap way"].value - shorter, abs=1e-6)  # [A]
    assert lengths[1 - which] == pytest.approx(low.facts["strap way"].value, abs=1e-6)


@pytest.mark.parametrize("lacking", ["strap width", "strap way", "marks"])
def test_a_strap_that_says_too_little_is_left_out_with_the_reason(lacking: str) -> None:
    pattern = pattern_of()
    if lacking == "marks":
        bare = tuple(replace(each, marks=()) for each in pattern.pieces)
        pattern = replace(pattern, pieces=bare)
    else:
        pattern = replace(pattern, facts={k: v for k, v in pattern.facts.items() if k != lacking})
    strap, left_out = strap_of(pattern, parts_of(pattern))
    assert strap is None
    ((what, why),) = left_out
    assert what.startswith("strap")
    assert ("marked" if lacking == "marks" else "width and length") in why
    sewn = sewn_of(pattern)
    assert not sewn.straps
    assert left_out[0] in sewn.left_out


def test_of_two_pairs_of_straps_the_second_is_left_out() -> None:
    pattern = pattern_of()
    first = next(each for each in pattern.pieces if each.name.startswith("strap"))
    second = replace(first, name="strap at the waist")
    strap, left_out = strap_of(replace(pattern, pieces=(*pattern.pieces, second)), parts_of(pattern))
    assert strap is not None
    assert left_out == (("strap at the waist", "is a second pair of straps"),)


@pytest.mark.parametrize("turn", [0.0, 0.4, np.pi / 2.0, 2.2])
def test_a_facing_is_turned_in_at_its_fold_however_the_fold_lies(turn: float) -> None:
    sewn = sewn_of(pattern_of())
    round_ = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    leaning = replace(sewn, corner=sewn.corner @ round_)
    k = int(sewn.of_piece[sewn.layer == 1][0])
    mine, faces = ((sewn.of_piece == k) & (sewn.layer == layer) for layer in (0, 1))
    own = np.unique(sewn.net.tri[mine])
    facing, laid = turned_in(sewn, mine, faces, own)
    again, leant = turned_in(leaning, mine, faces, own)
    assert len(facing) > 20
    assert (facing == again).all()
    assert leant[facing] == pytest.approx(laid[facing] @ round_, abs=1e-6)  # [A] the fold leans, and all with it
    # [A] the facing was drawn as the mirror image of what it covers: turned, its sides lie on the piece's own armhole
    spots = sewn.corner[mine].reshape(-1, 2)
    assert laid[facing][:, 0].max() <= spots[:, 0].max() + 1.0
    assert laid[facing][:, 1].max() <= spots[:, 1].max() + 1.0


def test_what_a_facing_weighs_is_laid_on_the_cloth_it_faces() -> None:
    sewn = sewn_of(pattern_of())
    laid = laminated(sewn)
    assert laid.net.mass.sum() == pytest.approx(sewn.net.mass.sum(), rel=1e-12)  # [A] nothing weighs more or less
    facing, size = sewn.layer == 1, areas(sewn.net.flat)
    faced = laid.net.across > 1.5 * sewn.net.across
    assert not (faced & (sewn.layer != 0)).any()
    assert size[faced].sum() == pytest.approx(size[facing].sum(), rel=0.05)  # [A] it covers its own mirror image
    assert laid.net.bend_along[faced] == pytest.approx((2.0 - LEFT) * sewn.net.bend_along[faced])  # [A] two layers
    assert laid.net.bend_along[facing] == pytest.approx(LEFT * sewn.net.bend_along[facing])
    assert laid.net.weight is not None and sewn.net.weight is not None
    assert laid.net.weight[faced] == pytest.approx(2.0 * sewn.net.weight[faced], rel=0.05)
    untouched = ~(faced | facing)
    assert (laid.net.weight[untouched] == sewn.net.weight[untouched]).all()


@pytest.mark.parametrize(("length", "small"), [("60 cm", True), ("100 cm", False)])
def test_only_after_a_small_change_a_garment_hangs_on(length: str, small: bool) -> None:
    def sewn_at(long: str) -> tuple[Sewn, np.ndarray]:
        on = stand_for(open_text(f"{SHEATH.read_text('utf-8').rstrip()}\nchoices: {{length: {long}}}\n", SHEATH))
        assert isinstance(on, Stand)
        assert on.garment.draft is not None
        sewn = sewn_of(on.garment.draft.pattern)
        start = start_on(sewn, on.garment.draft.pattern, on.form, on.distance)
        assert isinstance(start, Start)
        return sewn, start.x

    last, x = sewn_at("58 cm")
    again, _ = sewn_at(length)
    begun = from_last(again, last, x)
    assert (begun is not None) == small


def test_a_piece_is_put_on_by_the_first_of_its_levels_that_the_body_has() -> None:
    form, front = stand().form, pattern_of().piece("front")
    assert front is not None
    marked = level_heights(front)
    assert put_on(front, form) == (form.levels["waist"], marked["waist"])
    for n in range(1, len(TELLS_BEST) + 1):
        front = replace(front, inner=tuple(each for each in front.inner if each.name != TELLS_BEST[n - 1]))
        left = [each for each in TELLS_BEST[n:] if each in marked]
        assert put_on(front, form) == ((form.levels[left[0]], marked[left[0]]) if left else None)
    assert put_on(None, form) is None


@pytest.mark.parametrize("straps", ["crossed", "straight"])
def test_straps_are_laid_on_the_shoulders_not_beside_them(straps: str) -> None:
    text = f"{SHEATH.read_text('utf-8').rstrip()}\nchoices: {{straps: {straps}}}\n"
    on = stand_for(open_text(text, SHEATH))
    assert isinstance(on, Stand)
    assert on.garment.draft is not None
    pattern = on.garment.draft.pattern
    sewn = sewn_of(pattern)
    start = start_on(sewn, pattern, on.form, on.distance)
    assert isinstance(start, Start)
    for side, grid in zip(("left", "right"), sewn.straps, strict=True):
        path = start.x[grid[:, 1]]
        top = path[path[:, 1].argmax()]
        assert abs(top[0]) < abs(on.form.places[f"{side} shoulder point"][0]) - 20.0
        assert top[1] > on.form.places[f"{side} shoulder point"][1]
