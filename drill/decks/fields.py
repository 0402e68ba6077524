"""Reading the keys of one table, each of the right type, every fault collected.

A reader never raises: it notes the fault at its place and gives the default, so
that one look at a file names everything that is wrong with it.
"""

from __future__ import annotations

import datetime as dt
import pathlib
from collections.abc import Callable, Iterable, Mapping
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from drill.errors import Fault, FaultsError, TheoryError, UsageError
from drill.shown import code_point, first_harmful, harmless, quoted

if TYPE_CHECKING:
    from drill.decks.locate import LineColumn, Path
    from drill.decks.whereabouts import Whereabouts

MOST_FAULTS = 100
"""Faults named for one file; after that it is said that there are more."""

MOST_IN_LIST = 200
"""Elements of one list."""

_ABOUT = 0.04
"""Difference of similarity (0 to 1) below which two words are about as near."""

_Word = TypeVar("_Word", bound=StrEnum)
_Parsed = TypeVar("_Parsed")


class FaultReport:
    """The faults of one file, in the order found."""

    def __init__(self, file: str, places: Whereabouts, folder: pathlib.Path | None = None) -> None:
        self.file = harmless(file)
        self.places = places
        self.folder = folder or pathlib.Path()
        """Where the file lies: what it names is looked for there."""
        self._faults: list[tuple[Callable[[Path], LineColumn], Path, str, str]] = []
        """What finds the place, of what, message and hint: places are looked for at the end."""
        self._more = False

    @property
    def full(self) -> bool:
        """True once no more faults are kept; lets a reader stop looking for hints."""
        return len(self._faults) >= MOST_FAULTS

    def at_key(self, path: Path, message: str, hint: str = "") -> None:
        """Notes a fault of the key, or of the table, that stands at the path."""
        self._add(self.places.key, path, message, hint)

    def at_value(self, path: Path, message: str, hint: str = "") -> None:
        """Notes a fault of the value that stands at the path."""
        self._add(self.places.value, path, message, hint)

    def _add(self, find: Callable[[Path], LineColumn], path: Path, message: str, hint: str) -> None:
        if self.full:
            self._more = True
            return
        self._faults.append((find, path, harmless(message), harmless(hint)))

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Every fault, in the order of the file."""
        placed = ((find(path), message, hint) for find, path, message, hint in self._faults)
        found = sorted(
            (Fault(self.file, at.line, at.column, *said) for at, *said in placed),
            key=lambda fault: (fault.line, fault.column),
        )
        if self._more:
            found.append(Fault(self.file, 0, 0, "there are more faults; mend these first"))
        return tuple(found)

    def raise_if_any(self) -> None:
        """Raises FaultsError with every fault; nothing if there is none."""
        if self._faults:
            raise FaultsError(self.faults)

    def refuse_if_any(self) -> None:
        """Raises UsageError with the first fault, for what comes from no file."""
        if self._faults:
            raise UsageError(self.faults[0].told)


def type_word(value: object) -> str:
    """What a TOML value is, in a teacher's words."""
    words: tuple[tuple[type | tuple[type, ...], str], ...] = (
        (bool, "true or false"),
        (int, "a whole number"),
        (float, "a decimal number"),
        (str, "text"),
        (list, "a list"),
        (dict, "a table"),
        (dt.datetime, "a date with a time"),
        (dt.date, "a date"),
        (dt.time, "a time of day"),
    )
    return next((word for kind, word in words if isinstance(value, kind)), "something else")


def nearest(word: str, known: Iterable[str]) -> str:
    """What may have been meant by a mistyped word, as a question; empty where nothing is near."""
    if len(word) > 80:
        return ""
    wanted = word.casefold()
    choices = {choice.casefold(): choice for choice in known}
    import difflib  # only where a word was mistyped

    near = difflib.get_close_matches(wanted, list(choices), n=2, cutoff=0.6)
    if len(near) == 2:  # the second only where it is about as near as the first
        first, second = (difflib.SequenceMatcher(None, each, wanted).ratio() for each in near)
        near = near if second > first - _ABOUT else near[:1]
    return f"did you mean {' or '.join(choices[each] for each in near)}?" if near else ""


