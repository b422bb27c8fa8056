"""The table of lessons."""

from __future__ import annotations

from functools import lru_cache

from mullbed.domain.teaching import Lesson, LessonStep
from mullbed.reference.naming import find_key, index_of
from mullbed.reference.tables import provenance, toml_table


@lru_cache(maxsize=1)
def all_lessons() -> dict[str, Lesson]:
    """Return every lesson by key.

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    found = {}
    for key, row in toml_table("lessons.toml").items():
        known = [provenance(f"lessons.toml, {key}", row["evidence"], source) for source in row["sources"]]
        found[key] = Lesson(
            key=key,
            question=row["question"],
            answer=row["answer"],
            sentences=tuple(row["sentences"]),
            needs=tuple(row["needs"]),
            before=row["before"],
            steps=tuple(LessonStep(one["minutes"], one["text"]) for one in row["steps"]),
            dont=row["dont"],
            ask=tuple(row["ask"]),
            limits=row["limits"],
            evidence=known[0][0],
            sources=tuple(source for _, source in known),
        )
    return found


def find_lesson(name: str) -> Lesson:
    """Return the lesson of a key or a question; raises NotFound with near names."""
    lessons = all_lessons()
    return lessons[find_key("lesson", name, index_of((key, (one.question,)) for key, one in lessons.items()))]
