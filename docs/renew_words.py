"""Bring every catalogue of the page up to date: what is told now stands in it, what is told no more is gone."""

from __future__ import annotations

import json
import runpy
from pathlib import Path

from mullbed.web.catalogue import Message, read_messages

HERE = Path(__file__).resolve().parent
LOCALE = HERE.parent / "src" / "mullbed" / "web" / "locale"


def page(place: Path) -> str:
    """Return a catalogue with every message that is told now; translations that stand are kept."""
    text = place.read_text(encoding="utf-8")
    head, *before = read_messages(text)
    known = {(one.about, one.words): one for one in before}
    comments = "".join(f"{line}\n" for line in text.splitlines() if line.startswith("# "))
    parts = [comments + _entry(head)]
    for key, one in runpy.run_path(str(HERE / "words_used.py"))["used"]().items():
        kept = known.get(key)
        told = kept.told if kept is not None and bool(kept.many) == bool(one.many) else ()
        parts.append(_entry(Message(one.about, one.words, one.many, told, bool(kept and kept.doubtful))))
    return "\n".join(parts)


def _entry(one: Message) -> str:
    lines = ["#, fuzzy"] if one.doubtful else []
    lines += [f"msgctxt {_text(one.about)}"] if one.about else []
    lines.append(f"msgid {_text(one.words)}")
    if one.many:
        told = one.told or ("", "")
        lines.append(f"msgid_plural {_text(one.many)}")
        lines += [f"msgstr[{place}] {_text(words)}" for place, words in enumerate(told)]
    else:
        words = one.told[0] if one.told else ""
        if not one.words:
            lines.append('msgstr ""')
            lines += [_text(f"{line}\n") for line in words.splitlines()]
        else:
            lines.append(f"msgstr {_text(words)}")
    return "\n".join(lines) + "\n"


def _text(words: str) -> str:
    return json.dumps(words, ensure_ascii=False)


if __name__ == "__main__":
    for catalogue in sorted(LOCALE.rglob("*.po")):
        catalogue.write_text(page(catalogue), encoding="utf-8")
