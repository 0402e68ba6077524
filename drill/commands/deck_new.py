"""The questions and options of ``drill deck new``, as the values of a deck file."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any

from drill.commands.check import need_cells
from drill.commands.options import read_day
from drill.decks.build import build
from drill.decks.keychoice import keys_value
from drill.decks.load import SUFFIX
from drill.decks.schema import Deck
from drill.errors import FaultsError, UsageError
from drill.files import file_name
from drill.opening.listing import Listed, found, lines
from drill.opening.tools import Tools


def new_deck(args: argparse.Namespace, tools: Tools) -> tuple[Deck, str | None]:
    """A deck from options, and on a terminal from answers to what they leave open; and the file
    it goes to, None for none.  Raises UsageError, FaultsError.
    """
    values = _values(args)
    out = args.out
    if tools.source.isatty() and not {"title", "instrument", "patterns"} <= values.keys():
        values, out = _asked(values, out, tools)
    deck = build(values, "deck new")
    need_cells(deck, "deck new", tools)
    if deck.due and deck.due < tools.today:
        tools.say(f"look: it was due on {deck.due}, which has passed")
    return deck, out


def _values(args: argparse.Namespace) -> dict[str, Any]:
    """The options as the values of a deck file; what was not given is not there."""
    goal = {"right": _read(args.right, _share), "tempo": args.goal_tempo}
    practice = {"prompts": args.prompts, "ask": _read(args.ask or None, _listed)}
    return _given({
        "title": args.title, "instrument": args.instrument, "note": args.note,
        "patterns": _read(args.patterns, _listed), "scales": _read(args.scales, _listed),
        "directions": _read(args.directions, _listed),
        "keys": _read(args.keys, keys_value), "concert_keys": _read(args.concert_keys, keys_value),
        "degrees": _read(args.degrees, lambda text: list(map(_plain_number, _listed(text)))),
        "span": _read(args.span, lambda text: int(text) if text.isdecimal() else text),
        "tempo": args.tempo, "due": _read(args.due, _day_or_text),
        "goal": _given(goal) or None, "practice": _given(practice) or None,
    })  # fmt: skip


def _read(text: str | None, reader: Callable[[str], Any]) -> Any:
    return None if text is None else reader(text)


def _given(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}


def _listed(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _plain_number(text: str) -> int | str:
    """The number, or the text, which the checker of decks then names as no number."""
    return int(text) if text.removeprefix("-").isdecimal() and len(text) < 16 else text


def _share(text: str) -> float | int | str:
    """``90``, ``90%`` or ``0.9`` as a deck has it; or the text, which the checker then names."""
    word = text.strip().removesuffix("%").strip()
    if word.isdecimal() and len(word) < 4:
        return int(word)
    try:
        return float(word)
    except ValueError:
        return text


def _day_or_text(text: str) -> dt.date | str:
    """The day, or the text, which the checker of decks then names with all other faults."""
    try:
        return read_day(text)
    except UsageError:
        return text


_QUESTIONS: tuple[tuple[str, str, str, Callable[[str], Any]], ...] = (
    ("title", "What is it called?", "", str),
    (
        "instrument",
        "Which horn? (alto_sax, trumpet, clarinet ...; own: each player's; ? lists them)",
        "",
        str,
    ),
    (
        "patterns",
        "Patterns or cells, with commas between? (1-2-3-1, thirds ...; ? lists them)",
        "1-2-3-1",
        _listed,
    ),
    ("scales", "Scales? (major, dorian, harmonic_minor ...; ? lists them)", "major", _listed),
    ("keys", "Written keys? (all; Db, Gb; up to 4 sharps, up to 2 flats ...)", "all", keys_value),
    ("due", "By which day should it be known? (year-month-day, or nothing)", "", read_day),
    ("note", "A note to the student? (or nothing)", "", str),
)
"""Name, question, what nothing means, and how the answer is read."""


def _asked(
    values: dict[str, Any], out: str | None, tools: Tools
) -> tuple[dict[str, Any], str | None]:
    """The values with what a person answers to each question that the options leave open."""
    for name, question, default, read in _QUESTIONS:
        if name in values or (name == "keys" and "concert_keys" in values):
            continue
        values = _one(values, name, question, default, read, tools)
    if out is None:
        suggested = f"{file_name(values['title']) or 'deck'}{SUFFIX}"
        said = _reply(tools, f"Which file? (- prints it) [{suggested}] ")
        out = None if said == "-" else said or suggested
    return values, out


def _one(
    values: dict[str, Any],
    name: str,
    question: str,
    default: str,
    read: Callable[[str], Any],
    tools: Tools,
) -> dict[str, Any]:
    """The values with one more, asked until it can be read."""
    while True:
        said = _reply(tools, f"{question}{f' [{default}]' if default else ''} ") or default
        if not said and name in ("due", "note"):
            return values
        if said.startswith("?"):
            _show(name, said[1:].strip(), tools)
            continue
        try:
            tried = {**values, name: read(said)}
            _check_one(tried, name)
        except (UsageError, FaultsError) as error:
            tools.say(str(error).splitlines()[0].removeprefix("deck new: "))
        else:
            return tried


_LISTS = {
    "instrument": (Listed.HORNS,),
    "patterns": (Listed.PATTERNS, Listed.CHORDS),
    "scales": (Listed.SCALES,),
    "keys": (Listed.ORDERS,),
}
"""What a question mark shows at a question, alone or with a word: ``? clarinet``."""


def _show(name: str, word: str, tools: Tools) -> None:
    shown = [row for listed in _LISTS.get(name, ()) for row in found(listed, word)]
    if name == "keys":
        shown = [row for row in shown if row.kind == "keys"]
    for line in lines(tuple(shown)) or ["nothing to choose from: type an answer"]:
        tools.say(line)


def _check_one(values: Mapping[str, Any], name: str) -> None:
    """Raises FaultsError for what is wrong with one value; what is missing waits its turn."""
    filled = {"title": "-", "instrument": "alto_sax", "patterns": ["1-2-3-1"], **values}
    if name == "scales":
        filled.pop("keys", None)
    build(filled, "deck new")


def _reply(tools: Tools, question: str) -> str:
    line = tools.ask(question)
    if not line:
        raise UsageError("the questions were broken off: nothing was written")
    return line.strip()
