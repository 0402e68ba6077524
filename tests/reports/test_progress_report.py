"""A player's progress: the figures, and that text, JSON and page show the same."""

from __future__ import annotations

import json
import re
import shlex
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from forecasts import ahead
from page_reader import PageReader, stands_alone
from results_world import DECK, ITEMS, answer

from drill.commands.table import module_of, parser_of
from drill.memory.advice import Advice
from drill.memory.forecast import ByDate, Forecast
from drill.memory.items import Answer, practice_day
from drill.memory.levels import Level, together
from drill.memory.model import predict, replay
from drill.memory.state import State
from drill.reports.data import json_lines
from drill.reports.html import page as page_of
from drill.reports.progress import Progress, ProgressSource, progress
from drill.reports.progressreport import progress_report
from drill.reports.progresstrips import Spot
from drill.reports.text import command_lines
from drill.reports.text import text as text_of
from drill.reports.widths import width
from drill.terms import Direction
from drill.wording import reports as words
from drill.wording.figures import percent
from drill.wording.slips import slip_label

NOW = datetime(2031, 3, 14, 18, 30, tzinfo=UTC)
SIGNS = ("·", "○", "◐", "●", "✓")
BEGAN = datetime(2031, 3, 3, 17, 0, tzinfo=UTC)
"""A Monday."""


def spot(item_id: str) -> Spot:
    degree = item_id.rpartition(":")[2]
    way = Direction.UP if "/up:" in item_id else Direction.DOWN
    return Spot(ITEMS[item_id], degree, int(degree), way)


SPOTS = tuple(map(spot, ITEMS))


def given() -> tuple[Answer, ...]:
    """A made log: G known on three days but for two slips, E flat hardly asked, F sharp bad."""
    log: list[Answer] = []

    def add(name: str, right: bool, day: int, **more: object) -> None:
        number = len(log)
        at = BEGAN + timedelta(days=day, minutes=number)
        fields = {"at": at, "day": practice_day(at), "stamp": 0, **more}
        log.append(answer(number, ITEMS[name], right, **fields))

    for day in (0, 1, 2):
        for degree in range(1, 8):
            right = (day, degree) not in {(0, 4), (1, 4)}
            add(f"G:major:1-2-3-1/up:{degree}", right, day, seconds=3.0, slip=_slip(right, 0))
    for day in (0, 1, 2):
        add("Eb:major:1-3-5-3/up:2", True, day, seconds=9.0)
    for day in (7, 8):
        for degree in (7, 6, 5):
            # The first note is missed: E#, D# and C# on 7, 6 and 5 of F sharp major.
            missed = ("wrong", "right", "right", "right")
            name = f"F#:major:1-2-3-1~mirror/down:{degree}"
            add(name, False, day, seconds=5.0, slip=_slip(False, 1), outcomes=missed)
    return tuple(log)


def _slip(right: bool, kind: int) -> str | None:
    return None if right else ("swapped", "other-signature")[kind]


def made(log: tuple[Answer, ...] | None = None) -> Progress:
    answers = given() if log is None else log
    tempos = {("G:major", "1-2-3-1/up"): 84.0}
    source = ProgressSource(DECK, SPOTS, replay(answers, ITEMS), answers, ITEMS, tempos, UNTOLD)
    return progress(source, NOW, "2031-03-14")


UNTOLD = Forecast(84, 4, 76, 2, 15.0, enough=False, days=None, soonest=None, latest=None)


def text(found: Progress) -> str:
    return text_of(progress_report(found, SIGNS))


def page(found: Progress) -> str:
    return page_of(progress_report(found, SIGNS))


def data_of(found: Progress) -> dict[str, Any]:
    value = json.loads("".join(json_lines(progress_report(found, SIGNS))))
    assert isinstance(value, dict)
    return value


# The figures.


