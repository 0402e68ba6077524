"""A command broken at the edge of a page, the picture of a bar, a lesson without a slip."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from drill.errors import DataError, FaultsError
from drill.hearing.line import LinePlace
from drill.hearing.values import Heard, HeardAs, NoteHeard
from drill.reports import html, progresstrips, takepage, text
from drill.reports.classsquares import ClassSquare, _lesson
from drill.reports.naming import KeyPlace
from drill.reports.people import read_roster
from drill.reports.report import Column, Form, Report, Table
from drill.reports.takes import kept_takes
from drill.reports.text import command_lines
from drill.terms import Note
from drill.theory.language import Language


def test_a_command_is_broken_where_its_backslash_would_not_fit() -> None:
    """Five columns of margin, a space before each word, two at the end for the backslash."""
    assert command_lines("drill " + "x" * 10, 25) == ["      drill " + "x" * 10]
    assert command_lines("drill " + "x" * 11, 25) == ["      drill \\", "         " + "x" * 11]


def test_the_sign_of_a_note_stands_over_its_name_under_the_staff() -> None:
    place = LinePlace(60, Note("C", 0, 4), "1", first=True)
    heard = NoteHeard(0, HeardAs.UNHEARD, None, None, None, None, None, None)
    drawn = str(
        takepage._note(
            place, heard, 40.0, top=66.0, bottom=84.0, middle=34, language=Language.ENGLISH
        )
    )
    texts = re.findall(r'<text[^>]* y="([\d.]+)"[^>]*>([^<]*)<', drawn)
    heights = {said: float(y) for y, said in texts}
    sign, _ = takepage._MARKS[HeardAs.UNHEARD]
    assert (heights[sign], heights["C"]) == (66 + 84 - 18, 66 + 84 - 4)


@pytest.mark.parametrize(
    ("height", "lines"), [(5, []), (6, [6]), (7, [6]), (8, [6, 8]), (-5, []), (-6, [-6])]
)
def test_a_note_beyond_the_staff_has_its_own_lines(height: int, lines: list[int]) -> None:
    assert list(takepage._ledgers(height)) == lines


def test_a_lesson_without_a_slip_has_none_counted() -> None:
    square = ClassSquare(KeyPlace("", "G:major", ""), "1-2-3-1/up", 1, 0, 0.0, 1, 0, 2, 2, 0.9)
    made = _lesson(square, [], {}, {})
    assert (made.slip, made.slip_count) == ("", 0)
    made = _lesson(square, [], {"degree": 2, "swap": 3, "extra": 3}, {})
    assert (made.slip, made.slip_count) == ("swap", 3)


def test_a_name_takes_at_most_half_of_the_width() -> None:
    columns = (Column("name", "Name", str), Column("n", "N", lambda item: 1, Form.COUNT))
    table = Table("t", "Table", columns, ["a" * 30])
    report = Report("Report", "test", datetime(2026, 3, 2, tzinfo=UTC), (), (table,))
    rows = list(text._columns(table, report, 20))
    assert rows == ["Name        N", "aaaaaaaaa…  1"]


def test_a_key_is_drawn_with_its_signs_and_none_is_empty() -> None:
    column = Column("key", "Key", str, Form.KEY)
    report = Report("Report", "test", datetime(2026, 3, 2, tzinfo=UTC), (), ())
    assert "♭" in str(html._value("Bb:major", column, report, 1.0))
    assert "None" not in str(html._value(None, column, report, 1.0))


def test_the_loudest_note_stands_at_the_top_of_its_picture_and_the_softest_below() -> None:
    """Six units of margin in a height of 90."""
    notes = tuple(
        NoteHeard(at, HeardAs.RIGHT, 60, None, None, None, db, None)
        for at, db in enumerate((-10.0, -20.0, -15.0))
    )
    picture, _ = takepage._levels(Heard(notes))
    path = re.search(r' d="M([^"]*)"', str(picture))
    assert path is not None
    assert [float(y) for y in re.findall(r" ([\d.]+)(?: L|$)", path[1])] == [6.0, 84.0, 45.0]


def test_six_keys_that_trip_are_listed_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    rates = [SimpleNamespace(name=f"K{n}", asked=9, missed=3, share=1 / 3) for n in range(9)]
    mixed = [SimpleNamespace(rate=rate, others=()) for rate in rates]
    found = SimpleNamespace(answers=81, facts=(), mixed_keys=mixed, slowest=(), slips=())
    monkeypatch.setattr(progresstrips, "trips", lambda *_, **__: found)
    for name in ("_small_deck", "_degree_deck"):
        monkeypatch.setattr(progresstrips, name, lambda *_, **__: ())
    deck: Any = None
    told = progresstrips.tripping(deck, (), ())
    assert [row.key for row in told.mixed] == [f"K{n}" for n in range(6)]


@pytest.mark.parametrize(("share", "width"), [(0.0, 1), (0.5, 45), (1.0, 90)])
def test_a_bar_is_as_wide_as_its_share_of_ninety(share: float, width: int) -> None:
    found = re.search(r'<rect[^>]* width="([\d.]+)"', str(html._bar(share)))
    assert found is not None
    assert float(found[1]) == width


@pytest.mark.parametrize(("letters", "refused"), [(200, False), (201, True)])
def test_a_value_of_a_roster_has_at_most_two_hundred_letters(letters: int, refused: bool) -> None:
    text = f"name,band\nBo,{'a' * letters}\n"
    if refused:
        with pytest.raises(FaultsError, match="band is longer than 200"):
            read_roster(text)
    else:
        assert [len(person.value("band")) for person in read_roster(text)] == [letters]


@pytest.mark.parametrize("text", ["[" * 9_000, "{", "true"], ids=range(3))
def test_a_file_of_takes_that_is_none_is_one_message(tmp_path: Path, text: str) -> None:
    (tmp_path / "takes.json").write_text(text, encoding="utf-8")
    with pytest.raises(DataError):
        kept_takes(tmp_path / "takes.json")
