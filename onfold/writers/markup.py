"""HTML made safely: text is escaped, characters that cannot be shown are dropped, nothing of a maker's is markup."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from html import escape

_QUANTITY = re.compile(r"(?<![\w.;&#])-?\d+(?:\.\d+)?(?: \d+/\d+|/\d+)? ?(?:mm|cm|in|%|°)(?!\w)")


def shown(text: str) -> str:
    """Return the text as one line that may stand in a page: controls and lone surrogates dropped, spaces joined.

    Characters that turn the direction of writing are dropped too, so that a name cannot reorder what stands by it.
    """
    kept = (char for char in text if char.isspace() or _shows(char))
    return " ".join("".join(kept).split())


def _shows(char: str) -> bool:
    return unicodedata.category(char) not in {"Cc", "Cf", "Cs"} and ord(char) & 0xFFFE != 0xFFFE


def safe(text: str) -> str:
    """Return the text shown and escaped, for element content and quoted attributes alike."""
    return escape(shown(text), quote=True)


def measured(text: str) -> str:
    """Return the text escaped, every quantity in it kept on one line and marked as a figure."""
    return _QUANTITY.sub(lambda found: f'<span class="figure">{found[0]}</span>', safe(text))


def tag(name: str, *inside: str, **attributes: str) -> str:
    """Return an element around markup that is already safe; attribute values are escaped here.

    Attribute names are written with `_` for `-`; `class_` and `for_` lose their tail.
    """
    said = "".join(f' {key.rstrip("_").replace("_", "-")}="{safe(value)}"' for key, value in attributes.items())
    return f"<{name}{said}>{''.join(inside)}</{name}>"


def listed(items: Iterable[str], **attributes: str) -> str:
    """Return a bulleted list of safe markup."""
    return tag("ul", *(tag("li", item) for item in items), **attributes)


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table whose first column heads its rows; cells are safe markup, `caption` and `heads` plain text."""
    head = tag("thead", tag("tr", *(tag("th", safe(each), scope="col") for each in heads)))
    body = (tag("tr", tag("th", row[0], scope="row"), *(tag("td", cell) for cell in row[1:])) for row in rows)
    return tag("table", tag("caption", safe(caption)), head, tag("tbody", *body))