def test_keys_stand_around_the_circle_with_their_figures() -> None:
    found = made()
    # Three flats, one sharp, six sharps (signatures: common practice).
    assert [key.key for key in found.keys] == ["Eb:major", "G:major", "F#:major"]
    eb, g, f_sharp = found.keys
    assert (eb.standing.asked, eb.enough) == (3, False)
    assert (g.standing.asked, g.standing.slips, g.enough) == (21, 2, True)
    assert f_sharp.standing.error_rate == 1.0
    assert [square.shape for square in g.squares] == [
        "1-2-3-1/up", "1-2-3-1~mirror/down", "1-3-5-3/up", "1-3-5-3~mirror/down",
    ]  # fmt: skip
    first = g.squares[0]
    assert (first.standing.asked, first.standing.slips, first.tempo) == (21, 2, 84.0)
    assert g.squares[1].standing.level is Level.UNTRIED
    assert g.squares[1].standing.error_rate is None


def test_recall_is_the_mean_of_the_models_own_chances() -> None:
    found = made()
    state = replay(given(), ITEMS)
    chances = [predict(state, item, NOW).p for item in ITEMS.values() if item.key == "G:major"]
    assert found.keys[1].standing.recall == pytest.approx(sum(chances) / len(chances))
    assert sum(found.whole.levels.values()) == found.whole.cells == len(ITEMS)
    assert found.whole.levels[Level.UNTRIED] == len(ITEMS) - 7 - 1 - 3


@pytest.mark.parametrize(
    ("levels", "expected"),
    [
        ({Level.UNTRIED: 10}, Level.UNTRIED),
        ({Level.BY_HEART: 9, Level.SHAKY: 1}, Level.BY_HEART),
        ({Level.BY_HEART: 8, Level.HOLDING: 1, Level.SHAKY: 1}, Level.HOLDING),
        ({Level.BY_HEART: 8, Level.FADING: 1, Level.SHAKY: 1}, Level.FADING),
        ({Level.BY_HEART: 8, Level.HOLDING: 0, Level.SHAKY: 2}, Level.SHAKY),
        # Told by the cells that were asked, however few.
        ({Level.HOLDING: 1, Level.UNTRIED: 6}, Level.HOLDING),
        ({Level.BY_HEART: 8, Level.UNTRIED: 2}, Level.BY_HEART),
    ],
)
def test_several_cells_have_the_level_of_their_share(
    levels: dict[Level, int], expected: Level
) -> None:
    assert together(levels, 0.9) is expected


def test_weeks_begin_on_monday_and_count_what_was_asked() -> None:
    first, second = made().weeks
    assert (first.begins, first.asked, first.right) == ("2031-03-03", 24, 22)
    assert (second.begins, second.asked, second.right) == ("2031-03-10", 6, 0)
    assert first.seconds == 3.0
    assert second.seconds is None


def test_what_trips_has_its_counts_and_its_drill() -> None:
    trips = made().trips
    assert [(each.slip, each.count, each.share) for each in trips.slips] == [
        ("other-signature", 6, 0.75),
        ("swapped", 2, 0.25),
    ]
    assert trips.slips[0].drill == "drill --deck cells --ask signature"
    assert trips.slips[1].drill == "drill --deck cells --ask next"
    rows = {(each.note, each.missed) for each in trips.accidentals}
    assert {("E#", 2), ("D#", 2), ("C#", 2)} <= rows
    assert all(each.key == "F#:major" for each in trips.accidentals)
    assert [(each.key, each.missed, each.asked) for each in trips.mixed] == [("F#:major", 6, 6)]
    degrees = {(each.direction.value, each.label): each for each in trips.degrees}
    assert (degrees["up", "4"].asked, degrees["up", "4"].missed) == (3, 2)
    assert (degrees["down", "7"].asked, degrees["down", "7"].missed) == (2, 2)
    assert degrees["up", "4"].runs == 0
    assert "--keys 'F#'" in trips.mixed_drill[0]
    assert "--degrees" in trips.degrees_drill[0]
    slow = trips.slowest[0]
    assert (slow.key, slow.label, slow.seconds, slow.times) == ("Eb:major", "2", 9.0, 3)


