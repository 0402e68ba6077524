"""Decks by chance: the values of a deck file, all of them readable."""

from __future__ import annotations

import datetime as dt

from hypothesis import strategies as st

from drill.decks.keychoice import group_names
from drill.decks.schema import AskKind, Swing
from drill.shown import is_harmful
from drill.terms import Contour, Descent, Digit, Direction, Ending, Mode, Span, Tonguing, shape_text
from drill.theory.chords import CHORDS
from drill.theory.instruments import INSTRUMENTS
from drill.theory.patterns import PATTERNS, ROOT_ORDERS, free_pattern, same_cell
from drill.theory.scales import SCALES, tonics

CHARACTERS = st.characters(codec="utf-8").filter(lambda c: not is_harmful(c))
LINES = st.text(CHARACTERS, min_size=1, max_size=30).filter(str.strip)
BPM = st.integers(20, 400)


def words(kind: type) -> st.SearchStrategy[str]:
    return st.sampled_from([each.value for each in kind])  # type: ignore[attr-defined]


def word_lists(kind: type) -> st.SearchStrategy[list[str]]:
    return st.lists(words(kind), min_size=1, max_size=3, unique=True)


@st.composite
def cells(draw: st.DrawFn, mode: Mode) -> str:
    modifiers = ["", "", "", "l", "u", "ll", "uu"]
    if mode is Mode.ROOT:
        modifiers += ["b", "#", "bb"]
    item = st.builds(
        Digit, st.integers(1, 9), st.sampled_from([0, 0, 0, 1, -1]), st.sampled_from(modifiers)
    ).filter(lambda each: abs(each.degree - 1 + 7 * each.octave) <= 14)  # the grammar's reach
    return shape_text(tuple(draw(st.lists(item, min_size=2, max_size=6))))


@st.composite
def pattern_tables(draw: st.DrawFn) -> dict[str, object]:
    table: dict[str, object] = {}
    if draw(st.booleans()):
        table["id"] = draw(st.sampled_from(sorted(PATTERNS)))
    elif draw(st.booleans()):
        table["id"] = "chord-" + draw(st.sampled_from(sorted(CHORDS)))
        if draw(st.booleans()):
            table["roots"] = draw(st.sampled_from(sorted(ROOT_ORDERS)))
    else:
        mode = draw(st.sampled_from(Mode))
        texts = draw(st.lists(cells(mode), min_size=1, max_size=3))
        moves_by = table["moves_by"] = draw(st.integers(1, 7))
        table |= {"cell": texts[0]} if len(texts) == 1 else {"cells": texts}
        if mode is Mode.ROOT:
            table["mode"] = "root"
            roots = st.lists(st.sampled_from("1 b2 2 b3 3 4 #4 5 b6 6 b7 7".split()), min_size=1)
            table["roots"] = draw(roots.filter(lambda each: len(each) <= 24))
        if draw(st.booleans()):
            table["name"] = draw(LINES)
        made = free_pattern(tuple(texts), moves_by=moves_by, mode=mode)
        if same_cell(made):  # the catalogue's own, refused under another name
            table["cells"] = ["1-2-4-7-2", "1-7-4-2"]
            table.pop("cell", None)
    for key, kind in (("descent", Descent), ("ending", Ending)):
        if draw(st.booleans()):
            table[key] = draw(words(kind))
    return table


@st.composite
def key_choices(draw: st.DrawFn, scale: str) -> object:
    if draw(st.booleans()):
        return draw(st.sampled_from(group_names()))
    names = st.sampled_from([str(tonic) for tonic in tonics(scale)])
    return draw(st.lists(names, min_size=1, max_size=4, unique=True))


@st.composite
def deck_values(draw: st.DrawFn) -> dict[str, object]:
    """The values of a deck file, as the TOML reader would give them."""
    horn = INSTRUMENTS[draw(st.sampled_from(sorted(INSTRUMENTS)))]
    values: dict[str, object] = {"title": draw(LINES), "instrument": horn.id}
    ids = st.sampled_from([*PATTERNS, "1-2-4-7", "2-4-1", "1-b3-5-6", "chord-m7/1", "5321", "1-2"])
    values["patterns"] = draw(st.lists(ids, min_size=1, max_size=3, unique=True))
    tables = draw(st.lists(pattern_tables(), max_size=2))
    if tables:
        values["pattern"] = tables
    scales = draw(st.lists(st.sampled_from(sorted(SCALES)), min_size=1, max_size=3, unique=True))
    keys = draw(st.sampled_from(["keys", "concert_keys"]))
    if draw(st.booleans()):
        values[keys] = {scale: draw(key_choices(scale)) for scale in scales}
    else:
        values["scales"] = scales[:1]
        values[keys] = draw(key_choices(scales[0]))
    more: dict[str, st.SearchStrategy[object]] = {
        "note": st.text(CHARACTERS | st.sampled_from("\n\t\"'\\"), max_size=60),
        "due": st.dates(dt.date(2000, 1, 1)),
        "descent": words(Descent),
        "ending": words(Ending),
        "directions": word_lists(Direction),
        "degrees": st.lists(st.integers(1, 13), min_size=1, max_size=4, unique=True),
        "span": words(Span) | st.integers(1, 2),
        "range": st.sampled_from(["standard", "extended", {"low": str(horn.low)},
                                  {"low": str(horn.low), "high": str(horn.high)},
                                  {"extended": True, "high": str(horn.high)}]),
        "joined": st.booleans(),
        "tempo": BPM | st.tuples(BPM, BPM).map(lambda t: {"start": min(t), "goal": max(t)}),
        "articulation": words(Tonguing),
        "swing": words(Swing) | st.floats(1, 4),
        "shape": words(Contour),
        "goal": st.fixed_dictionaries({}, optional={
            "right": st.floats(0, 1, exclude_min=True) | st.integers(2, 100),
            "days": st.integers(1, 30), "ask": word_lists(AskKind)}),
        "practice": st.fixed_dictionaries({}, optional={
            "prompts": st.integers(1, 1000), "minutes": st.integers(1, 240),
            "ask": word_lists(AskKind), "again": st.booleans(), "missed_again": st.booleans(),
            "new_cells": st.integers(0, 1000),
            "new_keys": st.integers(0, 200) | st.just("all")}),
        "assignment": st.fixed_dictionaries({}, optional={
            **dict.fromkeys(("id", "student", "name", "group", "who", "line"), LINES),
            "given": st.dates(dt.date(2000, 1, 1)), "horn": st.sampled_from(sorted(INSTRUMENTS))}),
    }  # fmt: skip
    for key, strategy in more.items():
        if draw(st.booleans()):
            values[key] = draw(strategy)
    return values
