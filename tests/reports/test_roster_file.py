"""A roster that is changed row by row keeps all that was in its file."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.errors import DataError, FaultsError
from drill.reports.people import read_roster
from drill.reports.rosterfile import RosterFile, open_roster

BAND = """# The band, "autumn"
Number;Full Name;Section;Instrument;Seat
1;Ada Finch;winds;Alto Sax;1

# those who came late; two of them
2;Bo Lark;brass;;2
"""


def test_what_is_not_changed_is_written_as_it_stood() -> None:
    assert RosterFile(BAND).text() == BAND


def test_a_remark_does_not_say_what_stands_between_values() -> None:
    assert [each.group for each in read_roster(BAND)] == ["winds", "brass"]


@pytest.mark.parametrize("above", ["  # a;b;c", '"# two; one"', "\t# a;b"])
def test_what_does_not_count_does_not_say_what_stands_between_values(above: str) -> None:
    """Spreadsheets write a remark in quotes where it has their separator."""
    text = f"{above}\nname,group\n"
    roster = RosterFile(text)
    roster.add(name="Ada Finch", group="winds")
    assert roster.text() == f"{text}Ada Finch,winds\n"
    assert [each.group for each in read_roster(roster.text())] == ["winds"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("# the band\n\nid,horn\n1,flute\n", ["r.csv:3:1: the first line names no column name"]),
        ("# the band\nname,name\nAda,Bo\n", ['r.csv:2:1: the column "name" stands here twice']),
        (f"name\n{'x' * 300}\n", ["r.csv:2:1: the name has 300 characters"]),
        (f"name,seat\nAda,{'x' * 300}\n", ["r.csv:2:1: seat is longer than 200 characters"]),
        (
            f"name,horn\nAda,{'x' * 300}\n",
            ["r.csv:2:1: the horn has 300 characters: at most 200 are expected"],
        ),
    ],
)
def test_a_fault_is_told_once_and_at_its_line(text: str, told: list[str]) -> None:
    with pytest.raises(FaultsError) as caught:
        read_roster(text, "r.csv")
    found = str(caught.value).splitlines()
    assert [each for each, said in zip(found, told, strict=True) if not each.startswith(said)] == []


def test_line_ends_and_the_mark_of_utf8_stay() -> None:
    text = "\ufeff" + BAND.replace("\n", "\r\n")
    assert RosterFile(text).text() == text


def test_a_value_is_put_under_what_the_file_calls_the_column() -> None:
    roster = RosterFile(BAND)
    _, bo = roster.students
    roster.put(bo, "horn", "tuba")
    roster.put(bo, "level", "b")
    assert roster.value(bo, "horn") == "tuba"
    assert roster.text().splitlines()[1] == "Number;Full Name;Section;Instrument;Seat;level"
    assert roster.text().splitlines()[2] == "1;Ada Finch;winds;Alto Sax;1;"
    assert roster.text().splitlines()[5] == "2;Bo Lark;brass;tuba;2;b"


def test_a_new_roster_has_the_columns_that_are_used() -> None:
    roster = RosterFile()
    roster.add(name="Ada  Finch", horn="alto_sax", group="")
    roster.add(name="Lark, Bo")
    assert roster.text() == 'name,horn\nAda Finch,alto_sax\n"Lark, Bo",\n'
    people = read_roster(roster.text())
    assert [(each.name, each.horn) for each in people] == [
        ("Ada Finch", "alto_sax"),
        ("Lark, Bo", ""),
    ]


def test_a_list_of_names_gets_its_first_line() -> None:
    roster = RosterFile("# band\nAda\nBo\n")
    assert roster.text() == "# band\nname\nAda\nBo\n"
    roster.remove(roster.students[0])
    assert [each.name for each in read_roster(roster.text())] == ["Bo"]


def test_faults_stand_with_the_student_they_are_about() -> None:
    roster = RosterFile('# "two\n# lines"\nid,name,horn\n1,Ada,alto\n1,Bo,tuba\n3,,\n4,Cy,altoo\n')
    found, whole = roster.faults()
    assert whole == ""
    assert found[1][0].startswith('the id "1" is Ada')
    assert found[2] == ("the name is missing", "name")
    assert "altoo" in found[3][0]
    assert [column for _, column in found] == ["", "id", "name", "horn"]
    assert found[0] == ("", "")


def test_a_row_that_would_not_count_is_a_fault() -> None:
    roster = RosterFile("id,name\n1,Ada\n2,Bo\n")
    ada, bo = roster.students
    roster.put(ada, "id", "#1")
    for column in roster.columns:
        roster.put(bo, column, "")
    assert roster.faults()[0] == (
        ("a row that begins with # does not count", ""),
        ("the name is missing", "name"),
    )


def test_nobody_is_a_fault_of_the_whole() -> None:
    assert RosterFile().faults() == ((), "nobody is on this roster")


def test_a_file_that_is_no_table_cannot_be_opened(tmp_path: Path) -> None:
    path = tmp_path / "roster.csv"
    path.write_text('name\n"Ada', encoding="utf-8")
    with pytest.raises(FaultsError, match="not a row of CSV"):
        open_roster(path)
    path.write_bytes(b"name\n\xe4\n")
    with pytest.raises(DataError, match="not UTF-8"):
        open_roster(path)


def test_it_is_written_for_its_owner(tmp_path: Path) -> None:
    path = tmp_path / "roster.csv"
    roster = RosterFile()
    roster.add(name="Zoë")
    roster.keep(path)
    assert open_roster(path).text() == "name\nZoë\n"
    assert path.stat().st_mode & 0o077 == 0


_CELL = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=8).map(
    lambda text: unicodedata.normalize("NFC", " ".join(text.split()))
)
"""A value as a roster is read: in one spelling, with single spaces."""


@given(st.lists(st.tuples(_CELL, _CELL, _CELL), max_size=5))
def test_whatever_is_put_is_read_again(rows: list[tuple[str, str, str]]) -> None:
    roster = RosterFile("name,id,seat\n")
    for name, number, seat in rows:
        roster.add(name=name or "x", id=number, seat=seat)
    again = RosterFile(roster.text())
    faults = roster.faults()[0]
    kept = [
        each
        for each, (fault, _) in zip(roster.students, faults, strict=True)
        if "does not count" not in fault
    ]
    values = [[again.value(each, column) for column in again.columns] for each in again.students]
    assert values == [[roster.value(each, column) for column in roster.columns] for each in kept]
