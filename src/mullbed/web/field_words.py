"""What the script at the bed tells; it finds these words in the page, in the reader's language."""

from __future__ import annotations

from mullbed.language import marked, say

FIELD_WORDS = {
    "one": marked("1 note waits on this phone"),
    "many": marked("{count} notes wait on this phone"),
    "refused": marked("Not taken: {why}"),
    "it was refused": marked("It was refused."),
    "no signal": marked("No signal"),
    "later": marked("They send themselves when you are back in range."),
    "sent": marked("All notes are in."),
    "kept": marked("Written down on this phone."),
    "safe": marked("Nothing is lost if you close this."),
    "undo": marked("Undo"),
    "first": marked("What to do first: {sign}"),
    "untold": marked("No signal. What it will do is told when you are back in range."),
}


def field_words() -> dict[str, str]:
    """Return the words of the script in the language of the moment."""
    return {key: say(words) for key, words in FIELD_WORDS.items()}
