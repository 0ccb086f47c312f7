"""HTML made safely: text is escaped, characters that cannot be shown are dropped, nothing of a maker's is markup."""

from __future__ import annotations

import base64
import hashlib
import re
import unicodedata
from collections.abc import Iterable, Sequence
from functools import cache
from html import escape
from importlib.resources import files

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


def page(title: str, style: str, body: Iterable[str], script: str = "") -> str:
    """Return a whole HTML document on calico ground: `style` is added to what all pages share, `body` is safe markup.

    It needs nothing from outside. Its own policy loads nothing and lets no script run but this one.
    """
    sha = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    runs = f"script-src 'sha256-{sha}'; " if script else ""
    policy = f"default-src 'none'; {runs}style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
    lines = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{safe(title)}</title>",
        f"<style>{_shared_style()}{style}</style>",
        "</head>",
        "<body>",
        *body,
    ]
    return "\n".join(lines) + (f"<script>{script}</script>\n" if script else "") + "</body>\n</html>\n"


@cache
def _shared_style() -> str:
    return (files("onfold.writers") / "calico.css").read_text("utf-8")
