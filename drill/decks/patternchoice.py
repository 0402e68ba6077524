"""The patterns of a deck: catalogue ids, free cells, and ``[[pattern]]`` tables."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from drill.decks.fields import FaultReport, FileTable, checked_text, nearest, type_word
from drill.decks.linechoice import read_chords, read_excerpt, read_home
from drill.decks.locate import Path
from drill.errors import TheoryError
from drill.shown import quoted
from drill.terms import Descent, Ending, Mode, Pattern
from drill.theory.cells import parse_cell
from drill.theory.chords import CHORDS, PREFIX
from drill.theory.faults import CellError
from drill.theory.patterns import (
    PATTERNS,
    ROOT_ORDERS,
    Turns,
    find_pattern,
    free_pattern,
    same_cell,
    turns_of,
)
from drill.theory.progressions import (
    LONGEST,
    looks_like_progression,
)

PATTERN_KEYS = (
    "id", "name", "cell", "cells", "progression", "moves_by", "descent", "ending", "mode", "roots",
    "in", "voice_leading", "guide_tones", "all", "begin", "finish", "groups_of", "from", "bars",
    "part",
)  # fmt: skip
"""The keys of a ``[[pattern]]`` table."""

_KEYED = ("begin", "finish", "groups_of")
"""What only a pattern that counts degrees of a key has."""
_IN_A_KEY = "belongs to a pattern in a key"

_SOURCES = ("id", "cell", "cells", "progression", "from")
"""Of which a table has one."""

_MEANT = {
    "pattern": "id, for one of the catalogue, or cell",
    "step": "moves_by: the degrees from one start to the next",
    "order": "roots",
    "down": "descent",
}
_ROOT = re.compile(r"(bb|b|##|#|)[1-7]")
_MOST_ROOTS = 24
_EXAMPLE = '["return3", "1-2-3-5"]'


@dataclass(frozen=True, slots=True)
class _OfAll:
    """What a deck wants of all its patterns; None and False leave each as it is."""

    descent: Descent | None = None
    ending: Ending | None = None
    led: bool = False
    guide: bool = False
    begin: int = 1
    finish: int = 0
    groups_of: int = 0

    def on(self, pattern: Pattern) -> Pattern:
        """A pattern with what is wanted of it; a progression begins on its first chord."""
        keyed = pattern.mode is Mode.KEY
        return replace(
            pattern,
            descent=self.descent or pattern.descent,
            ending=(self.ending if not pattern.chords else None) or pattern.ending,
            begin=self.begin if keyed else 1,
            finish=self.finish if keyed else 0,
            groups_of=self.groups_of if keyed else 0,
        )

    def of(self, table: FileTable) -> _OfAll:
        """The same with what one pattern's own table says."""
        return _OfAll(
            table.word("descent", Descent) or self.descent,
            table.word("ending", Ending) or self.ending,
            table.flag("voice_leading", self.led),
            table.flag("guide_tones", self.guide),
            table.whole("begin", 1, 12, "a degree") or self.begin,
            table.whole("finish", 1, 12, "a degree") or self.finish,
            table.whole("groups_of", 2, 12, "notes") or self.groups_of,
        )


def read_patterns(table: FileTable) -> tuple[Pattern, ...]:
    """The patterns of a deck's table, each with its descent and ending as the deck wants them."""
    wanted = _OfAll().of(table)
    found: list[tuple[Path, Pattern]] = []
    for path, each in table.items("patterns", _EXAMPLE) or ():
        found += [(path, pattern) for pattern in _from_list(table.report, path, each, wanted)]
    for path, text in _lines(table):
        chords = read_chords(table.report, path, text, led=wanted.led, guide=wanted.guide)
        found += [(path, wanted.on(chords))] if chords else []
    for inner in table.tables("pattern", 'ids and cells go in patterns = ["return3"]'):
        found += [(inner.path, pattern) for pattern in _from_table(inner, wanted)]
    _refuse_twice(table.report, found)
    sources = ("patterns", "progression", "pattern")
    if not any(source in table for source in sources):
        table.report.at_key((), "patterns is missing", f"such as patterns = {_EXAMPLE}")
    elif all(table.raw(source) in (None, []) for source in sources):
        here = next(source for source in sources if source in table)
        table.report.at_key(table.at(here), f"nothing to drill: {here} is empty")
    for key in ("voice_leading", "guide_tones"):
        if key in table and not any(pattern.chords for _, pattern in found):
            table.wrong(key, f"{key} goes with a progression", 'such as "Dm7 G7 Cmaj7"')
    for key in _KEYED:
        if key in table and found and all(each.mode is Mode.ROOT for _, each in found):
            table.wrong(key, f"{key} goes with patterns in a key", "leave it out")
    return tuple(pattern for _, pattern in found)


