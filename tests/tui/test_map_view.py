"""The Map as lines: a square tells the level of the cells that were asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from tui_desk import DECK, text_of

from drill.decks.load import loads
from drill.memory.items import Answer, last_played, practice_day
from drill.memory.kinds import PLAYED
from drill.memory.levels import Level, level
from drill.memory.model import learn
from drill.memory.state import State
from drill.practice.looking import goal_of
from drill.practice.syllabus import build
from drill.theory.language import Language
from drill.tui.charts import chart
from drill.tui.glyphs import ASCII, UNICODE, Glyphs
from drill.tui.views.map import Map, Measure, map_lines
from drill.tui.words import Words
from drill.wording.levels import level_label

NOW = datetime(2026, 3, 2, 10, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("width", "glyphs", "sign"), [(80, UNICODE, "◐"), (60, UNICODE, "◐"), (60, ASCII, "*")]
)
def test_a_square_has_the_level_of_its_asked_cells_and_says_how_many(
    width: int, glyphs: Glyphs, sign: str
) -> None:
    syllabus = build(loads(DECK, "two-keys.toml"))
    memory, entry = State(), next(iter(syllabus.entries.values()))
    for n in range(6):
        at = NOW - timedelta(minutes=30 - n)
        learn(memory, entry.item, Answer(f"{n}", at, practice_day(at), entry.item.id, right=True))
    assert level(memory, entry.item, NOW, goal_of(syllabus.deck)) is Level.HOLDING
    made = chart(syllabus, memory, NOW)
    place = next(at for at, square in made.squares.items() if square.asked)
    assert (made.squares[place].level, made.squares[place].tried) == (Level.HOLDING, 1)
    view = Map(made, row=place[0], column=place[1])
    shown = text_of(map_lines(view, Words(Language.ENGLISH, glyphs), width, 20))
    assert f"{sign} holding" in shown
    assert "holding, 1 of 7 asked" in shown
    assert "recall now" in shown
    assert all(level_label(each) in shown for each in Level)
    untried = replace(view, row=1 - place[0])
    told = text_of(map_lines(untried, Words(Language.ENGLISH, glyphs), width, 20))
    assert "untried: 7 cells, none asked yet" in told


def test_what_was_played_on_the_horn_stands_beside_what_was_spelled() -> None:
    syllabus = build(loads(DECK, "two-keys.toml"))
    memory, entries = State(), list(syllabus.entries.values())[:3]
    answers = []
    for n, (entry, kind, right) in enumerate(
        [(entries[0], PLAYED, False), (entries[0], PLAYED, True), (entries[1], PLAYED, False),
         (entries[2], "degree", True)]
    ):  # fmt: skip
        at = NOW - timedelta(minutes=30 - n)
        row = Answer(f"{n}", at, practice_day(at), entry.item.id, right=right, kind=kind)
        answers.append(row)
        learn(memory, entry.item, row)
    made = chart(syllabus, memory, NOW, played=last_played(answers))
    place = next(at for at, square in made.squares.items() if square.asked)
    assert made.squares[place].played == (1, 2)
    view = Map(made, row=place[0], column=place[1], measure=Measure.HORN)
    shown = text_of(map_lines(view, Words(Language.ENGLISH, UNICODE), 100, 20))
    assert "on the horn 1 of 2 right" in shown
    assert "right on the horn when last played" in shown
    assert "50" in shown


def test_the_tempo_on_the_horn_is_told_beside_the_typed_one() -> None:
    syllabus = build(loads(DECK, "two-keys.toml"))
    item = next(iter(syllabus.entries.values())).item
    where = item.key, item.shape
    made = chart(syllabus, State(), NOW, {where: 120.0}, None, {where: 92.0})
    place = next(at for at, square in made.squares.items() if square.horn_tempo)
    view = Map(made, row=place[0], column=place[1], measure=Measure.TEMPO)
    shown = text_of(map_lines(view, Words(Language.ENGLISH, UNICODE), 120, 20))
    assert "locked in at 120" in shown
    assert "on the horn locked in at 92" in shown


@pytest.mark.parametrize("column", range(15))
def test_a_map_wider_than_the_screen_shows_the_chosen_key_and_its_neighbours(column: int) -> None:
    tonics = "Cb Gb Db Ab Eb Bb F C G D A E B F# C#".split()
    keys = ", ".join(f'"{tonic}"' for tonic in tonics)
    syllabus = build(loads(DECK.replace('"G", "Bb"', keys), "keys.toml"))
    made = chart(syllabus, State(), NOW)
    assert len(made.columns) == 15
    shown = text_of(
        map_lines(Map(made, 0, column), Words(Language.ENGLISH, ASCII), 50, 20)
    ).splitlines()
    assert max(map(len, shown)) <= 50
    there = shown[3].split()
    assert tonics[column] in there
    at = tonics.index(there[0])
    assert there == tonics[at : at + len(there)]
    assert 5 <= len(there) < 15
