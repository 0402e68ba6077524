"""The questions of the first start in plain lines, each with a good answer under Enter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TextIO, TypeVar

from drill.decks.mine import KnownKeys, Start, horns
from drill.errors import TheoryError
from drill.theory.instruments import find_instrument
from drill.theory.language import Language
from drill.wording.linemode import (
    THREE_QUESTIONS,
    asked_told,
    no_choice_told,
    no_language_told,
)
from drill.wording.settings import horn_words, language_words

T = TypeVar("T")
_KNOWN = list(KnownKeys)


def ask_start(source: TextIO, say: Callable[[str], None], start: Start) -> Start:
    """The answers of a person; Enter takes what ``start`` has, and so does the input's end."""
    say(THREE_QUESTIONS)
    usual = ", ".join(horn.id for horn in horns()[:6])
    horn = _asked(
        source,
        say,
        asked_told("horn", horn_words(start.horn), f"{usual} ..."),
        lambda text: find_instrument(text).id,
        start.horn,
    )
    start = replace(start, horn=horn)
    for number, known in enumerate(_KNOWN, start=1):
        say(f"  {number} {known.words}")
    known = _asked(source, say, asked_told("known", "1"), _numbered, start.known)
    start = replace(start, known=known)
    listed = ", ".join(language.value for language in Language)
    names = _asked(
        source,
        say,
        asked_told("names", language_words(start.names.value), listed),
        _language,
        start.names,
    )
    return replace(start, names=names)


def _asked(
    source: TextIO,
    say: Callable[[str], None],
    question: str,
    read: Callable[[str], T],
    default: T,
) -> T:
    """One answer, asked for until it can be read."""
    while True:
        say(question)
        line = source.readline()
        text = line.strip()
        if not text:
            return default
        try:
            return read(text)
        except TheoryError as error:
            say(str(error))


def _numbered(text: str) -> KnownKeys:
    if text.isdecimal() and 1 <= int(text) <= len(_KNOWN):
        return _KNOWN[int(text) - 1]
    raise TheoryError(no_choice_told(text, len(_KNOWN)))


def _language(text: str) -> Language:
    try:
        return Language(text.casefold())
    except ValueError:
        raise TheoryError(no_language_told(text)) from None
