"""Files of a class: each student's merged by the answers' ids, the rest named and left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from results_world import HANDED, ITEMS, NOW, answer, drawn, lines_of, results, sealed, written

from drill.reports.classreport import class_report
from drill.reports.classroom import Classroom, classroom
from drill.reports.data import json_lines
from drill.reports.finding import WhyNot, files_in
from drill.reports.gathering import When, gather, tasks
from drill.reports.results import encode

FIRST = next(iter(ITEMS.values()))


def report(*places: Path, processes: int = 1) -> Classroom:
    files, remarks = files_in(places)
    return classroom(gather(tasks(files, When(NOW)), processes), NOW, remarks=remarks)


def said(room: Classroom) -> dict[str, WhyNot]:
    return {Path(each.file).name.partition(".")[0]: each.why for each in room.remarks}


def test_two_files_of_one_student_are_merged_by_the_answers_ids(tmp_path: Path) -> None:
    answers = drawn(1, 60)
    monday, friday = answers[:40], answers[20:]
    written(tmp_path, "monday", results("Mara Quill", monday, NOW - timedelta(days=4)))
    written(tmp_path, "friday", results("mara QUILL", friday))
    written(tmp_path, "whole", results("Bo Barline", drawn(1, 60)[:59]))
    room = report(tmp_path)
    assert [each.name for each in room.students] == ["Bo Barline", "mara QUILL"]
    mara = room.students[1]
    assert mara.asked + mara.retyped == 60
    alone = report(written(tmp_path, "alone", results("X", answers))).students[0]
    assert replace(mara, name="", files=()) == replace(alone, name="", files=())
    assert room.remarks == ()


def test_duplicates_and_older_files_are_named_and_count_once(tmp_path: Path) -> None:
    answers = drawn(1, 30)
    before = NOW - timedelta(days=2)
    written(tmp_path, "whole", results("Mara Quill", answers))
    written(tmp_path, "again", results("Mara Quill", answers, before))
    written(tmp_path, "older", results("Mara Quill", answers[:10], before))
    room = report(tmp_path)
    assert said(room) == {"again": WhyNot.DUPLICATE, "older": WhyNot.OLDER}
    assert room.students[0].asked + room.students[0].retyped == 30
    assert [Path(each).name for each in room.students[0].files] == ["whole.drill-results"]
    assert room.unreadable == ()


def test_one_file_named_twice_counts_once_without_a_word(tmp_path: Path) -> None:
    path = written(tmp_path, "one", results("Mara Quill", drawn(1, 10)))
    room = report(path, tmp_path, path)
    assert (len(room.students), room.remarks) == (1, ())


def test_the_same_answers_under_two_names_count_for_the_first(tmp_path: Path) -> None:
    written(tmp_path, "first", results("Bo Barline", drawn(1, 20)))
    written(tmp_path, "copy", results("Cy Codetta", drawn(1, 20)))
    room = report(tmp_path)
    assert [each.name for each in room.students] == ["Bo Barline"]
    assert said(room) == {"copy": WhyNot.COPY}
    assert "handed in by Bo Barline" in room.remarks[0].reason


def test_two_people_of_one_name_are_asked_about(tmp_path: Path) -> None:
    written(tmp_path, "one", results("Bo Barline", drawn(1, 20)))
    written(tmp_path, "two", results("Bo Barline", drawn(2, 20), NOW - timedelta(days=1)))
    room = report(tmp_path)
    assert said(room) == {"two": WhyNot.NOTE}
    assert room.students[0].asked + room.students[0].retyped == 40


def test_where_two_files_differ_in_an_answer_the_newer_counts(tmp_path: Path) -> None:
    one, two = answer(1, FIRST, True), answer(2, FIRST, True)
    written(tmp_path, "new", results("Bo", [one, two]))
    written(
        tmp_path,
        "old",
        results("Bo", [replace(one, right=False, slip="B or H")], NOW - timedelta(1)),
    )
    assert (report(tmp_path).students[0].right, said(report(tmp_path))) == (
        2,
        {"old": WhyNot.OLDER},
    )


def test_damaged_foreign_and_hostile_files_are_named_and_left_out(tmp_path: Path) -> None:
    value = results("Mara Quill", drawn(1, 20))
    good = written(tmp_path, "good", value)
    data = encode(value)
    lines = lines_of(value)
    lines[0]["answers"] = 10**9
    bad = {
        "cut": data[:-1],
        "flipped": data[:300] + bytes([data[300] ^ 1]) + data[301:],
        "foreign": b"\x89PNG\r\n",
        "empty": b"",
        "newer": data.replace(b"drill-results 2", b"drill-results 9", 1),
        "hostile": sealed(lines),
        "bell\x07": data[:-1],
    }
    for name, content in bad.items():
        (tmp_path / f"{name}.drill-results").write_bytes(content)
    room = report(tmp_path, tmp_path / "nothing-there")
    assert len(room.students) == 1
    assert room.students[0].files == (str(good),)
    assert len(room.unreadable) == len(bad) + 1
    reasons = {Path(each.file).name.split(".")[0]: each.reason for each in room.unreadable}
    assert "checksum" in reasons["cut"]
    assert "checksum" in reasons["flipped"]
    assert "not a results file" in reasons["foreign"]
    assert "not a results file" in reasons["empty"]
    assert "newer layout" in reasons["newer"]
    assert "whole number" in reasons["hostile"]
    assert "no such file" in reasons["nothing-there"]
    assert not any("\x07" in str(each) for each in room.remarks)


def test_a_folder_gives_results_files_and_nothing_else(tmp_path: Path) -> None:
    inside = tmp_path / "late" / "friday"
    inside.mkdir(parents=True)
    written(inside, "deep", results("Bo", drawn(1, 5)))
    renamed = tmp_path / "mailed.txt"
    renamed.write_bytes(encode(results("Cy", drawn(2, 5))))
    (tmp_path / "notes.txt").write_text("drill class on Monday\n", encoding="utf-8")
    (tmp_path / ".hidden.drill-results").write_bytes(b"?")
    (tmp_path / "link.drill-results").symlink_to(renamed)
    files, remarks = files_in([tmp_path])
    assert {source.path.name for source in files} == {"deep.drill-results", "mailed.txt"}
    assert remarks == ()
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "holds no results file" in files_in([empty])[1][0].reason


def test_two_decks_of_one_student_add_up(tmp_path: Path) -> None:
    from drill.decks.load import loads

    text = HANDED.text.replace('"Eb"', '"F"').replace("0.8", "0.95")
    other = replace(HANDED, name="f", fingerprint=loads(text, "f.toml").fingerprint, text=text)
    twos = [replace(each, deck=other.fingerprint) for each in drawn(2, 20)]
    written(tmp_path, "one", results("Bo", drawn(1, 20)))
    written(tmp_path, "two", results("Bo", twos, deck=other))
    room = report(tmp_path)
    assert room.remarks == ()
    assert {deck.name for deck in room.decks} == {"cells", "f"}
    assert room.students[0].goal == 0.95
    assert room.students[0].of == 2 * 84
    assert room.students[0].asked + room.students[0].retyped == 40


def test_a_deck_is_called_as_it_was_given_and_not_as_one_student_s_file(tmp_path: Path) -> None:
    for name in ("Bo", "Mara"):
        text = f'{HANDED.text}\n[assignment]\nid = "week-3"\nname = "{name}"\n'
        deck = replace(HANDED, name=f"{name.casefold()}-week-3", text=text)
        written(tmp_path, name, results(name, drawn(1, 20), deck=deck))
    assert [deck.name for deck in report(tmp_path).decks] == ["week-3"]


@pytest.mark.slow
def test_several_processes_say_the_same_as_one(tmp_path: Path) -> None:
    for seed in range(6):
        written(tmp_path, f"s{seed}", results(f"Student {seed}", drawn(seed, 50)))
    (tmp_path / "bad.drill-results").write_bytes(b"drill-results")
    one, two = report(tmp_path), report(tmp_path, processes=2)
    assert "".join(json_lines(class_report(one))) == "".join(json_lines(class_report(two)))
