"""Views in their rarer states, drawn from fixed values at both sizes: one golden text each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tui_desk import DECK, golden, text_of

from drill.decks.load import loads
from drill.memory.levels import Level
from drill.memory.store import Store
from drill.practice.effects import Summary
from drill.practice.room import Room
from drill.practice.syllabus import build
from drill.practice.time.bout import Setting
from drill.practice.time.course import Offer, TimePlan, begin, time_desk
from drill.practice.time.strokes import Sung
from drill.terms import Direction, Key, Name, Note
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.tui.charts import CellChart, Chart, ChartRow, MapSquare
from drill.tui.glyphs import ASCII, UNICODE
from drill.tui.layout import paragraph
from drill.tui.tally import Tally
from drill.tui.text import Lines, plain
from drill.tui.views.decks import Decks, decks
from drill.tui.views.form import FormView, RowKind, form_lines
from drill.tui.views.form import Row as FormRow
from drill.tui.views.map import Map, Measure, map_lines
from drill.tui.views.pick import Choice, Pick, pick_lines
from drill.tui.views.summary import Missed, SummaryView, summary
from drill.tui.views.time import InTime, Phase, in_time
from drill.tui.views.today import Today, today
from drill.tui.words import Words
from drill.wording.screens import NO_DECKS
from drill.wording.sentence import sentence

SIZES = [(80, 23), (60, 19), (40, 11)]
WORDS, PLAIN = Words(Language.ENGLISH, UNICODE), Words(Language.ENGLISH, ASCII)
Draw = Callable[[Words, int, int], Lines]


def drawn(name: str, states: dict[str, Draw]) -> None:
    """Every state at every size, in one golden text; each keeps to its size, and to ASCII."""
    parts = []
    for width, height in SIZES:
        for state, draw in states.items():
            lines = draw(WORDS, width, height)
            assert len(lines) <= height, (state, width)
            assert all(len(plain(row)) <= width for row in lines), (state, width)
            parts.append(f"== {state}, {width} x {height}\n{text_of(lines)}")
            assert text_of(draw(PLAIN, width, height)).isascii(), state
    golden(name, "\n".join(parts))


def test_decks() -> None:
    deck = loads(DECK, "two-keys.toml")
    made = build(deck)
    up = tuple(run for run in made.runs if run.direction is Direction.UP)
    down = tuple(run for run in made.runs if run.direction is Direction.DOWN)
    names = ("one", "two-keys", "three")
    whole = Decks(names, 1, deck, INSTRUMENTS["alto_sax"], up, 1)
    many = replace(
        whole,
        runs=down,
        run=0,
        remarks=(sentence("G down begins higher"), sentence("Bb is left out")),
    )
    states = {
        "reading": Decks(names, 2),
        "none": Decks(problem=NO_DECKS),
        "faulty": Decks(names, 0, problem="one.toml:3:1: tempo: expected a number\none.toml: more"),
        "a run up": whole,
        "with remarks": many,
        "no run this way": replace(whole, runs=()),
    }
    drawn("views-decks", {k: lambda w, x, y, v=v: decks(v, w, x, y) for k, v in states.items()})  # type: ignore[misc]


def chart() -> Chart:
    rows = (
        ChartRow("1-2-3-1", "returning cell", Direction.UP, "major"),
        ChartRow("1-2-3-1", "returning cell", Direction.DOWN, "major"),
        ChartRow("1-3", "scale in thirds", Direction.UP, "dorian"),
    )
    squares = {}
    levels = list(Level)
    for place, row in enumerate(rows):
        for at, fifths in enumerate((-2, 0, 1, 5)):
            if place == 2 and at == 3:
                continue  # the deck does not ask it
            level = levels[(place + at) % len(levels)]
            asked = 0 if level is Level.UNTRIED else (130 if at == 1 else 9)
            name = {-2: Name("B", -1), 0: Name("C", 0), 1: Name("G", 0), 5: Name("B", 0)}[fifths]
            squares[place, at] = MapSquare(
                Key(name, row.scale), row, ("a", "b"), asked, 9 if at == 2 else asked // 3,
                1.0 if level is Level.BY_HEART else 0.42, level, 2 if asked else 0,
                88.0 if at == 1 else None,
            )  # fmt: skip
    return Chart("Three rows", rows, (-2, 0, 1, 5), squares)


def test_the_map() -> None:
    whole = Map(chart())
    notes = (WORDS_NOTE, WORDS_NOTE)
    cells = (
        CellChart("1", notes, Level.SHAKY, 4, 2, 0.5, (("signature", 2), ("letter", 1))),
        CellChart("7", notes, Level.UNTRIED, 0, 0, 0.2, ()),
    )
    states = {
        "counting": Map(),
        "a notice": replace(whole, notice="the deck cannot be read"),
        "recall": replace(whole, row=1, column=2),
        "errors": replace(whole, row=0, column=2, measure=Measure.ERRORS),
        "answers": replace(whole, column=1, measure=Measure.ANSWERS),
        "tempo": replace(whole, row=2, column=1, measure=Measure.TEMPO),
        "not asked": replace(whole, row=2, column=3),
        "open": replace(whole, row=1, column=1, cells=cells),
    }
    drawn("views-map", {k: lambda w, x, y, v=v: map_lines(v, w, x, y) for k, v in states.items()})  # type: ignore[misc]


WORDS_NOTE = Note("G", 0, 4)


def test_today() -> None:
    first = Tally(
        Path("a.toml"), "A deck with a title that goes on and on", 28, 3, 4, 5, 6, 7, 40, 8
    )
    tallies = (
        first,
        Tally(Path("b.toml"), "Nothing due", 28, 0, 0, 20, 8),
        Tally(Path("c.toml"), "New", 28, 28, prompts=1, minutes=1),
        Tally(Path("d.toml"), "Faulty", problem="d.toml:1:1: title is missing"),
        Tally(Path("e.toml"), "Enough", 28, 1, 1, 1, 1, 1, enough="Enough for today."),
        *(Tally(Path(f"f{n}.toml"), f"Deck {n}") for n in range(20)),
    )
    whole = Today(tallies, 0, "Monday, 2 March", ready=True)
    states = {
        "reading": Today(date="Monday, 2 March"),
        "none": Today(ready=True),
        "fresh": replace(whole, chosen=2, fresh=True),
        "first": whole,
        "nothing due": replace(whole, chosen=1),
        "faulty": replace(whole, chosen=3, notice="the log was mended"),
        "enough": replace(whole, chosen=4),
        "last": replace(whole, chosen=len(tallies) - 1),
    }
    drawn(
        "views-today",
        {k: lambda w, x, y, v=v: today(v, w.glyphs, x, y) for k, v in states.items()},  # type: ignore[misc]
    )


def test_lists_and_forms() -> None:
    choices = tuple(Choice(f"id{n}", f"Choice {n} ♭", f"more of {n}") for n in range(30))
    pick = Pick("A list", choices, "What is chosen, and why; a sentence or two about it.")
    rows = (
        FormRow("a", "Turned", "one", RowKind.TURN, "A value of a few."),
        FormRow("b", "Typed, with a long label", "", RowKind.TEXT, "Some text.", "old"),
        FormRow("c", "Faulty", "x", RowKind.TEXT, "A number.", fault="expected a number, found x"),
        *(FormRow(f"d{n}", f"Row {n}", str(n), RowKind.OPEN) for n in range(18)),
        FormRow("y", "Do this", kind=RowKind.ACT, help="It is done."),
        FormRow("z", "Or that", kind=RowKind.ACT),
    )
    form = FormView("A form", rows)
    picks = {
        "a list": pick,
        "far down": replace(pick, chosen=27),
        "several": replace(pick, several=True, marked=("id0", "id2"), chosen=1),
        "searched": pick.searched("choice 1"),
        "not found": replace(pick.searched("xyz"), notice="choose one first"),
        "short": Pick("Short", choices[:3], "No search is needed."),
    }
    forms = {
        "a form": form,
        "typing": replace(form, chosen=1, editing="new"),
        "a fault": replace(form, chosen=2),
        "at the end": replace(form, chosen=len(rows) - 1),
        "a notice": replace(form, notice="kept\nand more\nand more\nand more"),
        "empty": FormView("Empty", ()),
    }
    states: dict[str, Draw] = {
        k: lambda w, x, y, v=v: pick_lines(v, w.glyphs, x, y)  # type: ignore[misc]
        for k, v in picks.items()
    }
    states |= {k: lambda w, x, y, v=v: form_lines(v, w.glyphs, x, y) for k, v in forms.items()}  # type: ignore[misc]
    drawn("views-forms", states)


def test_the_end_of_a_practice() -> None:
    missed = tuple(
        Missed(f"E major, 1-2-3-1 on {n} up", "D♯ E F♯ D♯", "about prompt 6 next time", n % 2 == 0)
        for n in range(1, 12)
    )
    plain = SummaryView("Two keys", Summary(1, 1, (), ()), 1, ())
    states = {
        "nothing missed": plain,
        "nothing asked": replace(plain, summary=Summary(0, 0, (), ()), minutes=0),
        "much missed": replace(
            plain, summary=Summary(40, 12, (("signature", 9),), ("x",)), minutes=9, missed=missed,
            keys=tuple(f"key {n}, 3 of 4" for n in range(9)), notes=("D♯, 3 of 4",), moved=(0, 2),
        ),
    }  # fmt: skip
    drawn(
        "views-end",
        {k: lambda w, x, y, v=v: summary(v, w.glyphs, x, y) for k, v in states.items()},  # type: ignore[misc]
    )


@pytest.fixture
def offer(home: Path) -> Offer:
    text = DECK.replace('["G", "Bb"]', '["G"]').replace('["up", "down"]', '["up"]')
    now = datetime(2026, 3, 2, 10, 30, tzinfo=UTC)
    with Store.open(home / "answers.db") as store:
        room = Room(store, zone=UTC)
        plan = TimePlan(setting=Setting())
        desk = time_desk(room, room.syllabus(loads(text, "g.toml")), plan, 1, lambda: "id")
        _, effects = begin(desk, now)
    found = next(each for each in effects if isinstance(each, Offer))
    assert isinstance(found, Offer)
    return found


def test_in_time(offer: Offer) -> None:
    bout = offer.bout
    beat = bout.due[0]
    ready = InTime("In time", Phase.WAITING, offer, goal=96)
    sung = (Sung("g", bout.due[0]), Sung("a", bout.due[1]), Sung("b♭", bout.due[4]))
    states = {
        "opening": InTime("In time"),
        "first time": ready,
        "measured": replace(ready, measured=True, jitter_s=0.012, muted=True),
        "starting": replace(ready, phase=Phase.STARTING, notice="sound is off"),
        "count-in": replace(ready, phase=Phase.PLAYING, seconds=beat / 2, goal=None),
        "playing": replace(
            ready, phase=Phase.PLAYING, seconds=bout.due[5] + 0.01, notes=sung, bouts=3, locked_in=1
        ),
    }
    drawn("views-time", {k: lambda w, x, y, v=v: in_time(v, w, x, y) for k, v in states.items()})  # type: ignore[misc]


def test_a_per_cent_sign_never_begins_a_line() -> None:
    rows = [plain(row) for row in paragraph("recall expected now 75 %.", 24)]
    assert rows == ["recall expected now", "75 %."]
