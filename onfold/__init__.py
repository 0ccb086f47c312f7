"""Onfold: one recipe, many readings. `from onfold import open_ticket` for notebooks and scripts."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from onfold.project import open_ticket as open_ticket

__version__ = "0.1.0"
__all__ = ["open_ticket"]


def __getattr__(name: str) -> object:
    """Load the façade only when it is asked for, so that `import onfold` stays quick."""
    if name == "open_ticket":
        from onfold.project import open_ticket

        return open_ticket
    raise AttributeError(f"module 'onfold' has no attribute '{name}'")