def _from_list(
    report: FaultReport, path: Path, each: object, wanted: _OfAll
) -> tuple[Pattern, ...]:
    """The patterns of one element of ``patterns``: an id, a cell, chords, or a table in a line."""
    if isinstance(each, dict):
        return _from_table(FileTable(report, each, path), wanted)
    if not isinstance(each, str):
        report.at_value(
            path, f"patterns: expected text, found {type_word(each)}", f"such as {_EXAMPLE}"
        )
        return ()
    if each.strip() not in PATTERNS and looks_like_progression(each):
        pattern = read_chords(report, path, each, led=wanted.led, guide=wanted.guide)
    else:
        pattern = _from_text(report, path, each)
    return (wanted.on(pattern),) if pattern else ()


def _lines(table: FileTable) -> list[tuple[Path, str]]:
    """The texts of ``progression``: one, or a list of them."""
    raw = table.raw("progression")
    if isinstance(raw, str):
        return [(table.at("progression"), raw)]
    return table.texts("progression", '["Dm7 G7 Cmaj7"]') or []


def _refuse_twice(report: FaultReport, found: list[tuple[Path, Pattern]]) -> None:
    seen: set[Pattern] = set()
    for path, pattern in found:
        played = replace(pattern, id="", name="")
        if played in seen:
            report.at_value(path, f"the pattern {quoted(pattern.text)} is in the deck twice")
        seen.add(played)


def _from_text(report: FaultReport, path: Path, text: str) -> Pattern | None:
    """The pattern of an id or a free cell; a cell of the catalogue is the catalogue's."""
    checked = checked_text(report, path, "patterns", text, 100)
    if checked is None:
        return None
    try:
        pattern = find_pattern(checked)
    except CellError as error:
        report.at_value(path, f"{quoted(checked)} is not a cell: {error.text}")
        return None
    except TheoryError as error:
        chord = checked.removeprefix(PREFIX).partition("/")[0]
        if checked.startswith(PREFIX) and chord in CHORDS:
            report.at_value(path, str(error))
            return None
        known = [*PATTERNS, *(PREFIX + each for each in CHORDS)]
        hint = "" if report.full else nearest(checked, known)
        report.at_value(
            path,
            f"there is no pattern {quoted(checked)}",
            hint or "an id of the catalogue, or a cell such as 1-2-3-5",
        )
        return None
    return same_cell(pattern) or pattern


def _from_table(table: FileTable, wanted: _OfAll) -> tuple[Pattern, ...]:
    """The pattern of a ``[[pattern]]`` table or a table in a line; none where it has a fault."""
    table.refuse_others(PATTERN_KEYS, _MEANT)
    own = wanted.of(table)
    given = [key for key in _SOURCES if key in table]
    if len(given) != 1:
        said = f"found {' and '.join(given)}" if given else "found none"
        table.report.at_key(
            table.path,
            f"a pattern needs one of {', '.join(_SOURCES[:-1])} and {_SOURCES[-1]}, {said}",
            'such as cell = "1-2-3-5"',
        )
        return ()
    if given == ["progression"]:
        table.refuse(_KEYED, _IN_A_KEY)
        pattern = _progression(table, own)
        return (own.on(pattern),) if pattern else ()
    table.refuse(("voice_leading", "guide_tones"), "belongs to a progression")
    if given == ["from"]:
        pattern = read_excerpt(table)
    else:
        table.refuse(("in",), "belongs to a progression")
        table.refuse(("bars", "part"), "belongs to a file of music")
        pattern = _from_catalogue(table) if given == ["id"] else _own(table, given[0], own)
    if pattern is None:
        return ()
    if pattern.mode is Mode.ROOT:
        table.refuse(_KEYED, _IN_A_KEY)
    return tuple(own.on(each) for each in _all_of(table, pattern))


def _all_of(table: FileTable, pattern: Pattern) -> tuple[Pattern, ...]:
    """The rotations or permutations of a cell where its table asks for all of them."""
    kind = table.word("all", Turns)
    if kind is None:
        return (pattern,)
    try:
        return turns_of(pattern, kind)
    except TheoryError as error:
        table.wrong("all", str(error))
        return ()


def _progression(table: FileTable, own: _OfAll) -> Pattern | None:
    """A progression with what its table says of it."""
    table.refuse(("moves_by", "mode", "roots", "ending"), "does not belong to a progression")
    home = read_home(table)
    line = table.text("progression", longest=LONGEST)
    if line is None:
        return None
    name = table.text("name", longest=60) or ""
    path = table.at("progression")
    return read_chords(table.report, path, line, home=home, led=own.led, guide=own.guide, name=name)


