"""One setting read from a table of a file, or from a text, faults noted and never raised."""

from __future__ import annotations

import re
from enum import Enum, auto
from typing import Final

from drill.decks.fields import FaultReport, FileTable, nearest, type_word
from drill.decks.whereabouts import NOWHERE
from drill.errors import TheoryError
from drill.settings.catalogue import DECK, NONE, Field, Shape, expected
from drill.shown import quoted
from drill.terms import Instrument
from drill.theory.instruments import NO_HORN, OWN, find_instrument, near_instruments


class Nothing(Enum):
    """Absent or refused: not the same as None, which is a value of some settings."""

    NOTHING = auto()


NOTHING: Final = Nothing.NOTHING

_WHOLE = re.compile(r"[+-]?[0-9]{1,12}")
_DECIMAL = re.compile(r"[+-]?[0-9]{1,12}(?:\.[0-9]{1,20})?(?:e[+-]?[0-9]{1,3})?")
_SEPARATOR = re.compile(r"[\s,]+")
ON = ("on", "true", "yes", "1")
OFF = ("off", "false", "no", "0")


def from_table(field: Field, table: FileTable, key: str) -> object:
    """What stands in the table under the key; ``NOTHING`` where absent or refused."""
    raw = table.raw(key)
    if raw is None:
        return NOTHING
    if field.optional and raw == DECK:
        return None
    value = _read(field, table, key)
    return NOTHING if value is None else value


def _read(field: Field, table: FileTable, key: str) -> object:
    """The value; None, and noted, where it is refused."""
    match field.shape:
        case Shape.FLAG:
            return _flag(field, table, key)
        case Shape.WORD:
            assert field.words is not None  # as the shape asks
            return table.word(key, field.words)
        case Shape.WORDS:
            return _words(field, table, key)
        case Shape.WHOLE:
            return table.whole(key, field.low, field.high, field.unit)
        case Shape.DECIMAL:
            return _decimal(field, table, key)
        case Shape.LINE:
            return table.text(key, longest=field.high)
        case Shape.HORN:
            return _horn(field, table, key)


def _flag(field: Field, table: FileTable, key: str) -> bool | None:
    raw = table.raw(key)
    if isinstance(raw, bool):
        return raw
    if field.was_number and isinstance(raw, (int, float)) and 0 <= raw <= field.high:
        return raw > 0
    hint = ""
    if isinstance(raw, str) and raw.casefold() in ON + OFF:
        hint = f"write {'true' if raw.casefold() in ON else 'false'}, without quotes"
    table.wrong(key, f"{key}: expected true or false, found {type_word(raw)}", hint)
    return None


def _words(field: Field, table: FileTable, key: str) -> tuple[object, ...] | None:
    """The words of a list; None unless every one of them is right."""
    assert field.words is not None  # as the shape asks
    raw = table.raw(key)
    if raw == []:
        table.wrong(key, f"{key}: nothing is allowed: the list is empty", f"leave {key} out")
        return None
    kept = table.words(key, field.words, f'["{next(iter(field.words))}"]')
    return kept if kept is not None and isinstance(raw, list) and len(kept) == len(raw) else None


def _horn(field: Field, table: FileTable, key: str) -> Instrument | None:
    """The horn of that id or name, or the one that a table describes; None where refused."""
    raw = table.raw(key)
    if isinstance(raw, dict):
        from drill.decks.ownhorn import EXAMPLE, read_horn

        inner = table.table(key, EXAMPLE)
        assert inner is not None  # it is a dict
        return read_horn(inner)
    text = table.text(key)
    if text is None:
        return None
    if text.casefold() in (NONE, OWN, ""):
        return NO_HORN
    try:
        return find_instrument(text)
    except TheoryError:
        near = " or ".join(near_instruments(text, 2))
        hint = f"did you mean {near}?" if near else "drill list horns shows them"
        message = f"{key}: expected {expected(field)}, found {quoted(text)}"
        table.wrong(key, message, hint)
        return None


def _decimal(field: Field, table: FileTable, key: str) -> float | None:
    raw = table.raw(key)
    if isinstance(raw, bool) or not isinstance(raw, (int, float)):
        found = type_word(raw)
    elif field.low <= raw <= field.high:
        return float(raw)
    else:
        found = f"{raw:g}" if isinstance(raw, float) or abs(raw) < 10**12 else type_word(raw)
    hint = ""
    if field.high == 1 and isinstance(raw, (int, float)) and 1 < raw <= 100:
        hint = f"{raw:g} percent is {raw / 100:g}"
    table.wrong(
        key, f"{key}: expected {field.unit}, {field.low} to {field.high}, found {found}", hint
    )
    return None


def from_text(field: Field, text: str, report: FaultReport) -> object:
    """What a text from the command line or the environment means; ``NOTHING`` where refused."""
    raw = plain(field, text)
    if raw is None:
        words = (*ON[:2], *OFF[:2]) if field.shape is Shape.FLAG else ()
        hint = nearest(text.strip(), (*words, DECK) if field.optional else words)
        report.at_value((), f"{field.name}: expected {expected(field)}, found {quoted(text)}", hint)
        return NOTHING
    return from_table(field, FileTable(report, {field.name: raw}), field.name)


def plain(field: Field, text: str) -> object:
    """The TOML value that a text stands for; None where it is not even of the right type."""
    text = text.strip()
    word = text.casefold()
    if field.optional and word == DECK:
        return DECK
    match field.shape:
        case Shape.FLAG:
            if field.was_number and _DECIMAL.fullmatch(word):
                return float(word)
            return True if word in ON else False if word in OFF else None
        case Shape.WORD:
            return word
        case Shape.WORDS:
            return [each for each in _SEPARATOR.split(word) if each]
        case Shape.WHOLE:
            return int(word) if _WHOLE.fullmatch(word) else None
        case Shape.DECIMAL if _WHOLE.fullmatch(word):
            return int(word)
        case Shape.DECIMAL:
            return float(word) if _DECIMAL.fullmatch(word) else None
        case Shape.LINE | Shape.HORN:
            return text


def spelled(field: Field, value: object) -> str:
    """The text that ``from_text`` reads as this value."""
    if value is None:
        return DECK
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    if isinstance(value, Instrument):
        return NONE if value == NO_HORN else value.id
    if isinstance(value, tuple):
        return ", ".join(str(each) for each in value)
    return str(value)


def text_report(source: str) -> FaultReport:
    """A report for a text that comes from no file."""
    return FaultReport(source, NOWHERE)
