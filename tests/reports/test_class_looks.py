"""The report as text, page and table: right figures, safe against any name or text."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from dataclasses import replace
from datetime import timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from page_reader import PageReader, stands_alone
from results_world import CONCERT, ITEMS, NOW, answer, drawn
from test_class_totals import room, told

from drill.reports.classkeys import key_recalls
from drill.reports.classpages import nameless, student_pages
from drill.reports.classreport import class_report
from drill.reports.classroom import Classroom
from drill.reports.classstudents import MOST_ROWS
from drill.reports.data import csv_lines, json_lines, safe
from drill.reports.finding import FileRemark, WhyNot
from drill.reports.html import _square
from drill.reports.html import page as page_of
from drill.reports.markup import Safe, inner, tag
from drill.reports.text import letters
from drill.reports.text import text as text_of
from drill.reports.widths import fitted, width
from drill.shown import first_harmful
from drill.wording import reports as words
from drill.wording.figures import days_ago, duration, one_decimal, percent
from drill.wording.squares import key_text, shape_name

FIRST = next(iter(ITEMS.values()))
NASTY = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style><b>",
    "=cmd|' /C calc'!A0",
    "& &amp; 'q' \"q\"",
    "楽譜 太郎",
    "\u0645\u0631\u064a\u0645",
    "Zoe\u0301 \U0001f3b7",
)


def three() -> Classroom:
    students = (told(drawn(seed, 120, 0.4 + seed / 10), f"Student {seed}") for seed in (1, 2, 3))
    return room(*students, roster=("Student 1", "Student 2", "Student 3", "Otto Ottava"))


def text(made: Classroom) -> str:
    return text_of(class_report(made))


def page(made: Classroom) -> str:
    return page_of(class_report(made))


def data_of(made: Classroom) -> dict[str, Any]:
    value = json.loads("".join(json_lines(class_report(made))))
    assert isinstance(value, dict)
    return value


# -- text


def test_the_text_fits_80_columns_whatever_the_names() -> None:
    students = [told(drawn(n, 60), name * 3) for n, name in enumerate(NASTY)]
    made = room(*students, roster=tuple(name * 2 for name in NASTY))
    for line in text(made).splitlines():
        assert width(line) <= 80


def test_the_text_says_the_figures() -> None:
    made = three()
    said, data = text(made), data_of(made)
    assert "students 4; started 3;" in said
    flat = " ".join(said.split())
    assert f"answers {made.asked:,}; right {percent(made.right / made.asked)} %" in flat
    for student in data["students"]:
        if student["asked"]:
            row = next(line for line in said.splitlines() if line.startswith(student["name"]))
            assert f" {student['by_heart']} " in row
            assert " 84 " in row
    for number, lesson in enumerate(data["teach"], start=1):
        name = f"written {lesson['key']}, {lesson['pattern']} {lesson['direction']}"
        assert f"{number:>2}. {name}" in said
    assert "Not started (1): Otto Ottava" in said
    assert "Keys are written keys (Alto saxophone in Eb)." in flat


def test_horns_are_named_as_long_as_they_are_few() -> None:
    few, many = ("flute", "horn_f", "oboe"), ("flute", "horn_f", "oboe", "bassoon")
    told = words.counted_words(concert=False, written=True, horns=few)
    assert told == "Keys are written keys (Flute, Horn in F, Oboe)."
    told = words.counted_words(concert=False, written=True, horns=many)
    assert told == "Keys are written keys (horn by horn)."


def test_a_report_of_nothing_is_short() -> None:
    assert text(room()).splitlines()[0] == "Class report: 2031-03-14"


def test_files_are_named_with_their_reason() -> None:
    made = replace(three(), remarks=(FileRemark("a.drill-results", WhyNot.UNREADABLE, "damaged"),))
    assert " 1. a.drill-results\n    what left out: damaged\n" in text(made)
    assert "left out: damaged" in PageReader(page(made)).texts


# -- page


def test_the_page_shows_the_figures_of_the_json() -> None:
    made = three()
    data = data_of(made)
    texts = PageReader(page(made)).texts
    for square in data["squares"]:
        assert f"{percent(square['recall'])} %" in texts
        below = f"{square['below_goal']} of {square['students']} below"
        assert f"{percent(square['share_right'])} % right \u00b7 {below}" in texts
    for student in data["students"]:
        assert {student["name"], str(student["by_heart"])} <= set(texts)
    for lesson in data["teach"]:
        assert f"{lesson['need']:.1f}" in texts
        assert f"{lesson['below_goal']} of {lesson['students']} students" in texts
    assert any("Otto Ottava" in each for each in texts)


def source_of_pages(made: Classroom) -> PageReader:
    return PageReader(page_of(student_pages(made)))


@pytest.mark.parametrize("name", NASTY)
def test_no_name_becomes_markup(name: str) -> None:
    made = room(told(drawn(1, 40), name), roster=("Otto Ottava" + name,))
    made = replace(made, remarks=(FileRemark(name, WhyNot.UNREADABLE, name),))
    plain = room(told(drawn(1, 40), "Bo Barline"), roster=("Otto Ottava",))
    plain = replace(plain, remarks=(FileRemark("f", WhyNot.UNREADABLE, "r"),))
    read, other = PageReader(page(made)), PageReader(page(plain))
    assert read.tags == other.tags
    assert [key for key, _ in read.attributes] == [key for key, _ in other.attributes]
    assert name in read.texts
    assert Counter(source_of_pages(made).tags) == Counter(source_of_pages(plain).tags)


@given(st.text())
def test_any_text_comes_back_as_text(any_text: str) -> None:
    read = PageReader(tag("p", any_text, title=any_text))
    assert read.tags == ["p"]
    shown = "".join(read.texts)
    assert len(shown) >= len(any_text)
    if any_text.isprintable() and first_harmful(any_text) is None:
        assert shown == any_text
        assert read.attributes == [("title", any_text)]
    assert all(each.isprintable() or ord(each) > 126 for each in shown)


def test_only_what_markup_made_is_safe() -> None:
    assert inner(Safe("<b>"), "<i>", None) == "<b>&lt;i&gt;"
    assert tag("rect", x=1.0, class_="m", aria_label="a<b") == (
        '<rect x="1" class="m" aria-label="a&lt;b"/>'
    )


def test_the_page_stands_alone() -> None:
    assert stands_alone(page(three()))


def test_what_was_not_asked_is_a_ring_and_what_is_forgotten_a_large_square() -> None:
    known = tuple(answer(n, FIRST, True) for n in range(12))
    source = page(room(told(known, "Bo"), told(drawn(2, 200, 0.1), "Cy")))
    read = PageReader(source)
    assert "circle" in read.tags
    sides = [float(value or 0) for key, value in read.attributes if key == "width"]
    assert min(sides) < 5
    assert max(sides) > 10


def test_a_district_shows_those_with_the_fewest_by_heart() -> None:
    students = [told(drawn(n, 8, n / 80), f"Student {n:03}") for n in range(MOST_ROWS + 20)]
    made = room(*students)
    assert "(20 more with more by heart: --csv or --json has all)" in text(made)
    assert any("and 20 more with more by heart" in each for each in PageReader(page(made)).texts)
    assert len(data_of(made)["students"]) == MOST_ROWS + 20
    # the map has one cell a key, which the table of one row a student has not
    by_key = text(made).partition("Students by keys: ")[2]
    assert "(20 more with more by heart: --csv-cells or --json has all)" in by_key


def test_csv_is_named_only_where_it_has_the_rows() -> None:
    remarks = tuple(FileRemark(f"{n}.drill-results", WhyNot.NOTE, "look") for n in range(45))
    said = text(replace(room(told(drawn(1, 8, 0.5), "Mara Quill")), remarks=remarks))
    assert "(5 more: --json has all)" in said


def test_initials_or_ids_and_nothing_else_tell_who_it_is() -> None:
    students = [
        replace(told(drawn(n, 60, 0.3), name), id=f"0{n}", line="hello", files=("q.drill-results",))
        for n, name in enumerate(("Mara Quill", "Milo Quaver", "Bo Barline"), start=1)
    ]
    made = room(*students)
    made = replace(made, remarks=(FileRemark("Mara.drill-results", WhyNot.NOTE, "Mara Quill"),))
    for how, names in (("initials", ["B. B.", "M. Q.", "M. Q. 2"]), ("ids", ["01", "02", "03"])):
        bare = nameless(made, how)
        assert [each.name for each in bare.students] == names
        everything = text(bare) + page(bare) + json.dumps(data_of(bare))
        for word in ("Mara", "Quill", "Milo", "Quaver", "Barline", "hello", "drill-results"):
            assert word not in everything.replace("A results file", "")
        whom = {name for lesson in bare.lessons for name in lesson.for_whom}
        assert whom <= set(names)


# -- tables


def rows(made: Classroom) -> list[dict[str, str]]:
    source = "".join(csv_lines(class_report(made).table("cells")))
    assert source.startswith("\ufeff")
    assert source.count("\r\n") == source.count("\n")
    return list(csv.DictReader(io.StringIO(source.removeprefix("\ufeff"))))


def test_the_ring_of_what_was_not_asked_lies_within_its_square() -> None:
    ring = str(_square(None))
    width, radius = (float(re.search(rf'{name}="([0-9.]+)"', ring)[1]) for name in ("width", "r"))  # type: ignore[index]
    assert 0 < radius < width / 4


def test_the_long_table_has_a_row_for_each_square_and_each_who_is_missing() -> None:
    made = three()
    found = rows(made)
    squares = [(student, each) for student in made.students for each in student.squares]
    assert len(found) == len(squares) + 1
    by_row = {(row["student"], row["written_key"], row["pattern"]): row for row in found}
    for student, square in squares:
        row = by_row[student.name, key_text(square.place.written), str(shape_name(square.shape))]
        assert row["concert_key"] == key_text(CONCERT[square.place.written])
        assert row["horn"] == "alto_sax"
        assert (int(row["asked"]), int(row["right"])) == (square.asked, square.right)
        assert int(row["by_heart"]) == square.by_heart
        assert float(row["recall"]) == pytest.approx(square.recall, abs=1e-4)
        assert float(row["minutes"]) == pytest.approx(square.seconds / 60, abs=0.01)
    assert by_row["Otto Ottava", "", ""]["asked"] == "0"


def test_the_grade_book_has_one_row_a_student() -> None:
    made = three()
    source = "".join(csv_lines(class_report(made).table("students")))
    found = list(csv.DictReader(io.StringIO(source.removeprefix("\ufeff"))))
    assert [row["name"] for row in found] == [each.name for each in made.students]
    names = "name,id,group,horn,deck,by_heart,of,share,goal,goal_met_on,on_time,days,minutes"
    assert set(names.split(",")) | {"first", "last"} <= set(found[0])
    for row, student in zip(found, made.students, strict=True):
        assert (int(row["by_heart"]), int(row["of"])) == (student.by_heart, student.of)
        assert int(row["days"]) == student.days
    assert found[0]["name"] == "Otto Ottava"
    assert (found[0]["deck"], found[0]["last"]) == ("", "")


@given(st.text(min_size=1))
def test_no_text_is_a_formula(any_text: str) -> None:
    assert safe(any_text).lstrip()[:1] not in tuple("=+-@\t\r\n|%＝＋－＠")


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@SUM(A1)", " =1", "＝1", "|x", "%0"])
def test_a_formula_gets_an_apostrophe(name: str) -> None:
    found = rows(room(told(drawn(1, 5), name)))
    assert {row["student"] for row in found} == {"'" + name}
    assert safe("Bo Barline, Jr. 1-2") == "Bo Barline, Jr. 1-2"


def test_the_json_is_strict_and_whole() -> None:
    made = three()
    data = data_of(made)
    names = ["Otto Ottava", "Student 1", "Student 2", "Student 3"]
    assert [each["name"] for each in data["students"]] == names
    assert data["not_started"] == ["Otto Ottava"]
    assert sum(each["asked"] for each in data["squares"]) == data["asked"]
    assert sum(each["asked"] for each in data["keys"]) == data["asked"]
    assert sum(each["asked"] for each in data["cells"]) == data["asked"]
    wanted = "name id group horn by_heart of goal_met_on on_time days"
    assert set(wanted.split()) <= set(data["students"][0])
    wanted = "horn written_key concert_key pattern direction students asked right by_heart"
    for each in data["squares"]:
        assert set(wanted.split()) <= set(each)
        assert each["horn"] == "alto_sax"


# -- figures


def test_a_little_need_is_not_called_none() -> None:
    assert [one_decimal(each) for each in (0.0, 0.01, 0.049, 0.05, 1.25)] == [
        "0.0",
        "under 0.1",
        "under 0.1",
        "0.1",
        "1.2",
    ]


def test_figures() -> None:
    assert [percent(each) for each in (None, 0.0, 0.005, 0.625, 1.0)] == [
        "-",
        "0",
        "0",
        "62",
        "100",
    ]
    assert [duration(each) for each in (0, 59, 90, 3599, 3660, 86_400)] == [
        "0 s", "59 s", "2 min", "1 h 00", "1 h 01", "24 h 00",
    ]  # fmt: skip
    assert [letters(each) for each in (0, 25, 26, 27, 52)] == ["A", "Z", "AA", "AB", "BA"]
    assert key_text("Gb:harmonic_minor") == "Gb harmonic minor"


def test_days_are_local() -> None:
    at = int((NOW - timedelta(hours=19)).timestamp()) * 1_000_000  # 23:30 UTC the day before
    assert days_ago(at, NOW, None) == "yesterday"
    assert days_ago(at, NOW, timezone(timedelta(hours=2))) == "today"
    assert days_ago(None, NOW, None) == "never"
    assert days_ago(at + 10**13, NOW, None) == "today"  # a clock set back


@given(st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"])), st.integers(1, 30))
def test_fitted_fits(any_text: str, columns: int) -> None:
    assert width(fitted(any_text, columns)) == columns


def test_widths() -> None:
    """Wide forms take two columns, marks none (Unicode Standard Annex 11)."""
    assert width("楽譜") == 4
    assert width("Zoe\u0301") == 3
    assert fitted("楽譜楽譜", 4) == "楽… "


def test_key_recalls_are_weighted_by_cells() -> None:
    student = told(drawn(1, 100))
    for key, recall in key_recalls(student).items():
        squares = [each for each in student.squares if each.place.counted == key and each.cells]
        total = sum(each.recall * each.cells for each in squares)
        assert recall == pytest.approx(total / sum(each.cells for each in squares))
