"""Every syntax fault of a TOML text in plain words, with its place.

The standard reader's messages are put into words a teacher can use, with a place even where it
only says "at end of document".  Loaded for a text that is no TOML, and for no other.
"""

from __future__ import annotations

import datetime as dt
import re
import tomllib

from drill.decks.locate import MAX_DEPTH, LineColumn, Spots
from drill.errors import Fault, FaultsError
from drill.shown import code_point, harmless, is_harmful, quoted

_MESSAGE = re.compile(
    r"(?P<what>.*?)(?: \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\))?",
    re.DOTALL,
)
_LONG_NUMBER = re.compile(r"[0-9_]{3000,}")
_DATE = re.compile(r"\b(\d{4})-(\d{1,2})-(\d{1,2})\b")
_WORD = re.compile(r"[^\s,\]}#]{1,40}")

_PLAIN = (
    ("Expected '=' after a key", "expected = after the key", 'such as title = "Thirds"'),
    ("Expected newline or end", "expected the end of the line here", "numbers without a unit"),
    ("Expected ']' at the end", "expected ] after the table's name", "such as [goal]"),
    ("Expected ']]' at the end", "expected ]] after the table's name", "such as [[pattern]]"),
    ("Unclosed array", "expected , or ] in this list", "a comma between the values"),
    ("Unclosed inline table", "expected , or } in this table", "such as { low = 1, high = 2 }"),
    ("Invalid date", "there is no such date or time", "year, month, day: 2030-06-14"),
    ("Unescaped '\\'", "a backslash does not stand for itself here", "double it"),
    ("Invalid hex value", "the backslash code is not complete", "four digits after \\u"),
    ("Escaped character is not", "the backslash code is not a character", ""),
    ("Invalid statement", "expected a key or a table here", 'such as title = "Thirds" or [goal]'),
    ("Invalid initial character", "expected a key here", "letters, digits, _ and -"),
    ("Cannot overwrite a value", "this is given twice, or in two ways", "keep one"),
    ("Cannot declare", "this table is given twice, or in two ways", "keep one"),
    ("Duplicate inline table key", "this key is given twice", "keep one"),
    ("Cannot mutate immutable", "this adds to something already complete", "put it in one place"),
    ("Cannot redefine namespace", "this adds to something already complete", "put it in one place"),
)
_TWICE = ("Cannot overwrite", "Cannot declare", "Duplicate inline table key")


def unread(source: str, error: Exception, places: Spots, file: str) -> FaultsError:
    """What is wrong with a text that the reader refused; ``places`` are those up to the fault."""
    if places.too_deep:
        return too_deep(places.too_deep, file)
    if isinstance(error, RecursionError):
        return _error(file, LineColumn(1, 1), "nested too deep to read", "")
    if isinstance(error, tomllib.TOMLDecodeError):
        return _in_plain_words(source, str(error), places, file)
    found = _LONG_NUMBER.search(source)
    place = _place_at(source, found.start()) if found else LineColumn(0, 0)
    return _error(file, place, "this number is too long to read", "")


def too_deep(place: LineColumn, file: str) -> FaultsError:
    """The fault of a text that nests deeper than a deck may."""
    return _error(file, place, f"nested more than {MAX_DEPTH} deep", "")


def _error(file: str, place: LineColumn, message: str, hint: str) -> FaultsError:
    return FaultsError(
        (Fault(harmless(file), place.line, place.column, harmless(message), harmless(hint)),)
    )


def _in_plain_words(source: str, said: str, places: Spots, file: str) -> FaultsError:
    found = _MESSAGE.fullmatch(said)
    what = found["what"] if found else said
    if found and found["line"]:
        place = LineColumn(int(found["line"]), int(found["column"]))
    else:
        place = _place_at(source, len(source.rstrip()))
    if places.opened and (places.opened.kind == "text" or not (found and found["line"])):
        return _never_closed(source, places, file)
    if what.startswith(_TWICE) and places.twice:
        again = places.twice
        name = ".".join(str(part) for part in again.path if isinstance(part, str))
        hint = f"the first is in line {again.first.line}; keep one"
        return _error(file, again.second, f"{quoted(name)} is given twice", hint)
    character = _character_at(source, place)
    if character and is_harmful(character) and character != "\n":
        return _error(
            file,
            place,
            f"the control character {code_point(character)} cannot stand here",
            "save the file with the line ends of Linux or Windows" if character == "\r" else "",
        )
    if what == "Invalid value":
        return _error(file, place, *_no_value(source, place))
    if _no_date(source, place):
        return _error(file, place, "there is no such date", "year, month, day: 2030-06-14")
    for beginning, message, hint in _PLAIN:
        if what.startswith(beginning):
            begins = places.opened.place.line if places.opened else place.line
            if "Unclosed" in beginning and begins < place.line:
                return _error(file, place, message, f"it begins in line {begins}")
            return _error(file, place, message, hint)
    return _error(file, place, f"this is not TOML: {what[:1].lower()}{what[1:]}", "")


def _no_date(source: str, place: LineColumn) -> bool:
    """Whether the fault stands in what looks like a date that is none: 2026-13-40."""
    line = source.split("\n")[place.line - 1]
    return any(found.start() < place.column <= found.end() + 1 and not _is_date(found)
               for found in _DATE.finditer(line))  # fmt: skip


def _is_date(found: re.Match[str]) -> bool:
    try:
        dt.date(int(found[1]), int(found[2]), int(found[3]))
    except ValueError:
        return False
    return True


def _never_closed(source: str, places: Spots, file: str) -> FaultsError:
    opened = places.opened
    assert opened is not None
    if opened.kind == "text":
        mark = _character_at(source, opened.place)
        if source.startswith(3 * mark, _offset_of(source, opened.place)):
            mark = 3 * mark
        hint = f"put a second {mark} at its end"
        return _error(file, opened.place, "the text that begins here is never closed", hint)
    mark = "]" if opened.kind == "list" else "}"
    message = f"the {opened.kind} that begins here is never closed"
    return _error(file, opened.place, message, f"put {mark} at its end")


def _no_value(source: str, place: LineColumn) -> tuple[str, str]:
    """Message and hint for a value that TOML cannot read."""
    found = _WORD.match(source, _offset_of(source, place))
    if not found:
        return "expected a value here", 'such as "text", 90, true or ["C", "G"]'
    word = found[0]
    if word.lower() in ("true", "false"):
        return f"{quoted(word)} is not a value", f"write {word.lower()}"
    if word.lower() in ("yes", "no", "on", "off"):
        return f"{quoted(word)} is not a value", "write true or false"
    if word[0].isalpha():
        return f"text needs quotes: {harmless(word)}", 'such as ["C", "G"]'
    return f"{quoted(word)} is not a value", "text in quotes; numbers with digits only"


def _offset_of(source: str, place: LineColumn) -> int:
    start = 0
    for _ in range(place.line - 1):
        start = source.index("\n", start) + 1
    return start + place.column - 1


def _character_at(source: str, place: LineColumn) -> str:
    offset = _offset_of(source, place)
    return source[offset] if offset < len(source) else ""


def _place_at(source: str, offset: int) -> LineColumn:
    return LineColumn(source.count("\n", 0, offset) + 1, offset - source.rfind("\n", 0, offset))
