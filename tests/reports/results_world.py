"""What the tests of reports share: a deck, its cells, answers, and results made of them."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from hypothesis import strategies as st

from drill.decks.load import loads
from drill.memory.items import Answer, Item, practice_day
from drill.memory.levels import ByHeart
from drill.practice.time.tempi import Kept
from drill.reports.results import HandedDeck, Results, encode
from drill.reports.study import Task

NOW = datetime(2031, 3, 14, 18, 30, tzinfo=UTC)
START = datetime(2031, 3, 1, 17, 0, tzinfo=UTC)

DECK_TEXT = """\
title = "Returning cells"
instrument = "alto_sax"
patterns = ["1-2-3-1", "1-3-5-3"]
keys = ["G", "Eb", "F#"]
[goal]
right = 0.8
"""
DECK = loads(DECK_TEXT, "cells.toml")
HANDED = HandedDeck("cells", DECK.fingerprint, DECK_TEXT, 84)

SCALES = {
    "G": (1, ("G", "A", "B", "C", "D", "E", "F#")),
    "Eb": (3, ("Eb", "F", "G", "Ab", "Bb", "C", "D")),
    "F#": (6, ("F#", "G#", "A#", "B", "C#", "D#", "E#")),
}
"""Signature's accidentals and notes (common practice)."""
SHAPES = {"1-2-3-1": (0, 1, 2, 0), "1-3-5-3": (0, 2, 4, 2)}


def cell(tonic: str, shape: str, direction: str, degree: int) -> Item:
    """One cell as the practice names it."""
    accidentals, notes = SCALES[tonic]
    key = f"{tonic}:major"
    name = f"{shape}/up" if direction == "up" else f"{shape}~mirror/down"
    sign = 1 if direction == "up" else -1
    facts = tuple(f"{key}:{notes[(degree - 1 + sign * step) % 7]}" for step in SHAPES[shape])
    place = degree - 1 if direction == "up" else 8 - degree
    return Item(f"{key}:{name}:{degree}", key, name, facts, accidentals, f"{key}:{name}", place)


ITEMS = {
    each.id: each
    for tonic in SCALES
    for shape in SHAPES
    for direction, degrees in (("up", range(1, 8)), ("down", range(8, 1, -1)))
    for degree in degrees
    for each in [cell(tonic, shape, direction, degree)]
}
SLIPS = ("signature-forgotten", "swapped", "wrong-name", "b-or-h")


def answer(number: int, item: Item, right: bool, **more: Any) -> Answer:
    """One answer; ``number`` makes its id and its instant."""
    at = more.pop("at", START + timedelta(minutes=7 * number))
    given: dict[str, Any] = {
        "uuid": f"{number:08x}-0000-4000-8000-000000000000",
        "at": at,
        "day": practice_day(at),
        "item": item.id,
        "right": right,
        "deck": HANDED.fingerprint,
        "deck_name": HANDED.name,
        "kind": "degree",
        "outcomes": ("right",) * 4 if right else ("right", "wrong", "right", "missing"),
        "slip": None if right else SLIPS[number % len(SLIPS)],
        "seconds": 2.5 + number % 5,
        "keystrokes": 8,
        "stamp": int(at.timestamp()) * 1_000_000,
    }
    return Answer(**{**given, **more})


def drawn(seed: int, count: int, skill: float = 0.6) -> tuple[Answer, ...]:
    """Answers of one student, by chance."""
    chance = Random(seed)
    items = list(ITEMS.values())
    return tuple(
        answer(
            1_000_000 * seed + number,
            chance.choice(items),
            chance.random() < skill,
            at=START + timedelta(minutes=7 * number, seconds=seed),
            again=chance.random() < 0.15,
        )
        for number in range(count)
    )


def results(
    student: str,
    answers: Iterable[Answer],
    made: datetime = NOW,
    deck: HandedDeck = HANDED,
    **more: Any,
) -> Results:
    """Results as ``hand-in`` makes them; ``more`` are its id, horn, concert keys and line."""
    mine = tuple(sorted(answers, key=lambda each: each.order))
    ids = sorted({each.item for each in mine})
    given = {"horn": "alto_sax", "concert": tuple(CONCERT.items()), **more}
    return Results(
        student, made, "0.1.0", deck, tuple(ITEMS[each] for each in ids), frozenset(ids), mine,
        **given,
    )  # fmt: skip


CONCERT = {"G:major": "Bb:major", "Eb:major": "Gb:major", "F#:major": "A:major"}
"""An alto sounds a major sixth lower than it reads (common practice)."""


def task(goal: float = 0.8, **more: Any) -> Task:
    """The deck as one student was given it."""
    given: dict[str, Any] = {
        "key": HANDED.fingerprint, "name": HANDED.name, "title": DECK.title, "horn": "alto_sax",
        "concert": CONCERT, "assigned_in_concert": False, "asked": frozenset(ITEMS),
        "cells": HANDED.cells, "goal": ByHeart(goal, 3), "share": goal,
    }  # fmt: skip
    return Task(**{**given, **more})


def written(folder: Path, name: str, value: Results) -> Path:
    """A results file on disk."""
    path = folder / f"{name}.drill-results"
    path.write_bytes(encode(value))
    return path


def lines_of(value: Results) -> list[Any]:
    """The lines of its file as values: head, cells, answers."""
    return [json.loads(line) for line in encode(value).splitlines()[1:]]


def sealed(lines: Iterable[Any]) -> bytes:
    """A file of those lines with a checksum that fits; a text stands as it is."""
    body = "".join(
        (line if isinstance(line, str) else json.dumps(line)) + "\n" for line in lines
    ).encode()
    return f"drill-results 2 {hashlib.sha256(body).hexdigest()}\n".encode() + body


@st.composite
def answer_lists(draw: st.DrawFn, most: int = 40) -> tuple[Answer, ...]:
    """Any answers that a log can hold."""
    count = draw(st.integers(0, most))
    items = list(ITEMS.values())
    made = []
    for number in range(count):
        right = draw(st.booleans())
        in_time = draw(st.booleans())
        made.append(
            answer(
                number,
                draw(st.sampled_from(items)),
                right,
                at=START + timedelta(seconds=draw(st.integers(0, 10**6))),
                again=draw(st.booleans()),
                interrupted=draw(st.sampled_from([False, False, False, True])),
                seconds=draw(st.none() | st.integers(0, 400_000).map(lambda n: n / 1000)),
                keystrokes=draw(st.integers(0, 99)),
                kind=draw(
                    st.sampled_from(["next", "degree", "run", "ear", "time", "key", "closing"])
                ),
                tempo=draw(st.integers(40, 200).map(float)) if in_time else None,
                details=draw(bouts(number)) if in_time else "",
            )
        )
    return tuple(made)


def bouts(number: int) -> st.SearchStrategy[str]:
    """Details of an answer in time, as the practice writes them, or none."""
    return st.one_of(
        st.just(""),
        st.builds(
            lambda bout, practice, passed: kept(f"bout-{bout}", f"practice-{practice}", passed),
            st.integers(0, number),
            st.integers(0, 2),
            st.booleans(),
        ),
    )


def kept(bout: str, practice: str, passed: bool) -> str:
    """The details that the practice in time keeps with an answer."""
    return Kept(
        bout, practice, "1-2-3-1/up", "G:major", 0, 1, "locked in" if passed else "wrong notes",
        passed, 4, 4, -8.0, 12.0, 0.1, 10.0, (-8.0, 3.0, None, 0.5),
    ).text()  # fmt: skip
