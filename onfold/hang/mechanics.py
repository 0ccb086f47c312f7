"""What a cloth is to the hang: how heavy it is and how it resists being stretched, sheared and bent, in SI units.

What the maker measured is taken as measured; what is not known is guessed from kind, weight, thickness and surface,
and named in `Mechanics.estimates`. The guesses are rough bands from memory [M] and changeable: `limp_and_stiff` gives
the two ends of what such a cloth may be.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from onfold.cloth import PILE_BULK, USUAL, Cloth, ClothKind

GRAVITY = 9.80665  # m/s2, standard gravity, by definition [A]

# Bending length, mm, of a cloth of this weight, g/m2: it grows with the root of the weight [M]. The woven line passes
# the bands of T166 (voile of 70 g/m2 12 to 16, poplin of 120 20 to 25, denim of 400 30 to 40, coating of 450 25 to 40)
# within the spread below; crepe, limp by the twist of its yarns, lies under it. The knit line is 8 to 14 mm for
# 150 to 260 g/m2.
BENDING_AT: dict[ClothKind, tuple[float, float]] = {"woven": (20.0, 150.0), "knit": (11.0, 200.0)}
# Pile weighs and does not stiffen: a ground of 0.7 of the weight bends, and (G / W)^(1/3) is 0.7^(1/2 + 1/3) [M].
PILE_GROUND = 0.7
SLIPPERY_BENDS = 0.85  # filament yarns, little twist: limper than spun ones of the weight [M]
COATED_BENDS = 1.3  # fibres held together by the coating [M]
LOFT = 1.0 / 3.0  # the power with which a cloth thicker or thinner than usual for its weight is stiffer or limper [M]
LEAST_LOFT, MOST_LOFT = 0.5, 2.0  # beyond twice as thick as usual it is air, not cloth [C]
LEAST_BENDING, MOST_BENDING = 2.0, 120.0  # mm, as the ticket takes it

# How far a bending length may be from its guess: the rigidity of dress cloths spreads by a factor of 40 (T167 [C]), and
# the cantilever ranks more than it measures (T164 [S]). A factor of 1.33 is 2.4 on the rigidity [C].
BENDING_SPREAD = 1.33
BENDING_SPREAD_UNWEIGHED = 1.45  # the weight is guessed as well, itself to a factor of 1.6 [M]
BENDING_SPREAD_MEASURED = 1.10  # of the test by hand [C]

# Tension per width, N/m, of a cloth held "at its comfortable most": a pull of 5 N between the fingertips on a fold of
# about 5 cm [C]. Changeable: it scales all that is known of a knit's stretch.
HAND_TENSION = 100.0
# A cloth is no stiffer than this at the weight of 180 g/m2, N/m, between the two ends, growing with the root of the
# weight [M]; a woven without stretch is as stiff.
FULL_STIFFNESS, LEAST_FULL, MOST_FULL = 4_000.0, 2_000.0, 6_000.0
FULL_AT = 180.0
KNIT_STRETCH = {"across": 0.4, "along": 0.2}  # of a knit whose stretch is not given [M]
# A knit gives before its yarns are drawn straight: at first it is this share as stiff as on the whole way to its full
# pull, and stiffens with the square of the strain [M].
KNIT_FIRST = 0.25
# The least a solver should be given: 20 N/m, and no cloth stretches by more than a quarter under 1.5 m of itself [C].
LEAST_STIFFNESS = 20.0
LEAST_STRETCH = 0.05  # below it a test by hand tells no law of stiffening [C]
OWN_LENGTH, OWN_STRETCH = 1.5, 0.25

WOVEN_SHEAR, LEAST_SHEAR, MOST_SHEAR = 45.0, 30.0, 60.0  # N/m at 180 g/m2, growing with the root of the weight [M]
COATED_SHEARS = 10.0  # a coating locks the crossings of the threads [M]
# A cloth alike all ways has E / (2 (1 + v)), 0.25 to 0.5 of E for v from 1 to 0; of a knit, and at most, taken of the
# softer of its two ways [M].
SHEAR_SHARE = 0.3

STRETCH_SPREAD = {"woven": 1.5, "knit": 2.0}  # of a stiffness that is guessed [M]
SHEAR_SPREAD = 1.5  # no ticket states it, so it is always guessed [M]

FRICTION, SLIPPERY_FRICTION, PILE_FRICTION = 0.3, 0.15, 0.45  # of the cloth on a calico form [C]
CLOTH_FRICTION = 0.25  # of cloth on cloth [C]


@dataclass(frozen=True)
class Mechanics:
    """What the solver needs of a cloth, in SI units.

    `mass` kg/m2. `along`, `across`, `shear` N/m: tension per width per unit of strain (of engineering shear) at small
    strains e; at larger ones the tension is e along (1 + stiffening e2). `bending_along`, `bending_across` N m:
    rigidity per width of strips cut along and across. `thickness` m. `friction` on the form and `cloth_friction`
    cloth on cloth, without unit. `estimates` names what the maker did not state, of `weight`, `thickness`, `stretch`,
    `shear`, `bending`.
    """

    mass: float
    along: float
    across: float
    shear: float
    stiffening_along: float
    stiffening_across: float
    bending_along: float
    bending_across: float
    thickness: float
    friction: float
    cloth_friction: float
    estimates: tuple[str, ...]


def mechanics_of(cloth: Cloth) -> Mechanics:
    """Return the best guess at a cloth's mechanics: what is measured as measured, the rest as is usual.

    Stretch: so that `HAND_TENSION` gives the stretch of the maker's test, never stiffer than a cloth without stretch
    nor softer than the least; a knit starts at `KNIT_FIRST` of that.
    Bending: weight x bending length^3 x gravity, Peirce's rigidity (T163 [A]).
    """
    mass = cloth.weight / 1000.0
    (along, stiffening_along), (across, stiffening_across) = _stiffness(cloth, "along"), _stiffness(cloth, "across")
    bending_along, bending_across = bending_lengths(cloth)
    return Mechanics(
        mass=mass,
        along=along,
        across=across,
        shear=_shear(cloth, min(along, across)),
        stiffening_along=stiffening_along,
        stiffening_across=stiffening_across,
        bending_along=rigidity(cloth.weight, bending_along),
        bending_across=rigidity(cloth.weight, bending_across),
        thickness=cloth.thickness / 1000.0,
        friction=_friction(cloth),
        cloth_friction=CLOTH_FRICTION,
        estimates=_estimates(cloth),
    )


def limp_and_stiff(cloth: Cloth) -> tuple[Mechanics, Mechanics]:
    """Return the soft and the stiff end of what a cloth may be: only what was guessed differs, and bending always.

    A bending length that is measured still has the spread of its test. Weight and thickness stay the best guess at
    both ends: how a cloth hangs depends on its stiffness against its weight, so the spread stands in the stiffness.
    """
    best = mechanics_of(cloth)
    bend = _bending_spread(cloth, cloth.bending_along) ** 3, _bending_spread(cloth, cloth.bending_across) ** 3
    stretch = STRETCH_SPREAD[cloth.kind] if "stretch" in best.estimates else 1.0
    limp = _stiffened(best, 1.0 / stretch, 1.0 / SHEAR_SPREAD, (1.0 / bend[0], 1.0 / bend[1]))
    least = _least_stiffness(best.mass)
    limp = replace(limp, along=max(least, limp.along), across=max(least, limp.across))
    return limp, _stiffened(best, stretch, SHEAR_SPREAD, bend)


def rigidity(weight: float, bending_length: float) -> float:
    """Return the bending rigidity per width, N m, from g/m2 and mm: weight x length^3 x gravity (T163 [A])."""
    return weight / 1000.0 * (bending_length / 1000.0) ** 3 * GRAVITY


def bending_length(weight: float, bending: float) -> float:
    """Return the bending length, mm, of a cloth of `weight` g/m2 and this rigidity, N m: `rigidity` backwards [A]."""
    return float((bending / (weight / 1000.0 * GRAVITY)) ** (1.0 / 3.0)) * 1000.0


def bending_lengths(cloth: Cloth) -> tuple[float, float]:
    """Return the bending lengths along and across, mm: found from a hung garment, else measured, else guessed.

    What a hung garment showed comes before the strips of the same cloth, and keeps the ratio of the two ways. A way
    that is not measured is taken as the other one.
    """
    along, across = _as_measured(cloth)
    found = cloth.hung.bending_length if cloth.hung is not None else None
    return (along, across) if found is None else _scaled(along, across, found)


def guess_bending_length(cloth: Cloth) -> float:
    """Return the likely bending length of a cloth nobody has bent, mm, both ways alike [M] (T166)."""
    length, weight = BENDING_AT[cloth.kind]
    guess = float(length * (cloth.weight / weight) ** 0.5)
    if "pile" in cloth.surface:
        guess *= PILE_GROUND ** (1.0 / 2.0 + 1.0 / 3.0)
    if "slippery" in cloth.surface:
        guess *= SLIPPERY_BENDS
    if "coated" in cloth.surface:
        guess *= COATED_BENDS
    return min(MOST_BENDING, max(LEAST_BENDING, guess * _loft(cloth)))


def softened(cloth: Cloth, bending_length: float) -> Cloth:
    """Return the cloth with this bending length, mm: the mean of its two ways, whose ratio it keeps.

    What a hung garment showed is left out of it, so that `mechanics_of` takes the length that is given here.
    """
    along, across = _scaled(*_as_measured(cloth), bending_length)
    return replace(cloth, bending_along=along, bending_across=across, hung=None)


def with_bending(mechanics: Mechanics, factor: float) -> Mechanics:
    """Return the mechanics with the bending rigidity both ways times `factor`."""
    return _stiffened(mechanics, 1.0, 1.0, (factor, factor))


def _as_measured(cloth: Cloth) -> tuple[float, float]:
    measured = [each for each in (cloth.bending_along, cloth.bending_across) if each is not None]
    other = measured[0] if measured else guess_bending_length(cloth)
    along = other if cloth.bending_along is None else cloth.bending_along
    return along, other if cloth.bending_across is None else cloth.bending_across


def _scaled(along: float, across: float, mean: float) -> tuple[float, float]:
    """Return the two with their geometric mean made `mean`; alike, they are it to the last bit."""
    if along == across:
        return mean, mean
    ratio = float((along / across) ** 0.5)
    return mean * ratio, mean / ratio


def _loft(cloth: Cloth) -> float:
    """Return how much stiffer a cloth is for being thicker than usual for its weight; 1 where that was not measured."""
    if "thickness" in cloth.guessed:
        return 1.0
    bulk = PILE_BULK if "pile" in cloth.surface else USUAL[cloth.kind].bulk
    return float(min(MOST_LOFT, max(LEAST_LOFT, cloth.thickness * bulk / cloth.weight)) ** LOFT)


def _stiffness(cloth: Cloth, way: str) -> tuple[float, float]:
    """Return the stiffness at small strains, N/m, and by how much it grows with the square of the strain."""
    stretch = cloth.stretch_along if way == "along" else cloth.stretch_across
    if cloth.kind == "knit" and not cloth.stretch_given:
        stretch = KNIT_STRETCH[way]
    full = _with_weight(cloth.weight, FULL_STIFFNESS, LEAST_FULL, MOST_FULL)
    secant = min(full, HAND_TENSION / stretch) if stretch > 0.0 else full
    least = _least_stiffness(cloth.weight / 1000.0)
    if cloth.kind != "knit":
        return max(least, secant), 0.0
    first = max(least, KNIT_FIRST * secant)
    return first, max(0.0, secant / first - 1.0) / max(stretch, LEAST_STRETCH) ** 2


def _least_stiffness(mass: float) -> float:
    return max(LEAST_STIFFNESS, mass * GRAVITY * OWN_LENGTH / OWN_STRETCH)


def _shear(cloth: Cloth, softer: float) -> float:
    share = SHEAR_SHARE * softer
    if cloth.kind == "knit":
        return share
    woven = _with_weight(cloth.weight, WOVEN_SHEAR, LEAST_SHEAR, MOST_SHEAR)
    return min(share, woven * COATED_SHEARS if "coated" in cloth.surface else woven)


def _with_weight(weight: float, usual: float, least: float, most: float) -> float:
    return float(min(most, max(least, usual * (weight / FULL_AT) ** 0.5)))


def _friction(cloth: Cloth) -> float:
    if "pile" in cloth.surface:
        return PILE_FRICTION
    return SLIPPERY_FRICTION if "slippery" in cloth.surface else FRICTION


def _found(cloth: Cloth) -> bool:
    return cloth.hung is not None and cloth.hung.bending_length is not None


def _bending_spread(cloth: Cloth, measured: float | None) -> float:
    """Return the factor by which the bending length of one way, measured or not, may be off either way."""
    if _found(cloth) or measured is not None:
        return BENDING_SPREAD_MEASURED
    unbent = cloth.bending_along is None and cloth.bending_across is None
    return BENDING_SPREAD_UNWEIGHED if unbent and "weight" in cloth.guessed else BENDING_SPREAD


def _estimates(cloth: Cloth) -> tuple[str, ...]:
    stated = {
        "weight": "weight" not in cloth.guessed,
        "thickness": "thickness" not in cloth.guessed,
        "stretch": cloth.stretch_given,
        "shear": False,
        "bending": _found(cloth) or (cloth.bending_along is not None and cloth.bending_across is not None),
    }
    return tuple(name for name, known in stated.items() if not known)


def _stiffened(mechanics: Mechanics, stretch: float, shear: float, bending: tuple[float, float]) -> Mechanics:
    return replace(
        mechanics,
        along=mechanics.along * stretch,
        across=mechanics.across * stretch,
        shear=mechanics.shear * shear,
        bending_along=mechanics.bending_along * bending[0],
        bending_across=mechanics.bending_across * bending[1],
    )