def test_a_key_is_named_with_those_it_is_taken_for() -> None:
    said = ['{"instead": "B:major"}', '{"instead": "C#:major"}', '{"instead": "B:major"}',
            '{"instead": "no key"}', "[" * 3000, '["instead"]']  # fmt: skip
    mixed = [row for row in given() if row.slip == "other-signature"]
    told = {row.uuid: details for row, details in zip(mixed, said, strict=True)}
    log = tuple(replace(row, details=told.get(row.uuid, "")) for row in given())
    report = made(log)
    (row,) = report.trips.mixed
    assert row.others == (("B:major", 2), ("C#:major", 1))
    assert "--keys 'F#,B'" in report.trips.mixed_drill[0]
    assert "B major (2), C# major (1)" in text(report)
    assert "B major (2), C# major (1)" in page(report)
    data = data_of(report)
    assert data["trips"]["mixed_keys"][0]["instead"] == [
        {"key": "B major", "count": 2},
        {"key": "C# major", "count": 1},
    ]


def test_a_whole_run_breaks_at_its_first_slip() -> None:
    log = [
        answer(n, ITEMS[f"G:major:1-2-3-1/up:{degree}"], degree < 5, kind="run")
        for n, degree in enumerate(range(1, 8))
    ]
    degrees = {each.label: each for each in made(tuple(log)).trips.degrees}
    assert [(degrees[d].runs, degrees[d].broken) for d in "1234567"] == [
        (1, 0), (1, 0), (1, 0), (1, 0), (1, 1), (0, 0), (0, 0),
    ]  # fmt: skip


def test_every_drill_is_a_command_that_exists() -> None:
    trips = made().trips
    commands = [each.drill for each in trips.slips]
    for some in (
        trips.accidentals_drill, trips.mixed_drill, trips.degrees_drill, trips.slowest_drill,
    ):  # fmt: skip
        assert len(some) == 2
        commands += some
    for command in commands:
        program, *words = shlex.split(command)
        assert program == "drill"
        name = "deck" if words[0] == "deck" else "practise"
        rest = words[1:] if name == "deck" else words
        parser_of(name, module_of(name)).parse_args(rest)


def test_a_command_keeps_its_words_when_it_is_broken() -> None:
    for command in made().trips.degrees_drill:
        lines = command_lines(command)
        assert max(map(width, lines)) <= 78
        joined = "\n".join(lines).replace("\\\n", " ")
        assert shlex.split(joined) == shlex.split(command)


# The time to come.


def test_the_lead_says_what_is_to_come_and_what_the_day_found() -> None:
    late = ByDate("2031-04-01", 18, 12, 9, 15, 30)
    source, advice = made().source, Advice(True, 2, 7, 0, 0.01, 0.02)
    told = replace(made(), source=replace(source, forecast=ahead(due=late), advice=advice))
    lead = progress_report(told, SIGNS).lead
    assert lead[0].startswith("Enough for today: ")
    assert "about 2031-03-29 (likely 2031-03-24 to 2031-04-13)" in lead[1]
    assert "It is due on 2031-04-01: about 12 by heart then (likely 9 to 15)" in lead[1]
    data = data_of(told)
    assert (data["enough_for_today"], data["due_tomorrow"]) == (True, 7)
    assert data["forecast"]["due"] == {
        "day": "2031-04-01", "by_heart": 12, "least": 9, "most": 15, "pace": 30,
    }  # fmt: skip
    for day, said in ((date(2031, 3, 14), "is due today"), (date(2031, 3, 1), "was due on 2031")):
        deck = replace(source.deck, due=day)
        over = replace(told, source=replace(source, deck=deck, forecast=ahead(), advice=None))
        (only,) = progress_report(over, SIGNS).lead
        assert said in only


# Text, JSON and page.


