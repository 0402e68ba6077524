"""The faults behind a syntax fault: what cannot be read is set aside, the rest is read on.

A line that is no TOML is left empty and the text read again, so that one look at a file
names everything that is wrong with it.  What was set aside is not called missing, and no
deck is ever made of such a text.
"""

from __future__ import annotations

import re

from drill.decks.build import KEYS, build
from drill.decks.syntax import parse
from drill.errors import Fault, FaultsError

MOST_ROUNDS = 10
"""Syntax faults that are looked behind; a text with more is not worth it."""
_MOST_READ = 32 * 1024
"""Characters that are read in all those rounds, so that no text of a deck's size holds up a
program: that of a long deck (10 kB) is read three times."""

_KEY = re.compile(r"\s*([A-Za-z_][A-Za-z_-]*)")
_HEAD = re.compile(r"\s*(\[{1,2})\s*([A-Za-z_]+)")
_ANY_HEAD = re.compile(r"\s*\[[^,]*")
_BEGUN = re.compile(r"it begins in line (\d+)")
_BEGINS = re.compile(r"\s*(?:\[{1,2}\s*[A-Za-z_]+\s*\]|[A-Za-z_-]+\s*=)")


def all_faults(text: str, file: str, first: FaultsError) -> FaultsError:
    """Every fault of a text that is no TOML, the syntax faults and those of what can be read."""
    lines = text.replace("\r\n", "\n").split("\n")
    faults: list[Fault] = list(first.faults)
    aside: set[str] = set()
    latest = first.faults[0]
    for _ in range(min(MOST_ROUNDS, _MOST_READ // max(1, len(text)) - 1)):
        if not 1 <= latest.line <= len(lines) or "control character" in latest.message:
            break  # such a file is no text of a deck
        _set_aside(lines, latest, aside)
        try:
            values, places = parse("\n".join(lines), file)
        except FaultsError as error:
            if error.faults[0].line == latest.line:
                break
            latest = error.faults[0]
            faults.append(latest)
            continue
        try:
            build(values, file, places)
        except FaultsError as error:
            faults += [each for each in error.faults if not _is_of(each, aside, lines)]
        break
    once = {(each.line, each.column, each.message): each for each in faults}
    return FaultsError(tuple(sorted(once.values(), key=lambda each: (each.line, each.column))))


def _set_aside(lines: list[str], fault: Fault, aside: set[str]) -> None:
    """Leave empty what the fault is in: its line, and where a list or text that is never closed
    begins there, the lines up to the next key or table; a table in braces to its end.  A table's
    name is kept; what stands beneath one that cannot be, in a table that nobody looks into."""
    at = fault.line - 1
    line = lines[at]
    begins = _BEGUN.fullmatch(fault.hint)
    if begins and _BEGINS.match(line):  # the list before was not closed; this line is good
        for above in range(int(begins[1]) - 1, at):
            key = _KEY.match(lines[above])
            aside |= {key[1]} if key else set()
            lines[above] = ""
        return
    head = _head(line)
    if head or _ANY_HEAD.fullmatch(line):
        lines[at] = head or _unlooked(at + 1)
        return
    key = _KEY.match(line)
    if key:
        aside.add(key[1])
    lines[at] = ""
    if line.count("{") > line.count("}"):
        _leave_braces(lines, at + 1)
    if "never closed" not in fault.message:
        return
    for below in range(at + 1, len(lines)):
        if _BEGINS.match(lines[below]):
            break
        lines[below] = ""


def _head(line: str) -> str:
    """The line as the head of the table that it names; empty where it names none, or is one."""
    found = _HEAD.match(line)
    if not found or found[2] not in KEYS:
        return ""
    head = f"{found[1]}{found[2]}{']' * len(found[1])}"
    return "" if head == line.strip() else head


def _leave_braces(lines: list[str], at: int) -> None:
    """Leave empty the lines from there to the one that closes a table in braces, if one does
    before the next table."""
    for below in range(at, len(lines)):
        if _ANY_HEAD.fullmatch(lines[below]):
            return
        if lines[below].count("}") > lines[below].count("{"):
            lines[at : below + 1] = [""] * (below + 1 - at)
            return


def _unlooked(line: int) -> str:
    """The head of a table that no deck has, for what stands beneath a head that cannot be read."""
    return f"[aside-{line}]"


def _is_of(fault: Fault, aside: set[str], lines: list[str]) -> bool:
    """Whether it calls something missing that was set aside, or is about a head that was."""
    if 1 <= fault.line <= len(lines) and lines[fault.line - 1] == _unlooked(fault.line):
        return True
    word, _, rest = fault.message.partition(" ")
    return word in aside and rest.startswith("is missing")
