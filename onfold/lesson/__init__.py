"""The drafting lesson: every step said, drawn and explained, as one offline page that prints well."""

from __future__ import annotations

from onfold.lesson.facts import Chosen, LessonFacts
from onfold.lesson.page import write_lesson

__all__ = ["Chosen", "LessonFacts", "write_lesson"]
