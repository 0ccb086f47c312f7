"""Recipes made up for timing, written as a maker would write them: a dress of twelve panels, and one full of slips."""

from __future__ import annotations

PANELS = 12
LEVELS = ("neck line", "chest", "underarm", "bust", "ribs", "waist", "tummy", "hip", "knee", "hem")
_WIDTHS = ("bust", "bust", "bust", "bust", "waist", "waist", "hip", "hip", "hip", "hip")
_SPREAD = (0.55, 0.8, 0.95, 1.0, 1.08, 1.0, 0.97, 1.0, 1.15, 1.3)


def panelled_dress(panels: int = PANELS) -> str:
    """Return a recipe of so many panels, each with twenty curves: side nine, top and hem five each, centre one."""
    steps = [line for number in range(1, panels + 1) for line in _panel(number)]
    steps += [line for number in range(1, panels) for line in _seam(number)]
    return "\n".join(
        (
            "# Written by benchmarks/recipes.py for timing: a dress of panels, made of shipped verbs only. CC0.",
            "recipe: panelled-dress",
            "title: Panelled dress",
            "licence: CC0-1.0",
            "for: woven",
            "kind: garment",
            "choices:",
            "  ease:    {default: 4 cm, least: 0 cm, most: 20 cm, ask: 'Ease at the bust?'}",
            "  length:  {default: waist to knee, least: 10 cm, most: 150 cm, ask: 'From the waist to the hem?'}",
            "  neck dip: {default: 0.4 cm, least: 0 cm, most: 3 cm, ask: 'How far does the neck edge dip?'}",
            "  hem dip: {default: 1 cm, least: 0 cm, most: 3 cm, ask: 'How far does the hem dip?'}",
            "steps:",
            *(f"  - {step}" for step in steps),
            "",
        )
    )


def _panel(number: int) -> list[str]:
    name = f"panel {_letters(number)}"
    bodice = "shoulder to waist - 10 cm"
    downs = [f"({bodice}) * {share}" for share in ("0", "0.2", "0.45", "0.6", "0.8", "1")]
    downs += [f"{bodice} + waist to hip * 0.5", f"{bodice} + waist to hip"]
    downs += [f"{bodice} + (waist to hip + length) / 2", f"{bodice} + length"]
    steps = [
        f"begin piece: {{name: {name}, centre: centre}}",
        f"rule down: {{name: centre, from: start, length: {bodice} + length}}",
    ]
    for level, down, girth, share in zip(LEVELS, downs, _WIDTHS, _SPREAD, strict=True):
        wide = f"({girth} + ease) / {PANELS} * {share * (1 + 0.004 * number):.4f}"
        steps.append(f"mark level: {{name: {level}, on: centre, down: {down}, width: {wide}}}")
    for row, drop in (("top", "0 cm - neck dip"), ("foot", "0 cm - hem dip")):
        girth, base = ("bust", "neck line") if row == "top" else ("hip", "hem")
        spread = _SPREAD[0] if row == "top" else _SPREAD[-1]
        for at, share in enumerate((0.2, 0.4, 0.6, 0.8), start=1):
            across = f"({girth} + ease) / {PANELS} * {spread * share * (1 + 0.004 * number):.4f}"
            arch = f"({drop}) * {share * (1 - share) * 4:.2f}"
            steps.append(
                f"mark point: {{name: {row} {_letters(at)}, from: {base} on the centre, across: {across}, up: {arch}}}"
            )
    middle = [f"{{}} {_letters(at)}" for at in range(1, 5)]
    top = ["neck line on the centre", *(each.format("top") for each in middle), "end of neck line"]
    foot = ["hem on the centre", *(each.format("foot") for each in middle), "end of hem"]
    return [
        *steps,
        f"join: {{name: side, points: [{', '.join(f'end of {level}' for level in LEVELS)}], curve: hip}}",
        f"join: {{name: top edge, points: [{', '.join(top)}], curve: smooth}}",
        f"join: {{name: lower edge, points: [{', '.join(foot)}], curve: smooth}}",
        "close the outline: {lines: [lower edge, side, top edge, centre]}",
        f"finish edge: {{edge: lower edge of {name}, construction: single turned 30 mm}}",
        f"finish edge: {{edge: top edge of {name}, construction: plain 10 mm}}",
        f"grain: {{piece: {name}, kind: straight}}",
        f"cut: {{piece: {name}, pieces: 2, pair: yes}}",
    ]


def _seam(number: int) -> list[str]:
    one, other = (f"panel {_letters(each)}" for each in (number, number + 1))
    name = f"seam {_letters(number)}"
    # sides to sides, straight centres to centres, as front and back panels alternate
    edge = "side" if number % 2 else "centre"
    return [
        f"sew: {{name: {name}, first: [{edge} of {one}], second: [{edge} of {other}], construction: plain 15 mm}}",
        *([f"notch: {{seam: {name}, at: [bust, waist, hip]}}"] if edge == "side" else []),
    ]


def _letters(number: int) -> str:
    """Return 1 as a, 2 as b: names hold no digits."""
    return chr(ord("a") + number - 1)


def slipped_recipe(steps: int = 200, seed: int = 0) -> tuple[str, int]:
    """Return a recipe of so many steps with a slip in every tenth of ten kinds, and how many slips there are.

    No formula stands twice, nor in the recipe of another seed: reading one text again proves nothing.
    """
    slips = (
        "mark level: {name: hip NN, on: centre front, down: waist to hip, width: (hipp + MM mm) / 4}",
        "mark levle: {name: hip NN, on: centre front, down: waist to hip, width: hip / 4}",
        "mark level: {name: hip NN, on: centre front, down: waist to hip, wdith: hip / 4}",
        "mark level: {name: hip NN, on: centre front, width: hip / 4, down: }",
        "rule down: {name: line NN, from: start, length: hip * hip * MM}",
        "rule down: {name: line NN, from: start, length: 3 parsecs}",
        "rule down: {name: line NN, from: start, name: line NN, length: 3 cm}",
        "join: {name: line NN, points: [start, end of centre front], curve: wavy}",
        "mark point: {name: spot NN, from: start, across: (hip / MM}",
        "mark point: {name: spot NN, from: start, across: larger of hip + MM mm and waist}",
    )
    sound = (
        "mark level: {name: level NN, on: centre front, down: waist to hip / 2 + MM mm, width: (hip + MM mm) / 4}",
        "mark point: {name: point NN, from: start, across: larger of (hip / 4) and (waist / 4 + MM mm), up: MM mm}",
        "rule down: {name: rule NN, from: start, length: waist to knee - MM mm}",
        "join: {name: join NN, points: [start, end of centre front], curve: smooth}",
    )
    lines, wrong = [], 0
    for at in range(steps - 2):
        words = "".join(_letters(int(digit) + 1) for digit in f"{at:03}")
        slip = at % 10 == 5
        step = slips[wrong % len(slips)] if slip else sound[at % len(sound)]
        wrong += slip
        lines.append(step.replace("NN", words).replace("MM", f"{seed}.{at + 1:03}"))
    head = (
        "recipe: two-hundred\ntitle: Two hundred steps\nlicence: CC0-1.0\nfor: woven\nkind: garment\n"
        "choices:\n  ease: {default: 4 cm, least: 0 cm, most: 9 cm, ask: 'Ease?'}\nsteps:\n"
        "  - begin piece: {name: front, fold: centre front}\n"
        "  - rule down: {name: centre front, from: start, length: waist to knee}\n"
    )
    return head + "".join(f"  - {line}\n" for line in lines), wrong
