"""Pages set by typst, whose only door this is: a template and its content in, a tagged PDF or a picture out.

A maker's text reaches a template as data (JSON in the inputs), never as markup. Equal input gives equal bytes.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import as_file, files
from typing import Any

from onfold.units import System
from onfold.writers.letters import printed

_NORTH_AMERICAN = ("letter", "legal", "tabloid")


def set_on_letter(paper: str, units: System) -> bool:
    """Return whether pages are set on Letter: with North American papers, and rolls told in inches."""
    said = paper.strip().lower()
    return said in _NORTH_AMERICAN or (said.startswith("roll") and units == "in")


def set_pdf(name: str, template: bytes, content: Mapping[str, Any]) -> bytes:
    """Return the tagged PDF (PDF/UA-1) that a template makes of its content, which it reads as `sys.inputs.NAME`."""
    return _set(name, template, content, format="pdf", pdf_standards=["ua-1"])


def set_png(name: str, template: bytes, content: Mapping[str, Any], dpi: float) -> bytes:
    """Return the one page that a template makes of its content as a PNG picture."""
    return _set(name, template, content, format="png", ppi=dpi)


def _set(name: str, template: bytes, content: Mapping[str, Any], **into: Any) -> bytes:
    import typst

    with as_file(files("onfold") / "writers" / "fonts") as faces:
        compiled = typst.compile(
            template,
            ignore_system_fonts=True,
            font_paths=typst.Fonts(include_system_fonts=False, font_paths=[str(faces)]),
            sys_inputs={name: json.dumps(content, ensure_ascii=False)},
            timestamp=0,
            **into,
        )
    if not isinstance(compiled, bytes):
        raise TypeError(f"typst gave {type(compiled).__name__}, not one page or file")
    return compiled


def cleaned(value: Any, lost: set[str]) -> Any:
    """Return the same tree with every text made printable; characters that have no form are added to `lost`."""
    if isinstance(value, str):
        return printed(value, lost)
    if isinstance(value, Mapping):
        return {cleaned(key, lost): cleaned(each, lost) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [cleaned(each, lost) for each in value]
    return value
