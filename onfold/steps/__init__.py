"""The verbs, grouped as the trade groups them. Adding a step is one class and one line in `STEPS`.

A verb reads and changes the draft through the bench alone; it holds no drafting figure of its own.
"""

from __future__ import annotations

from typing import Any

from onfold.steps.alter import LetOut, Raise
from onfold.steps.cowl import Cowl
from onfold.steps.dart import Darts, SideDart
from onfold.steps.develop import LengthenAt, SlashAndOverlap, SlashAndSpread
from onfold.steps.draft import (
    BeginPiece,
    CarryLength,
    Join,
    MarkPoint,
    RuleDown,
    SquareAcross,
    State,
    TraceOff,
    TurnTo,
)
from onfold.steps.finish import CutOutStep, FinishEdge, LayGrain, NotchSeam, SewSeam
from onfold.steps.levels import AllowEase, MarkLevel, TakeIn
from onfold.steps.outline import CloseOutline, MarkFoldLine, OpenEdge, TrueAcross
from onfold.steps.parts import NamePart, Strap, StrapPlace, Vent, Waistband
from onfold.steps.wedge import TakeUp

STEPS: tuple[type[Any], ...] = (
    BeginPiece,
    TurnTo,
    RuleDown,
    State,
    TakeIn,
    AllowEase,
    MarkLevel,
    MarkPoint,
    SquareAcross,
    Join,
    CarryLength,
    TraceOff,
    TrueAcross,
    CloseOutline,
    MarkFoldLine,
    NamePart,
    OpenEdge,
    LengthenAt,
    TakeUp,
    Darts,
    SideDart,
    SlashAndSpread,
    SlashAndOverlap,
    Cowl,
    StrapPlace,
    Strap,
    Waistband,
    Vent,
    LetOut,
    Raise,
    SewSeam,
    FinishEdge,
    NotchSeam,
    LayGrain,
    CutOutStep,
)

VERBS: dict[str, type[Any]] = {each.verb: each for each in STEPS}
