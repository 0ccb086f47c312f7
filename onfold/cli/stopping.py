"""Ctrl-C heard as "enough": a long search ends with what it has so far."""

from __future__ import annotations

import signal
import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


@contextmanager
def enough(kept: str) -> Iterator[Callable[[], bool]]:
    """Hear the first Ctrl-C as "enough", say what is `kept`, and answer True from then on; a second one breaks off."""
    heard: list[int] = []

    def hear(number: int, _: object) -> None:
        if heard:
            raise KeyboardInterrupt
        heard.append(number)
        click.echo(f"Stopping: {kept}. Ctrl-C again breaks off.", err=True)

    before = signal.signal(signal.SIGINT, hear) if threading.current_thread() is threading.main_thread() else None
    try:
        yield lambda: bool(heard)
    finally:
        if before is not None:
            signal.signal(signal.SIGINT, before)
