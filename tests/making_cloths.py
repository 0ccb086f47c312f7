"""Cloths a maker brings to the table: what the tests of making up share. `CLOTHS` holds (name, cloth)."""

from __future__ import annotations

from hypothesis import strategies as st

from onfold.cloth import KINDS, NAPS, SURFACES, Cloth, Hung, settle

JERSEY = settle(
    "knit",
    1500.0,
    name="viscose jersey",
    stretch_across=0.6,
    stretch_along=0.3,
    recovery=0.92,
    fibre=(("viscose", 0.95), ("elastane", 0.05)),
    weight=220.0,
    thickness=0.7,
    shrinkage_along=0.05,
    shrinkage_across=0.02,
)
VELVET = settle(
    "knit",
    1480.0,
    name="stretch velvet",
    stretch_across=0.5,
    stretch_along=0.2,
    recovery=0.88,
    nap="up",
    surface=("pile",),
    fibre=(("polyester", 0.92), ("elastane", 0.08)),
    weight=290.0,
    thickness=1.3,
)
CREPE = settle("woven", 1400.0, name="wool crepe", fibre=(("wool", 1.0),), weight=210.0, thickness=0.6)
TWILL = settle(
    "woven", 1500.0, name="wool twill", fibre=(("wool", 0.8), ("polyamide", 0.2)), weight=260.0, thickness=0.8
)
CHIFFON = settle(
    "woven",
    1350.0,
    name="silk chiffon",
    surface=("sheer", "slippery"),
    fibre=(("silk", 1.0),),
    weight=45.0,
    thickness=0.15,
)
SATIN = settle(
    "woven",
    1400.0,
    name="acetate satin",
    surface=("slippery",),
    fibre=(("acetate", 1.0),),
    weight=130.0,
    thickness=0.25,
)
COATED = settle(
    "woven",
    1450.0,
    name="coated rain cloth",
    surface=("coated",),
    fibre=(("cotton", 1.0),),
    weight=240.0,
    thickness=0.4,
)
DENIM = settle("woven", 1500.0, name="heavy denim", fibre=(("cotton", 1.0),), weight=420.0, thickness=0.9)
LAWN = settle("woven", 1400.0, name="cotton lawn", fibre=(("cotton", 1.0),), weight=80.0, thickness=0.2)
UNKNOWN = settle("woven", 1400.0, name="a remnant")
VELVETEEN = settle(
    "woven",
    1400.0,
    name="velveteen",
    nap="up",
    surface=("pile",),
    fibre=(("cotton", 1.0),),
    weight=300.0,
    thickness=1.2,
)
REMNANT_PILE = settle("knit", 1500.0, name="a remnant with a pile", nap="down", surface=("pile",))

CLOTHS: tuple[tuple[str, Cloth], ...] = (
    ("jersey", JERSEY),
    ("velvet", VELVET),
    ("crepe", CREPE),
    ("wool twill", TWILL),
    ("sheer chiffon", CHIFFON),
    ("slippery satin", SATIN),
    ("coated", COATED),
    ("heavy denim", DENIM),
    ("lawn", LAWN),
    ("unknown fibre", UNKNOWN),
    ("velveteen", VELVETEEN),
    ("pile of unknown fibre", REMNANT_PILE),
)

_FIBRES = ("cotton", "Wool", "silk", "acetate", "nylon", "polyamide", "elastane", "leather", "moonbeam", "")


@st.composite
def any_cloth(draw: st.DrawFn) -> Cloth:
    """Any cloth that a ticket can hold, figures left out or given, surfaces mixed at will."""
    shares = st.sampled_from([0.0, 0.05, 0.5, 0.95, 1.0])
    fibre = tuple((name, draw(shares)) for name in draw(st.lists(st.sampled_from(_FIBRES), max_size=3, unique=True)))
    maybe, falls = st.none(), st.floats(0.0, 3000.0)
    return settle(
        draw(st.sampled_from(KINDS)),
        draw(st.floats(50.0, 3000.0)),
        stretch_across=draw(maybe | st.floats(0.0, 4.0)),
        stretch_along=draw(maybe | st.floats(0.0, 4.0)),
        recovery=draw(maybe | st.floats(0.0, 1.0)),
        nap=draw(st.sampled_from(NAPS)),
        surface=tuple(draw(st.lists(st.sampled_from(SURFACES), unique=True))),
        fibre=fibre,
        washed_first=draw(st.booleans()),
        repeat_along=draw(st.sampled_from([0.0, 100.0])),
        weight=draw(maybe | st.floats(5.0, 3000.0)),
        thickness=draw(maybe | st.floats(0.02, 50.0)),
        shrinkage_along=draw(maybe | st.floats(0.0, 0.5)),
        bending_along=draw(maybe | st.floats(2.0, 120.0)),
        bending_across=draw(maybe | st.floats(2.0, 120.0)),
        hung=draw(maybe | st.builds(Hung, falls, falls, maybe | st.floats(2.0, 120.0))),
    )
