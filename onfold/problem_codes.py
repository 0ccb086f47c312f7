"""Every code that a problem can bear, with what it means: the whole vocabulary of failure, one table a group.

`docs/problems.md` is written from it. A code's group says who tells it, and by that how a command ends.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, cast

Severity = Literal["stop", "mind", "note"]
Group = Literal["reading", "drafting", "check", "lay", "toile", "cut", "altering", "fitting", "hang"]


@dataclass(frozen=True)
class Code:
    """One entry of the vocabulary: what it means, why it matters, which room raises it."""

    name: str
    severity: Severity
    group: Group
    title: str
    meaning: str


def _codes(table: str, group: Group) -> Iterator[Code]:
    """Yield the entries of a table: `NAME, severity: title`, and the meaning on the indented lines below."""
    for entry in re.split(r"\n(?=\S)", table.strip()):
        head, *meaning = entry.splitlines()
        name, _, rest = head.partition(", ")
        severity, _, title = rest.partition(": ")
        yield Code(name, cast(Severity, severity), group, title, " ".join(line.strip() for line in meaning))


_READING = """
FILE-MISSING, stop: The file is not there
    A path names no file that can be read.
FILE-SIZE, stop: The file is too large
    A ticket or recipe is a page or two of text; this is far more.
FILE-TEXT, stop: The file is not plain text
    Tickets and recipes are UTF-8 text without control characters or tabs for indenting.
FILE-YAML, stop: The file cannot be read as YAML
    Its indentation, brackets or quotes do not close.
FILE-DEEP, stop: The file nests too deeply
    No ticket or recipe needs so many levels.
FILE-SHAPE, stop: A list, a word or a set of fields was expected here
    The value has another shape than the key asks for.
FILE-ALIAS, stop: Anchors, aliases and tags are not used
    Every value stands where it is used, so that a reader sees it.
KEY-UNKNOWN, stop: An unknown key
    The key is not one this file knows; a near one is offered.
KEY-TWICE, stop: A key stands twice
    Only one of the two could count, so neither is guessed.
KEY-MISSING, stop: A required key is missing
    The file or step cannot be used without it.
KEY-CLASH, stop: Two keys that do not go together
    One of them has to go; neither is guessed.
VALUE-EMPTY, stop: A key has no value
    A key without a value is most often a slip.
VALUE-WRONG, stop: A value is not one of those expected
    The value must be one of a few words, a quantity or a name.
VALUE-RANGE, stop: A value is outside its range
    The value lies below the least or above the most that the recipe allows.
FORMULA, stop: A formula cannot be read
    The caret shows where; formulas follow the grammar in the recipe guide.
FORMULA-NAME, stop: A formula uses an unknown name
    No measure, choice or property of the cloth has this name.
FORMULA-UNIT, stop: A formula mixes kinds
    Lengths, shares and plain numbers cannot be added to one another; a length always carries its unit.
UNITS-MIXED, mind: Inches and centimetres in one line
    Two systems in one value are often a slip of the pen.
SEEN-TWICE, stop: An observation stands twice
    Two in one file have the same name; give each its own.
CAUSE-CHANGE, stop: A cause asks for no change, or for several
    Each cause of an observation names one: choices, figure notes, measures to be taken again, or steps.
VERB-UNKNOWN, stop: An unknown step
    No verb has this name; a near one is offered.
RECIPE-UNKNOWN, stop: An unknown recipe
    No shipped recipe and no file beside the ticket has this name.
MEASURE-UNKNOWN, stop: An unknown measure
    No measure has this name; a near one is offered.
MEASURE-MISSING, stop: A measure is needed and cannot be estimated
    Neither the tape nor the survey tables give it for this figure.
MEASURE-RANGE, stop: A measure is not that of a person
    The value is far outside what any body has, or not a length.
FIGURE-UNKNOWN, stop: An unknown figure note
    No figure note has this name; a near one is offered.
FIGURE-RANGE, stop: A figure note is out of its range
    The length is more than any body shows, or below nothing.
CHOICE-UNKNOWN, stop: An unknown choice
    The recipe has no choice of this name.
FINISH-UNKNOWN, stop: An unknown finish
    No seam or hem construction reads like this.
FINISH-CLASH, stop: Two finishes claim one edge
    Two equally specific finishes differ, so neither is guessed.
