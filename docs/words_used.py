"""Find every message a catalogue of the page should hold: in templates, in the source, and in tables that are told."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

from mullbed.web.catalogue import Message
from mullbed.web.rendering import environment

SOURCE = Path(__file__).resolve().parent.parent / "src" / "mullbed"
SAID = {"say": 1, "marked": 1, "_": 1, "say_many": 2, "n_": 2, "gettext": 1, "ngettext": 2, "progress": 1}
"""What tells words, and how many of its first arguments are words."""
SPOKEN_IN = ("reports", "web", "domain", "usecases", "diagnose", "plan")
"""Folders whose files call them."""
TABLES: dict[str, tuple[str, ...]] = {
    "trouble_signs.toml": ("name", "sense"),
    "trouble_causes.toml": ("name", "because", "heading", "steps", "avoid", "expect", "change", "tells_apart"),
    "trouble_facts.toml": ("words", "question"),
    "quick_nitrogen.toml": ("name",),
    "field_checks.toml": ("name", "steps", "spoils", "repeats", "note", "classes"),
    "lessons.toml": ("question",),
    "trial_effects.toml": ("when",),
    "hazards.toml": ("word", "risk", "action"),
    "safety_rules.toml": ("says",),
}
"""Columns of tables that pages tell as they stand."""

FAULTS_IN = (
    "web/**/*.py",
    "domain/pass_phrase.py",
    "units.py",
    "usecases/create_garden.py",
    "usecases/invite_person.py",
    "usecases/list_in_hand.py",
    "usecases/log_line/*.py",
    "usecases/preview_layer.py",
    "usecases/share_look.py",
)
"""Where faults are told that a page shows; those told elsewhere stay in English, marked so."""

Found = dict[tuple[str, str], Message]


def used() -> Found:
    """Return every message by what it is about and its words, in the order it was found."""
    found: Found = {}
    for message in (*_in_templates(), *_in_source(), *_in_faults(), *_in_tables(), *_names(), *_forms()):
        found.setdefault((message.about, message.words), message)
        if message.many and not found[message.about, message.words].many:
            found[message.about, message.words] = message
    return found


def _in_templates() -> Iterator[Message]:
    templates = environment()
    for name in templates.list_templates(extensions=["html"]):
        text = (SOURCE / "web" / "templates" / name).read_text(encoding="utf-8")
        tree = templates.parse(text)
        from jinja2 import nodes

        for call in tree.find_all(nodes.Call):
            if not isinstance(call.node, nodes.Name) or call.node.name not in SAID:
                continue
            words = [one.value for one in call.args if isinstance(one, nodes.Const)]
            about = next((one.value.value for one in call.kwargs if one.key == "about"), "")
            yield from _message(SAID[call.node.name], words, about)


def _in_source() -> Iterator[Message]:
    for folder in SPOKEN_IN:
        for file in sorted((SOURCE / folder).rglob("*.py")):
            text = file.read_text(encoding="utf-8")
            if "mullbed.language" not in text and "progress(" not in text:
                continue  # it tells nothing
            for node in ast.walk(ast.parse(text)):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAID:
                    words = [one.value for one in node.args if isinstance(one, ast.Constant)]
                    told = {one.arg: one.value.value for one in node.keywords if isinstance(one.value, ast.Constant)}
                    yield from _message(SAID[node.func.id], words, told.get("about", ""))


def _in_faults() -> Iterator[Message]:
    """Whole words of faults; what is put together of a case stays in English."""
    for pattern in FAULTS_IN:
        for file in sorted(SOURCE.glob(pattern)):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if (
                    isinstance(node, ast.Call)
                    and isinstance(node.func, ast.Name)
                    and node.func.id in ("Fault", "_refuse")
                ):
                    for one in node.args:
                        words = one.value if isinstance(one, ast.Constant) else None
                        if isinstance(words, str) and words and not words.startswith(("-", "[")):
                            yield Message("", words)


def _message(many: int, words: list[object], about: object) -> Iterator[Message]:
    told = [one for one in words if isinstance(one, str)]
    if len(told) >= many and told[0]:
        yield Message(str(about), told[0], told[1] if many == 2 else "")


def _in_tables() -> Iterator[Message]:
    for table, columns in TABLES.items():
        rows = tomllib.loads((SOURCE / "reference" / table).read_text(encoding="utf-8"))
        for row in rows.values():
            for column in columns:
                value = row.get(column, [])
                for words in value if isinstance(value, list) else [value]:
                    yield Message("", words[1] if isinstance(words, list) else words)


def _names() -> Iterator[Message]:
    from mullbed.domain.observation import OBSERVABLES
    from mullbed.domain.record_batches import Decision, TestVerdict
    from mullbed.domain.trial import Fairness, Way
    from mullbed.reference.crops import all_crops
    from mullbed.reference.residues import all_residues
    from mullbed.reports.names import english_crop, english_residue
    from mullbed.reports.words import MONTHS

    for kind in (Way, Fairness, Decision, TestVerdict):
        for member in kind:
            yield Message("", str(member))
    for month in MONTHS:
        yield Message("month", month)
    for key, one in OBSERVABLES.items():
        yield Message("", key)
        for word in one.words:
            yield Message("", word)
    for key in all_residues():
        yield Message("", english_residue(key))
    for key in all_crops():
        yield Message("", english_crop(key))


def _forms() -> Iterator[Message]:
    """Things that are counted."""
    from mullbed.reports.words import plural

    containers = tomllib.loads((SOURCE / "reference" / "containers.toml").read_text(encoding="utf-8"))
    things = [key.replace("_", " ") for key in containers]
    things += ["armful", "hand", "bed", "layer", "planned layer", "thing", "note", "day", "pot", "mug"]
    things += [
        "pair",
        "block",
        "test",
        "year",
        "hour",
        "minute",
        "rule",
        "level tablespoon",
        "leaf sack",
        "sack",
        "crate",
        "basket",
        "box",
        "pile",
    ]
    for one in things:
        yield Message("", one, plural(one))
