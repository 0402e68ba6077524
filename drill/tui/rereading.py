"""Run-together notes that can be read in several ways: the ways, and the one that is chosen."""

from __future__ import annotations

import re
import unicodedata

from drill.marking.typed import Row
from drill.terms import Key
from drill.theory.language import Language
from drill.theory.names import show_name

_SIGNS = str.maketrans({"♯": "#", "+": "#", "↑": "#", "♭": "b", "↓": "b", "x": "##"})


def typed_ways(ways: tuple[Row, ...], language: Language, key: Key | None) -> tuple[str, ...]:
    """Readings to choose from, as they would be typed with spaces.

    ``key`` is needed for movable do only.
    """
    return tuple(
        " ".join(show_name(note.name, language, key=key) for note in notes) for notes in ways
    )


def chosen(text: str, number: int, choices: tuple[str, ...]) -> str | None:
    """The text with the token that was asked about spelled out as the choice of that number,
    from 1.  None where there is no such number or token."""
    if not 1 <= number <= len(choices):
        return None
    wanted = _folded(choices[number - 1].replace(" ", ""))
    for token in re.finditer(r"[^\s,;\-\u2010-\u2015\u2212]+", text):
        if _folded(token[0]) == wanted:
            return f"{text[: token.start()]}{choices[number - 1]}{text[token.end() :]}"
    return None


def _folded(text: str) -> str:
    """A text in which two spellings of the same signs are equal."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return plain.translate(_SIGNS)