FINISH-UNUSED, mind: A finish names nothing
    No seam or edge of this draft has that name.
NO-PATTERN, stop: There is no pattern
    The ticket alters a garment that was made elsewhere: nothing is drafted, so nothing can be laid or told.
EDIT-REFUSED, stop: A change cannot be written into the file
    Edits touch only the characters of the change; where that cannot be done surely, the file stays as it is.
WRITE-FAILED, stop: The files could not be written
    The folder is closed to writing, full, or leads elsewhere; what was there before has been kept.
FILE-CHANGED, stop: The file was changed meanwhile
    Between reading and writing someone else wrote it; what they wrote is kept.
STEP-NAME, stop: A step asks for something not drawn
    No point, line, edge, level or piece of this name exists at this step.
STEP-NAME-TAKEN, stop: A name is taken
    The piece already has a point, line or edge of this name.
"""
"""Files, formulas, fields, names: what keeps a ticket or a recipe from being read."""

_DRAFTING = """
STEP-CANNOT, stop: A step cannot be drawn with these numbers
    The construction has no result for this body, cloth and these choices.
STEP-NO-MEETING, stop: Two lines do not meet
    The step needs the point where they cross.
OUTLINE-OPEN, stop: The outline does not close
    One line ends where the next does not begin.
OUTLINE-CROSSES, stop: The outline crosses itself
    A piece whose edges cross cannot be cut.
PIECE-SIZE, stop: A piece is larger than anybody cuts
    A figure in a step or a choice is most likely a slip.
FIGURE-UNUSED, note: The recipe does not draft for a figure note
    The ticket holds it, no step of the recipe uses it; what to do by hand is said.
CUT-LINE, stop: No cut line can be drawn
    The allowance leaves no sound outline around the piece.
"""
"""What a step could not do."""

_CHECK = """
SEAM-LENGTH, stop: Seam partners differ in length
    Edges sewn together must be equal within 1 mm after the stated ease.
SEAM-ALLOWANCE, stop: The two sides of a seam carry different allowances
    Raw edges laid together must give the same stitching line.
NOTCH-MEET, stop: Notches do not meet
    Balance marks of two partners must lie at the same place along the seam.
JOIN-ANGLE, mind: A line breaks where a seam joins it
    An edge that runs on over a seam should have no corner, dip or peak there.
FOLD-STRAIGHT, stop: A fold edge is not straight
    Cloth folds along a straight line only.
FOLD-SQUARE, mind: A curve meets the fold off square
    A curve meant to run over the fold makes a point or a dip there.
FACING-MIRROR, stop: A folded facing does not mirror its edge
    Turned back, the facing must lie on the line it is folded to.
FACING-TURN, mind: The facing is not short enough for the turn of the cloth
    A facing cut as long as its garment edge rolls out.
GETTING-IN, stop: The garment does not go on
    At full pull, less what its seams hold, the narrowest place is smaller than what must pass.
WEARING-STRETCH, mind: Worn past the comfortable stretch
    A garment is at ease below half of what its cloth can stretch.
TAKEN-IN-TOO-FAR, stop: Taken in past half the cloth's stretch
    No level may use more than one half of the stretch.
PILE-STRETCH, mind: Pile worn too stretched
    Stretched pile shows its ground above about 10 %.
FINISHED-GIRTH, stop: The pieces do not give the stated girth
    Measured across the pieces, the finished girth differs from the level's own.
BODY-ROOM, stop: Smaller than the body in a cloth that does not stretch
    The finished girth is below the body's and the cloth cannot give.
EASE-SMALL, mind: Less ease than movement wants
    Breathing and sitting ask for some room in a woven.
STRIDE, mind: The hem is narrow for a stride
    The legs need this girth at the hem, vents and stretch counted.
ALLOWANCE-SEAM, stop: The allowance is not what the seam uses
    The rows and turns of the construction add up to another figure.
INLAY-WIDE, mind: An inlay is wider than fitting asks
    2 to 3 cm are left for fitting; much more drags at the tacking.
ENCLOSED-TRIM, stop: The first row is not trimmed below the second
    Raw edges would show on the right side.
HEM-CURVE, mind: The hem is deep for its curve
    The turned edge is longer or shorter than where it is sewn.
STRAP-TURN, stop: The strap is too narrow to turn
    Its own allowance does not fit inside the tube.