class FileTable:
    """One table of the file, from which keys are taken by name and type."""

    def __init__(self, report: FaultReport, values: Mapping[str, object], path: Path = ()) -> None:
        self.report = report
        self.path = path
        self._values = values

    def __contains__(self, key: str) -> bool:
        return key in self._values

    def raw(self, key: str) -> object:
        """The value as read; None where the key is absent (TOML has no null)."""
        return self._values.get(key)

    def at(self, key: str) -> Path:
        """The path of one of this table's keys."""
        return (*self.path, key)

    def wrong(self, key: str, message: str, hint: str = "") -> None:
        """Notes a fault of the value of a key."""
        self.report.at_value(self.at(key), message, hint)

    def _wrong_type(self, key: str, expected: str, hint: str = "") -> None:
        self.wrong(key, f"{key}: expected {expected}, found {type_word(self.raw(key))}", hint)

    # -- one value

    def text(self, key: str, *, longest: int = 100, lines: bool = False) -> str | None:
        """Text that is harmless to print, trimmed; None where absent or refused.

        ``lines`` allows several lines and tabs.
        """
        value = self.raw(key)
        if value is None:
            return None
        if not isinstance(value, str):
            self._wrong_type(key, "text", "in quotes")
            return None
        return checked_text(self.report, self.at(key), key, value, longest, lines=lines)

    def whole(self, key: str, low: int, high: int, unit: str) -> int | None:
        """A whole number from ``low`` to ``high``; None where absent or refused."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int):
            self._wrong_type(key, f"{unit}, {low} to {high}")
            return None
        if not low <= value <= high:
            self.wrong(key, f"{key}: expected {unit}, {low} to {high}, found {_number(value)}")
            return None
        return value

    def flag(self, key: str, default: bool) -> bool:
        """True or false."""
        value = self.raw(key)
        if isinstance(value, bool):
            return value
        if value is not None:
            self._wrong_type(key, "true or false")
        return default

    def date(self, key: str) -> dt.date | None:
        """A date without a time; None where absent or refused."""
        value = self.raw(key)
        if value is None:
            return None
        if isinstance(value, dt.datetime) or not isinstance(value, dt.date):
            self._wrong_type(key, "a date", "year, month, day without quotes: 2030-06-14")
            return None
        return value

    def word(self, key: str, words: type[_Word]) -> _Word | None:
        """One word of a closed set; None where absent or refused."""
        value = self.raw(key)
        if value is None:
            return None
        return self._word_at(self.at(key), key, value, words)

    def parsed(
        self, key: str, parse: Callable[[str], _Parsed], what: str, hint: str
    ) -> _Parsed | None:
        """The text of a key as ``parse`` reads it; None where absent, or not ``what``: a note."""
        text = self.text(key)
        if text is None:
            return None
        try:
            return parse(text)
        except TheoryError:
            self.wrong(key, f"{key}: {quoted(text)} is not {what}", hint)
            return None

    # -- lists and tables

    def items(self, key: str, example: str) -> list[tuple[Path, object]] | None:
        """The elements of a list with the path of each; None where absent or no list."""
        value = self.raw(key)
        if value is None:
            return None
        if not isinstance(value, list):
            hint = f"in square brackets: {key} = {example}"
            self._wrong_type(key, "a list", hint)
            return None
        if len(value) > MOST_IN_LIST:
            self.wrong(key, f"{key}: at most {MOST_IN_LIST} in a list, found {len(value)}")
            return None
        return [((*self.at(key), index), each) for index, each in enumerate(value)]

    def texts(self, key: str, example: str) -> list[tuple[Path, str]] | None:
        """The elements of a list of text; those of another type are left out and noted."""
        items = self.items(key, example)
        if items is None:
            return None
        kept = []
        for path, each in items:
            if isinstance(each, str):
                kept.append((path, each))
            else:
                self.report.at_value(
                    path, f"{key}: expected text, found {type_word(each)}", f"such as {example}"
                )
        return kept

    def words(self, key: str, words: type[_Word], example: str) -> tuple[_Word, ...] | None:
        """Words of a closed set, each once; None where absent or no list."""
        texts = self.texts(key, example)
        if texts is None:
            return None
        kept: list[_Word] = []
        for path, each in texts:
            word = self._word_at(path, key, each, words)
            if word is not None and word in kept:
                self.report.at_value(path, f"{key}: {quoted(each)} stands here twice")
            elif word is not None:
                kept.append(word)
        return tuple(kept)

    def table(self, key: str, example: str) -> FileTable | None:
        """The table of that name; None where absent or no table."""
        value = self.raw(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            self._wrong_type(key, "a table", f"such as {example}")
            return None
        return FileTable(self.report, value, self.at(key))

    def tables(self, key: str, example: str) -> list[FileTable]:
        """The tables of an array of tables; empty where absent or something else."""
        value = self.raw(key)
        if value is None:
            return []
        if isinstance(value, dict):
            self.report.at_key(self.at(key), f"{key}: expected double brackets", f"write [[{key}]]")
            return []
        if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            self._wrong_type(key, f"[[{key}]] tables", example)
            return []
        if len(value) > MOST_IN_LIST:
            self.wrong(key, f"{key}: at most {MOST_IN_LIST} tables, found {len(value)}")
            return []
        return [
            FileTable(self.report, each, (*self.at(key), index)) for index, each in enumerate(value)
        ]

    # -- the rest

    def refuse_others(self, known: Iterable[str], meant: Mapping[str, str]) -> None:
        """Notes every key that is not among the known, with what may have been meant."""
        known = tuple(known)
        for key in self._values:
            if key in known:
                continue
            if self.report.full:
                self.report.at_key(self.at(key), "")
                return
            hint = meant.get(key.casefold()) or nearest(key, known)
            self.report.at_key(
                self.at(key),
                f"there is no key {quoted(key)} here",
                hint or f"known are {', '.join(known)}",
            )

    def refuse(self, keys: Iterable[str], why: str, hint: str = "leave it out") -> None:
        """Notes each of the keys that stands here: ``roots belongs to a cell``."""
        for key in keys:
            if key in self:
                self.report.at_key(self.at(key), f"{key} {why}", hint)

    def _word_at(self, path: Path, key: str, value: object, words: type[_Word]) -> _Word | None:
        choices = [word.value for word in words]
        if isinstance(value, str) and value in choices:
            return words(value)
        found = quoted(value) if isinstance(value, str) else type_word(value)
        message = f"{key}: expected {_either(choices)}, found {found}"
        self.report.at_value(
            path, message, nearest(value, choices) if isinstance(value, str) else ""
        )
        return None


def checked_text(
    report: FaultReport, path: Path, key: str, value: str, longest: int, *, lines: bool = False
) -> str | None:
    """The text trimmed, if it is harmless and not too long; else None and a fault."""
    harm = first_harmful(value, "\n\t" if lines else "")
    if harm is not None:
        what = "one line, found a line break" if harm == "\n" else "plain text"
        found = "" if harm == "\n" else f", found the control character {code_point(harm)}"
        report.at_value(path, f"{key}: expected {what}{found}")
        return None
    if len(value) > longest:
        report.at_value(path, f"{key}: at most {longest} characters, found {len(value)}")
        return None
    return value.strip()


def _either(choices: list[str]) -> str:
    quoted_choices = [f'"{choice}"' for choice in choices]
    if len(quoted_choices) == 1:
        return quoted_choices[0]
    return f"{', '.join(quoted_choices[:-1])} or {quoted_choices[-1]}"


def _number(value: int) -> str:
    """The number, or that it is a very long one."""
    return str(value) if abs(value) < 10**12 else "a number of more than 12 digits"