def test_the_text_shows_the_figures_of_the_json_within_80_columns() -> None:
    found = made()
    said, data = text(found), data_of(found)
    lines = said.splitlines()
    assert max(map(width, lines)) <= 80
    for key in data["keys"]:
        line = next(line for line in lines if line.startswith(f"{key['key']} "))
        assert f" {key['answers']} " in line
        assert f"{percent(key['recall'])} %" in line
        assert line.endswith(key["level"])
        if not key["enough_answers"]:
            assert words.TOO_FEW in said
            assert key["error_rate"] is None
            assert " -  " in line
    for each in data["patterns"]:
        name = f"{each['key']}, {each['pattern']} {each['direction']}"
        line = next(line for line in lines if line.startswith(name))
        assert f"{percent(each['recall'])} %" in line
        assert f" {each['level']}" in line
    first = next(each for each in data["patterns"] if each["key"] == "G major")
    assert first["locked_in_tempo"] == 84.0
    assert re.search(r"G major, 1-2-3-1 up +7 of 7 +21 +10 % +\d+ % .* 84$", said, re.MULTILINE)
    for week in data["weeks"]:
        line = next(line for line in lines if line.startswith(week["begins"]))
        assert f"{percent(week['recall'])} %" in line
    for slip in data["trips"]["slips"]:
        assert slip_label(slip["slip"]) in said
        assert slip["drill"] in said


def test_the_page_shows_the_figures_of_the_json() -> None:
    found = made()
    data, texts = data_of(found), PageReader(page(found)).texts
    for each in (*data["keys"], *data["patterns"]):
        assert f"{percent(each['recall'])} %" in texts
        assert any(said.endswith(each["level"]) for said in texts)
    for week in data["weeks"]:
        assert {week["begins"], f"{percent(week['recall'])} %"} <= set(texts)
    for slip in data["trips"]["slips"]:
        assert {slip_label(slip["slip"]), f"{slip['count']}", slip["drill"]} <= set(texts)
    for row in data["trips"]["degrees"]:
        assert f"{row['direction']} on {row['degree']}" in texts
        assert f"{row['missed']} of {row['asked']}" in texts
    for command in data["trips"]["slowest_drill"]:
        assert command in texts
    assert f"{percent(data['recall'])} %" in texts


def test_the_page_stands_alone() -> None:
    source = page(made())
    assert stands_alone(source)
    assert "@media print" in source


@pytest.mark.parametrize("nasty", ["<script>alert(1)</script>", "\x1b[2J", '"><b', "a\u202eb"])
def test_no_text_becomes_markup_or_moves_the_terminal(nasty: str) -> None:
    log = tuple(
        answer(n, ITEMS["G:major:1-2-3-1/up:4"], False, slip=nasty, deck_name=nasty)
        for n in range(6)
    )
    found = made(log)
    plain = made(tuple(answer(n, ITEMS["G:major:1-2-3-1/up:4"], False, slip="x") for n in range(6)))
    assert PageReader(page(found)).tags == PageReader(page(plain)).tags
    said = text(found)
    assert "\x1b" not in said
    assert "\u202e" not in said
    assert max(map(width, said.splitlines())) <= 80


def test_a_long_pattern_fits_the_width() -> None:
    shape = "1-b3-5-b7|1-3-5-b7|1-3-5-7~2,5,1/"
    item = replace(ITEMS["G:major:1-2-3-1/up:4"], shape=f"{shape}down")
    source = ProgressSource(
        DECK, (Spot(item, "4", 4, Direction.DOWN),), State(), (), {}, {}, UNTOLD
    )
    lines = text(progress(source, NOW, "2031-03-14")).splitlines()
    line = next(line for line in lines if line.startswith("G major, "))
    assert "…" in line
    assert width(line) <= 80


@pytest.mark.parametrize(("ways", "told"), [(("down",), True), (("up", "down"), False)])
def test_a_drill_of_degrees_missed_one_way_asks_that_way(ways: tuple[str, ...], told: bool) -> None:
    shapes = {"up": "1-2-3-1/up", "down": "1-2-3-1~mirror/down"}
    missed = [ITEMS[f"G:major:{shapes[way]}:4"] for way in ways] * 6
    found = made(tuple(answer(n, item, False) for n, item in enumerate(missed)))
    make, _ = found.trips.degrees_drill
    assert "--degrees 4 " in make
    assert ("--directions down" in make) == told