def _from_catalogue(table: FileTable) -> Pattern | None:
    """The catalogue's pattern of an id, on the roots that its table names."""
    hint = "leave it out, or write the cell"
    table.refuse(("name", "moves_by", "mode"), "belongs to a cell of your own, not to an id", hint)
    text = table.text("id")
    roots = _roots(table)
    pattern = _from_text(table.report, table.at("id"), text) if text is not None else None
    if pattern is None:
        return None
    if roots and pattern.mode is not Mode.ROOT:
        table.report.at_key(
            table.at("roots"), "roots move in root mode only", "a chord, or a cell of your own"
        )
        return None
    return replace(pattern, roots=roots)


def _own(table: FileTable, key: str, own: _OfAll) -> Pattern | None:
    """A teacher's own cell, or cells that alternate."""
    roots = _roots(table)
    mode = table.word("mode", Mode) or (Mode.ROOT if "roots" in table else Mode.KEY)
    if roots and mode is Mode.KEY:
        table.wrong("mode", "roots move in root mode only", 'mode = "root"')
    name = table.text("name", longest=60)
    moves_by = table.whole("moves_by", 1, 7, "steps")
    cells = _cells(table, key, mode)
    if not cells or (roots and mode is Mode.KEY):
        return None
    pattern = own_pattern(cells, name or "", moves_by or 1, mode, roots)
    known = PATTERNS.get(pattern.id)
    if known and "all" not in table and replace(own.on(pattern), name=known.name) == known:
        hint = f'write patterns = ["{known.id}"], so that its answers count together'
        table.wrong(key, f'this cell is in the catalogue as "{known.id}"', hint)
        return None
    return pattern


def own_pattern(
    cells: tuple[str, ...], name: str, moves_by: int, mode: Mode, roots: tuple[str, ...]
) -> Pattern:
    """A teacher's pattern; where the catalogue has its cells, with that id and descent.

    Without a name it is called by its cells.
    """
    pattern = free_pattern(cells, name=name, moves_by=moves_by, mode=mode, roots=roots)
    known = same_cell(pattern)
    return replace(pattern, id=known.id, descent=known.descent) if known else pattern


def _cells(table: FileTable, key: str, mode: Mode) -> tuple[str, ...]:
    """The texts of ``cell`` or ``cells``; empty where one of them cannot be read."""
    if key == "cell":
        text = table.text("cell")
        texts = [(table.at("cell"), text)] if text is not None else []
    else:
        found = table.texts("cells", '["1-2-3-1", "1-3-2-1"]') or []
        checked = ((path, checked_text(table.report, path, key, each, 100)) for path, each in found)
        texts = [(path, each) for path, each in checked if each is not None]
        if len(found) not in (2, 3) and isinstance(table.raw("cells"), list):
            table.wrong(
                "cells",
                f"cells: expected 2 or 3 cells that alternate, found {len(found)}",
                "a single one is cell" if len(found) == 1 else "chords go in progression",
            )
            return ()
        if len(texts) < len(found):
            return ()
    good = [each for path, each in texts if _reads(table.report, path, each, mode)]
    return tuple(good) if len(good) == len(texts) else ()


def _reads(report: FaultReport, path: Path, text: str, mode: Mode) -> bool:
    try:
        parse_cell(text, mode)
    except CellError as error:
        hint = 'mode = "root"' if error.reason == "key mode" else ""
        report.at_value(path, f"{quoted(text)} is not a cell: {error.text}", hint)
        return False
    return True


def _roots(table: FileTable) -> tuple[str, ...]:
    """The roots visited: an order's name or a list of degrees; empty where none are named."""
    raw = table.raw("roots")
    if raw is None:
        return ()
    if isinstance(raw, str):
        if raw in ROOT_ORDERS:
            return ROOT_ORDERS[raw]
        hint = nearest(raw, ROOT_ORDERS) or f"known are {', '.join(ROOT_ORDERS)}"
        table.wrong("roots", f"roots: there is no order {quoted(raw)}", hint)
        return ()
    degrees = []
    for path, each in table.items("roots", '["2", "5", "1"]') or ():
        text = str(each) if isinstance(each, int) and abs(each) < 10 else each
        if isinstance(text, str) and _ROOT.fullmatch(text):
            degrees.append(text)
        else:
            found = quoted(each) if isinstance(each, str) else type_word(each)
            table.report.at_value(
                path, f"roots: expected a degree 1 to 7, b or # before it, found {found}"
            )
    if isinstance(raw, list) and not 1 <= len(raw) <= _MOST_ROOTS:
        table.wrong("roots", f"roots: expected 1 to {_MOST_ROOTS} degrees, found {len(raw)}")
    return tuple(degrees)