STRAP-LENGTH, stop: The strap does not reach
    Measured over the body it is shorter than its way.
STRAP-PLACE, stop: A strap is not placed on both pieces
    Front and back each need their mark.
COWL-TURN, stop: The cowl turns too far
    Beyond 75 degrees the piece lies over itself or loses its neck.
COWL-GRAIN, mind: The armhole falls on the bias
    Past about 35 degrees of turn it grows; stay it.
COWL-FALL, stop: The asked-for fall is out of reach
    Within 75 degrees of turn no spread gives it; the largest that can be had is named.
COWL-DEEP, mind: The cowl falls below the bust point
    The neck edge would hang lower than the bust.
FACING-DEPTH, mind: The cowl falls past its facing
    The wrong side would show.
FRONT-LENGTH, mind: The front is longer over the bust than the back
    Above 2.5 cm a dart or ease is wanted.
DART-LEGS, stop: Dart legs differ
    The two legs are sewn together and must be equal.
DART-WIDE, mind: A dart is too fat
    Wider than about 3.5 cm it pokes; split it.
DART-AIM, mind: A bust dart does not aim at the bust point
    It should point at the bust and stop 2 to 3 cm short.
STRETCH-WAY, mind: The greater stretch runs the wrong way
    The greatest stretch belongs round the body.
SURFACE-NAP, stop: Pile without a direction
    Pile has a nap; say which way it points.
PIECE-GRAIN, stop: A piece has no grain line
    It cannot be laid on the cloth.
PIECE-LABEL, stop: A piece has no name or cut count
    The cutter must know what it is and how many.
PIECE-NOTCH, mind: A seam has no notch
    A long seam without balance marks is easily sewn on askew.
EDGE-BARE, mind: An edge is neither sewn nor finished
    It is cut without an allowance; where that is meant, say raw 0 mm.
CLOTH-KIND, mind: The cloth is not what the recipe is drafted for
    A knit stretches where a woven needs ease; it may not fit or go on.
PIECE-WIDTH, stop: A piece is wider than the cloth
    It does not fit between the selvages.
NAP-PAIR, mind: One-way cloth and mirrored pieces
    All tops lie one way; a pair is cut with one turned over, not round.
CORNER-SHARP, mind: An inside corner is sharper than its allowance
    The allowances overlap there; clip or narrow it.
NECK-DEPTH, mind: The neck or back is cut very low
    It would show the bust or the underwear.
LIKELY, mind: Two measures seldom go together
    Tape them again: centimetres for inches and swapped figures look like this.
LENGTHS-CLASH, mind: Lengths that should add up do not
    Shoulder to waist is shoulder to bust and bust to waist.
OUT-OF-SURVEY, note: Outside the survey
    The body lies outside the people measured, so estimates are weaker.
NOT-TAPED, note: A measure was estimated
    It was filled in from the others; its interval is given.
LETTERS, mind: A name has letters that cannot be printed
    They come out as empty boxes, and two such names as one.
NONE-TAPED, mind: Not one measure was taped
    All that the garment is drafted from was estimated.
ESTIMATE-TURNS, mind: An estimate could turn a verdict
    Within its interval a stop appears or goes; take this measure before cutting.
STRETCH-UNKNOWN, mind: The stretch of a knit is not given
    Without it the garment is drafted as if the cloth did not stretch.
SIDES-DIFFER, mind: Left and right differ
    The draft is one half for both sides, made for the larger.
CORDS-CHILD, mind: Straps, cords or ties on children's clothes
    Local rules decide; cords at the neck have killed.
OPENING-SHORT, stop: The opening is too short
    Fastened garments must open far enough to pass the hip.
SEAM-GIVE, mind: A seam holds the cloth back
    Sewn so, the edge cannot stretch as far as the garment needs.
HEM-KIND, mind: A hem that does not suit the cloth
    Stretch cloth wants a single turn and a seam that gives.
"""
"""What would go wrong on the table, at the machine or on the body."""

_LAY = """
LAY-NONE, stop: The pieces cannot be laid on this cloth
    No fold that is allowed takes them all; what would do is said.
LAY-FOLD, stop: This fold is not for this cloth or these pieces
    Pile, a nap, a stripe or a piece that is cut once rules it out.
LAY-CLOTHS, stop: Tickets laid together have different cloths
    One lay is cut from one cloth.
