"""Show a lesson of half an hour, or all of them; reads the table only."""

from __future__ import annotations

from mullbed.domain.teaching import Lesson
from mullbed.reference.lessons import all_lessons, find_lesson


def show_lesson(name: str | None = None) -> tuple[Lesson, ...]:
    """Return the lesson called so, or all; raises NotFound with near names."""
    return tuple(all_lessons().values()) if name is None else (find_lesson(name),)
