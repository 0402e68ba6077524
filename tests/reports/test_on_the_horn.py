"""What was heard of takes stands beside what is by heart, and equals a recount of the files."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from results_world import CONCERT, HANDED, NOW, SCALES, SHAPES, drawn, results, written

from drill.reports.classpages import nameless, student_report
from drill.reports.classreport import class_report
from drill.reports.classroom import Classroom, classroom
from drill.reports.data import csv_lines, json_lines
from drill.reports.finding import files_in
from drill.reports.gathering import When, gather, tasks
from drill.reports.html import page
from drill.reports.takes import TakeResult, TakeSquare
from drill.reports.text import text
from drill.wording.squares import key_text

Counts = Counter[tuple[Any, ...]]


def take(chance: Random, days: int) -> TakeResult:
    """A take of one key and pattern, up alone or both ways."""
    key, cell = f"{chance.choice(list(SCALES))}:major", chance.choice(list(SHAPES))
    ways = [f"{cell}/up", f"{cell}~mirror/down"][: chance.randint(1, 2)]
    squares = []
    for way in ways:
        notes = chance.randint(20, 40)
        squares.append(TakeSquare(key, way, notes, chance.randint(notes // 2, notes)))
    notes, right = (sum(getattr(each, name) for each in squares) for name in ("notes", "right"))
    title = f"{cell} in {key_text(key)}{', up' if len(ways) == 1 else ''}"
    made = (NOW - timedelta(days=days)).replace(microsecond=0)
    said = (f"{right} of {notes} notes heard as asked.",)
    return TakeResult(
        made, HANDED.fingerprint, title, notes, right, notes - right, said, tuple(squares)
    )


def heard_by(folder: Path, takes: dict[str, list[TakeResult]], days: int = 0) -> Classroom:
    """The class of some students with their takes, as it stood so many days ago."""
    for number, (name, some) in enumerate(takes.items()):
        value = results(name, drawn(number + 1, 60), takes=tuple(some), id=str(number))
        written(folder, f"{number}-a", value)
        # Another laptop knows the first of them too: it counts once.
        other = results(name, drawn(number + 50, 20), takes=tuple(some[:1]), id=str(number))
        written(folder, f"{number}-b", other)
    day = NOW - timedelta(days=days)
    when = When(NOW, day.date(), day)
    return classroom(gather(tasks(files_in([folder])[0], when), 1), day, day=str(day.date()))


def recount(folder: Path, until: str) -> tuple[Counts, Counts]:
    """Notes played and heard as asked, by student and by key and pattern, by json alone."""
    newest: dict[tuple[str, str], list[Any]] = {}
    for path in sorted(folder.iterdir()):
        head = json.loads(path.read_text(encoding="utf-8").splitlines()[1])
        for row in head.get("takes", []):
            where = (head["student"], row[2])
            if row[0] <= until and row[0] >= newest.get(where, [""])[0]:
                newest[where] = row
    students, squares = Counter[tuple[Any, ...]](), Counter[tuple[Any, ...]]()
    for (student, _), row in newest.items():
        students[student, "notes"] += row[3]
        students[student, "right"] += row[4]
        for key, shape, notes, right in row[7]:
            squares[key, shape, "notes"] += notes
            squares[key, shape, "right"] += right
            squares[student, key, shape] += notes
    return students, squares


def shape_of(row: dict[str, Any]) -> str:
    return f"{row['pattern']}{'~mirror' if row['direction'] == 'down' else ''}/{row['direction']}"


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10**6), st.integers(0, 6), st.integers(0, 8))
def test_every_number_of_the_takes_is_a_recount_of_the_files(
    tmp_path_factory: Any, seed: int, most: int, days: int
) -> None:
    folder = tmp_path_factory.mktemp("heard")
    chance = Random(seed)
    names = ("Mara Quill", "Bo Barline", "Cy Clef")
    takes = {
        name: sorted((take(chance, chance.randint(0, 9)) for _ in range(chance.randint(0, most))),
                     key=lambda each: each.made)
        for name in names
    }  # fmt: skip
    # Of two takes of one run in one second nobody could say which is the newer.
    takes = {
        name: list({(each.made, each.title): each for each in some}.values())
        for name, some in takes.items()
    }
    made = heard_by(folder, takes, days)
    until = (NOW - timedelta(days=days)).strftime("%Y-%m-%dT%H:%M:%SZ")
    students, squares = recount(folder, until)
    report = class_report(made)
    data = json.loads("".join(json_lines(report)))
    assert data["played_notes"] == sum(students[name, "notes"] for name in names)
    assert data["played_right"] == sum(students[name, "right"] for name in names)
    rows = list(csv.DictReader(io.StringIO("".join(csv_lines(report.table("students")))[1:])))
    for each, row in zip(data["students"], rows, strict=True):
        name = each["name"]
        expected = (students[name, "notes"], students[name, "right"])
        assert (each["played_notes"], each["played_right"]) == expected
        assert (int(row["played_notes"]), int(row["played_right"])) == expected
        assert each["takes"] == sum(one.made.strftime("%Y-%m-%dT%H:%M:%SZ") <= until
                                    for one in takes[name])  # fmt: skip
    for each in data["squares"]:
        where = (each["written_key"].replace(" ", ":"), shape_of(each))
        assert each["played_notes"] == squares[(*where, "notes")]
        assert each["played_right"] == squares[(*where, "right")]
        assert each["players"] == sum(squares[(name, *where)] > 0 for name in names)
    for what, name in (("played_notes", "notes"), ("played_right", "right")):
        in_squares = sum(times for where, times in squares.items() if where[2] == name)
        assert sum(each[what] for each in data["squares"]) == in_squares
        assert sum(each[what] for each in data["keys"]) == in_squares


def test_it_stands_beside_by_heart_wherever_a_person_looks(tmp_path: Path) -> None:
    chance = Random(5)
    made = heard_by(tmp_path, {"Mara Quill": [take(chance, 3), take(chance, 1)], "Bo Barline": []})
    mara = next(each for each in made.students if each.name == "Mara Quill")
    words = f"{mara.heard} of {mara.notes}"
    said = text(class_report(made))
    assert "On the horn: keys by patterns" in said
    assert words in next(line for line in said.splitlines() if line.startswith("Mara Quill"))
    assert "no mark" in said
    source = page(class_report(made))
    assert words in source
    assert "<section><h2>On the horn: keys by patterns</h2>" in source.replace(
        ' id="map-on-the-horn"', ""
    )
    own = text(student_report(mara, made))
    for one in mara.newest_takes:
        assert one.title in own
        assert " ".join(one.said) in " ".join(own.split())
    assert words in text(class_report(nameless(made, "initials")))


def test_where_nobody_played_nothing_is_said_of_the_horn(tmp_path: Path) -> None:
    made = heard_by(tmp_path, {"Mara Quill": []})
    assert "On the horn" not in text(class_report(made))
    assert "On the horn" not in page(class_report(made))
    assert "On the horn" not in text(student_report(made.students[0], made))


def test_what_was_played_and_never_spelled_has_its_square_too(tmp_path: Path) -> None:
    value = results("Mara Quill", [each for each in drawn(3, 40) if ":1-2-3-1" in each.item])
    played = TakeResult(NOW.replace(microsecond=0), HANDED.fingerprint, "1-3-5-3 in G major, up",
                        29, 27, 1, (), (TakeSquare("G:major", "1-3-5-3/up", 29, 27),))  # fmt: skip
    written(tmp_path, "a", results("Mara Quill", value.answers, takes=(played,)))
    made = classroom(gather(tasks(files_in([tmp_path])[0], When(NOW)), 1), NOW)
    data = json.loads("".join(json_lines(class_report(made))))
    (square,) = [each for each in data["squares"] if each["pattern"] == "1-3-5-3"]
    assert (square["asked"], square["recall"], square["players"]) == (0, None, 1)
    assert (square["played_notes"], square["played_right"]) == (29, 27)
    assert square["concert_key"] == key_text(CONCERT["G:major"])
    assert "27 of 29" in text(class_report(made))