LAY-SHORT, stop: The cloth at hand is too short
    It is said by how much, and what would make it do.
LAY-AGAIN, stop: The piece cannot be cut again from what is left
    The lay it was cut by is needed, and room in what that left; what to buy for the piece alone is said.
LAY-MATERIAL, mind: A second material is not described
    Its pieces are laid on cloth as wide as the first.
"""

_TOILE = """
TOILE-STRETCH, stop: A stretch garment has no toile in calico
    It is drafted to the cloth's stretch; its toile is cut from a cloth of like stretch and weight.
TOILE-CLOTH, mind: The toile's cloth stretches otherwise than the garment's
    It will sit looser or closer than the garment.
"""
_CUT = """
CUT-REACHES, note: What is cut does
    The new draft lies within the cut line with what its seams use; the spare at the tightest place is said.
CUT-RECUT, mind: A piece is to be cut again
    The new draft does not lie within what was cut; what lacks, where, and the cloth that it takes are said.
"""
"""What became of the cut pieces after a fitting."""

_ALTER = """
ALTER-REACHES, note: The inlay reaches
    What lies beyond the seam line gives what is let out and what the finish uses; the sum is said.
ALTER-SHORT, mind: The inlay does not reach
    Sewn narrower, faced, or with a strip set in it may be done; which, and how wide, is said.
ALTER-UNKNOWN, mind: What lies beyond a seam line is not said
    Without it nobody knows whether the work can be done.
ALTER-CANNOT, stop: It cannot be done
    More is to be taken in or cut away than the garment has.
ALTER-MEASURE, note: A measure after the work
    The garment's measure before and after, how it is reckoned, and its ease on the wearer.
ALTER-EASE, mind: Too small for the wearer after the work
    The garment's measure is below the body's by more than the cloth gives.
"""
"""What an alteration asks for that a garment made elsewhere may not have."""
_FITTING = """
FITTING-UNKNOWN, stop: No such fitting
    The ticket holds no entry of this date, or several of it and no number was named.
FITTING-STOP, stop: The change makes a stop
    Drafted with it the garment has a stop that it did not have; it is shown, and recorded only where that is asked for.
FITTING-NOTHING, mind: The change makes no difference
    The draft is the same with it and without it.
FITTING-OVERRULED, mind: A later fitting says otherwise
    Later dates stand over earlier ones, so what this one changes does not come to bear.
CARRY-NOTHING, stop: Nothing of this change belongs there
    Figure notes and measures go with a wearer, choices with the maker's taste, choices and steps with the recipe.
CARRIED, note: The workroom book holds more than this ticket
    It was carried for this wearer or recipe; the draft is without it until it stands in the ticket.
SEEN-UNKNOWN, stop: What was seen is not known here
    No observation has these words; write the change itself, or use other words.
"""
"""What keeps a try-on's change from being taken over."""

_HANG = """
HANG-TOOL, stop: What the hang reckons with is not installed
    The hang needs numba, which Onfold does without otherwise.
HANG-OPEN, stop: The garment cannot be hung
    It is not sewn into something that closes on the form and hangs from it; why is said.
HANG-FALL, stop: No spread gives the fall that is asked for
    The garment has no cowl, or its cowl falls less or more at every spread that can be drafted; the nearest is named.
HANG-SLIPS, stop: The garment slides down
    Nothing holds it up on the form: it came to lie far below where it was drafted for.
HANG-RESTLESS, mind: The garment was not at rest
    It was stopped, or still moved when it was looked at; its figures may be off by as much.
HANG-SEEN, mind: No cloth as crisp or as limp falls as seen
    What bending alone does not explain is kept as a share, and later falls are forecast times it.
HANG-LEFT-OUT, note: A piece was not hung
    It lies inside, is cut from another material, or is sewn to nothing.
"""
"""What keeps a garment from being hung, or its hang from being believed."""

_TABLES: tuple[tuple[str, Group], ...] = (
    (_READING, "reading"), (_DRAFTING, "drafting"), (_CHECK, "check"), (_LAY, "lay"), (_TOILE, "toile"), (_CUT, "cut"),
    (_ALTER, "altering"), (_FITTING, "fitting"), (_HANG, "hang"),
)  # fmt: skip
CODES: dict[str, Code] = {each.name: each for table, group in _TABLES for each in _codes(table, group)}
