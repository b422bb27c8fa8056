"""What a pass phrase must not be: short, one thing over and over, in a row, or what everybody takes.

By NIST SP 800-63B (Grassi and others, 2017, 5.1.1.2): length counts, no rules of signs, and what is commonly used,
expected or compromised is refused: repeated or sequential signs, words of the service, the name itself. The list of
common words is our own, from memory; what is left of a phrase without them must still be something to guess.
"""

from __future__ import annotations

import re
import unicodedata
from itertools import pairwise

from mullbed.domain.people import LEAST_PHRASE
from mullbed.errors import Fault

MOST_PHRASE = 200
"""[letters]"""
LEAST_LEFT = 6
"""So many letters must be left beside common words and the name. Judgement."""
LEAST_DIFFERENT = 5
"""So many different signs. Judgement."""
IN_A_ROW = 0.6
"""No more of it may be steps along a row. Judgement. [fraction]"""
ROWS = (
    "abcdefghijklmnopqrstuvwxyz",
    "01234567890",
    "qwertyuiopasdfghjklzxcvbnm",
    "qwertzuiop",
    "azertyuiop",
    "1qaz2wsx3edc4rfv5tgb",
)
_WORDS = """
password passwort passphrase contrasena motdepasse letmein welcome bienvenido bienvenue willkommen iloveyou teamo
tequiero jetaime trustno admin administrator master login access secret changeme default guest root user test qwerty
qwertz azerty asdf zxcv dragon monkey football baseball basketball soccer futbol liverpool barcelona realmadrid
arsenal chelsea superman batman spiderman starwars pokemon minecraft princess sunshine shadow summer winter spring
autumn flower hello whatever charlie michael jordan jessica ashley thomas daniel andrea alexander computer internet
samsung google facebook mullbed garden gardening compost soil allotment january february march april june july august
september october november december monday friday love angel cheese cookie banana orange chocolate freedom jesus maria
familia mustang ferrari harley hunter killer
"""
COMMON = tuple(sorted(_WORDS.split(), key=len, reverse=True))
"""Longest first, so that no part of a longer word is left."""
KNOWN_WHOLE = frozenset(
    {"correcthorsebatterystaple", "thequickbrownfox", "thequickbrownfoxjumpsoverthelazydog", "tobeornottobe"}
)
"""Phrases every list of leaked ones holds, though nothing in them is common by itself."""


def phrase_faults(phrase: str, name: str = "") -> list[Fault]:
    """Return what is wrong with a new phrase; the phrase itself is not told back."""
    if not LEAST_PHRASE <= len(phrase) <= MOST_PHRASE:
        remedy = "Take four words that do not belong together."
        return [Fault("Phrase", f"{len(phrase)} letters", f"{LEAST_PHRASE} to {MOST_PHRASE}", remedy)]
    if is_common(phrase, name):
        remedy = "Take four words that do not belong together, none of them your name."
        return [Fault("Phrase", "one that many have or that is soon guessed", "one that nobody else has", remedy)]
    return []


def is_common(phrase: str, name: str = "") -> bool:
    """Tell whether a phrase is soon guessed."""
    bare_letters = "".join(one for one in unicodedata.normalize("NFKD", phrase) if not unicodedata.combining(one))
    plain = re.sub(r"[\W_]", "", bare_letters.casefold())
    bare = plain or phrase
    if len(set(bare)) < LEAST_DIFFERENT or (bare + bare).find(bare, 1) < len(bare) or plain in KNOWN_WHOLE:
        return True
    steps = sum(1 for pair in pairwise(bare) if _in_a_row("".join(pair)))
    if steps > IN_A_ROW * (len(bare) - 1):
        return True
    left = re.sub(r"\d", "", bare)
    for word in (*(part.casefold() for part in name.split() if len(part) > 2), *COMMON):
        left = left.replace(word, "")
    return len(left) < LEAST_LEFT and bool(re.search(r"[^\W\d_]", bare) or bare.isdigit())


def _in_a_row(pair: str) -> bool:
    return pair[0] == pair[1] or any(pair in row or pair[::-1] in row for row in ROWS)
