"""Levels and girths: what the garment measures round the body, and the lines squared off the centre for it."""

from __future__ import annotations

from math import isfinite
from typing import ClassVar

from onfold.geometry.path import length, line, start
from onfold.pattern import Inner, Level
from onfold.recipe.bench import Bench
from onfold.recipe.step import Length, LevelName, LineName, NewLevel, Number, Share, step
from onfold.recipe.telling import Telling
from onfold.units import capital, say_share


@step("take in", "draft")
class TakeIn:
    """State a level's finished girth in stretch cloth: the body's, taken in by a share of the cloth's stretch.

    finished = body / (1 + share × stretch). Below `none below` nothing is taken in; the share is held to what still
    lets `to pass` through at full pull. [C] common practice; the fields are the recipe's and may be changed.
    """

    level: NewLevel
    girth: Length
    share: Share
    stretch: Share
    none_below: Share
    most: Share
    to_pass: Length | None = None

    reason: ClassVar[str] = (
        "A stretch garment is cut smaller than the body and held by the cloth; taken in by a part of the stretch only, "
        "it keeps room to move and can still be pulled on."
    )

    def run(self, bench: Bench) -> None:
        """State the level."""
        body = positive(bench, bench.amount(self.girth), self.level, self.girth.text)
        stretch, asked = bench.amount(self.stretch), bench.amount(self.share)
        most, none_below = bench.amount(self.most), bench.amount(self.none_below)
        share = 0.0 if stretch < none_below else max(0.0, asked)
        passing = None if self._stated(bench) else bench.perhaps(self.to_pass)
        if passing is not None and passing > 0 and stretch > 0 and share > 0:
            share = max(0.0, min(share, (body * (1.0 + stretch) / passing - 1.0) / stretch))
        if asked > most:
            bench.warn(
                "TAKEN-IN-TOO-FAR",
                f"The {self.level} is taken in by {say_share(asked)} of the stretch; more than {say_share(most)} "
                "leaves no room to move or dress.",
                found=say_share(asked),
                expected=f"at most {say_share(most)}",
                remedy=f"take it in less: choices: {{{self.share.text}: {most * 100.0:g} %}}",
            )
        finished = body / (1.0 + share * stretch)
        bench.put_level(
            Level(self.level, body, finished, self.girth.text, share, asked if stretch >= none_below else 0.0)
        )

    def _stated(self, bench: Bench) -> bool:
        """Return whether the maker stated the share: what is asked for is never changed."""
        return any(bench.look(("stated", name)) for name in sorted(self.share.names_used))

    def say(self, told: Telling) -> str:
        """Tell, and say where less was taken in than asked so that the garment goes on."""
        level = told.level(self.level)
        if level is None:
            return f"Reckon the finished {self.level}."
        stretch = told.amount(self.stretch)
        if level.share <= 0.0 and told.amount(self.share) > 0 and stretch < told.amount(self.none_below):
            return (
                f"{capital(self.level)}: {told.mm(level.body)} on the body. The cloth stretches "
                f"{told.percent(stretch)}, too little to take anything in: the garment is cut to the body."
            )
        said = (
            f"{capital(self.level)}: {told.mm(level.body)} on the body, {told.mm(level.finished)} finished: taken in "
            f"by {told.percent(level.share)} of the cloth's {told.percent(stretch)} stretch, so it is worn stretched "
            f"by {told.percent(level.wearing_stretch)}."
        )
        if level.share < level.asked_share - 1e-9:
            said += (
                f" {told.percent(level.asked_share)} was asked for; less is taken in so that "
                f"{told.length(self.to_pass) if self.to_pass else 'the body'} can pass when it is pulled on."
            )
        return said


@step("allow ease", "draft")
class AllowEase:
    """State a level's finished girth in a woven: the body's and the ease."""

    level: NewLevel
    girth: Length
    ease: Length

    reason: ClassVar[str] = "A woven does not give: the room to breathe, sit and walk is drafted in."

    def run(self, bench: Bench) -> None:
        """State the level."""
        body = positive(bench, bench.amount(self.girth), self.level, self.girth.text)
        finished = positive(bench, body + bench.amount(self.ease), self.level, self.ease.text)
        bench.put_level(Level(self.level, body, finished, self.girth.text))

    def say(self, told: Telling) -> str:
        """Tell."""
        level = told.level(self.level)
        finished = told.mm(level.finished) if level else ""
        return (
            f"{capital(self.level)}: {told.length(self.girth)} on the body and {told.length(self.ease)} ease make "
            f"{finished} finished."
        )


@step("mark level", "draft")
class MarkLevel:
    """Square a level off the centre line: its width is given, or a part of the level's finished girth."""

    name: NewLevel
    on: LineName
    down: Length
    width: Length | None = None
    part: Number | None = None
    of: LevelName | None = None
    less: Length | None = None

    reason: ClassVar[str] = "Levels are squared off the centre so that the grain hangs straight."

    def run(self, bench: Bench) -> None:
        """Draw the level line and its two ends; a girth named by `of` becomes this level's too, less what is given."""
        x, y = start(bench.line(self.on))
        down = bench.amount(self.down)
        less = bench.perhaps(self.less) or 0.0
        if self.width is not None:
            width = bench.amount(self.width) - less
        elif self.part is not None:
            share = bench.amount(self.part)
            girth = bench.level(self.of or self.name).finished
            width = girth * share - less
            if self.of and self.of != self.name and share > 0:
                bench.put_level(Level(self.name, 0.0, width / share))
        else:
            raise bench.stop("KEY-MISSING", f"The level {self.name} needs a width or a part.", remedy="give 'width'")
        positive(bench, width, self.name, (self.width or self.part or self.down).text)
        a, b = (x, y - down), (x + width, y - down)
        across = line(a, b)
        bench.put_line(self.name, across)
        bench.put_point(f"{self.name} on the centre", a)
        bench.put_point(f"end of {self.name}", b)
        bench.put_inner(Inner("level", self.name, across))

    def say(self, told: Telling) -> str:
        """Tell."""
        lead = f"{told.length(self.down)} down the {self.on} square across for the {self.name}"
        if told.amount(self.down) == 0.0:
            lead = f"At the top of the {self.on} square across for the {self.name}"
        path = next((v for k, v in told.writes.items() if k[0] == "line"), None)
        width = told.mm(length(path)) if path is not None else ""
        if self.width is not None and not self.less:
            return f"{lead}: {told.reckoned(self.width)} wide."
        if self.part is not None:
            whole = f"{_fraction(told.amount(self.part))} of the finished {self.of or self.name}"
            less = f" less {told.length(self.less)}" if self.less and told.amount(self.less) else ""
            return f"{lead}: {width} wide, {whole}{less}."
        return f"{lead}: {width} wide."


def positive(bench: Bench, value: float, name: str, text: str) -> float:
    """Return a length above nothing, mm, or end the step: `text` is the formula that gave it, `name` what it is of."""
    if isfinite(value) and value > 1e-6:
        return value
    raise bench.stop(
        "STEP-CANNOT",
        f"'{text}' gives no length for {name} with these measures: {bench.mm(value)}.",
        found=bench.mm(value),
        expected="more than nothing",
        remedy="check the measures and choices it uses",
    )


def _fraction(value: float) -> str:
    words = {0.5: "half", 0.25: "a quarter", 1.0: "the whole", 1 / 3: "a third"}
    return next((word for number, word in words.items() if abs(number - value) < 1e-9), f"{value:g}")
