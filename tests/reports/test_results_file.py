"""A results file: what is written is read; whatever else it might be is an error."""

from __future__ import annotations

import json
import os
import zipfile
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from results_world import (
    DECK_TEXT,
    HANDED,
    ITEMS,
    NOW,
    answer,
    answer_lists,
    drawn,
    kept,
    lines_of,
    results,
    sealed,
)

from drill.errors import DataError
from drill.memory.items import Answer, microseconds
from drill.memory.levels import ByHeart
from drill.memory.model import predict, replay
from drill.memory.repair import without_wrong_dates
from drill.reports import reading
from drill.reports.results import (
    LONGEST_NAME,
    TimedAnswer,
    clean_name,
    contents,
    encode,
    gather,
    in_time,
    name_key,
    other_editions,
)
from drill.reports.study import Task
from drill.reports.takes import TakeResult, TakeSquare
from drill.reports.tally import study

FIRST = next(iter(ITEMS.values()))
SMALL = results("Mara Quill", [answer(1, FIRST, True), answer(2, FIRST, False)])
GOOD = encode(SMALL)


def as_read(one: Answer) -> Answer:
    """An answer without what a results file leaves out."""
    timed = in_time(one)
    return replace(one, typed="", hypotheses=(), details=timed.text() if timed else "")


@given(answer_lists(), st.text(st.characters(codec="utf-8"), min_size=1, max_size=60))
def test_what_is_written_is_read(answers: tuple[Answer, ...], name: str) -> None:
    try:
        student = clean_name(name)
    except DataError:
        student = "Mara Quill"
    value = results(student, answers)
    back = reading.decode(encode(value), NOW)
    assert back == replace(value, answers=tuple(as_read(each) for each in value.answers))
    assert encode(back) == encode(value)


def test_every_flipped_bit_is_an_error() -> None:
    for place in range(len(GOOD)):
        for bit in range(8):
            bad = bytearray(GOOD)
            bad[place] ^= 1 << bit
            with pytest.raises(DataError):
                reading.decode(bytes(bad), NOW)


def test_every_cut_is_an_error() -> None:
    for length in range(len(GOOD)):
        with pytest.raises(DataError):
            reading.decode(GOOD[:length], NOW)


@given(st.binary(min_size=1, max_size=40), st.integers(0, len(GOOD)))
def test_whatever_is_put_in_is_an_error(extra: bytes, place: int) -> None:
    changed = GOOD[:place] + extra + GOOD[place:]
    assume(reading.as_written(changed) != GOOD)  # what mail puts in is undone
    with pytest.raises(DataError):
        reading.decode(changed, NOW)


@given(st.binary(max_size=200))
def test_no_bytes_are_more_than_an_error(data: bytes) -> None:
    with pytest.raises(DataError):
        reading.decode(b"drill-results " + data, NOW)


def test_model_sees_the_same_in_file_and_log() -> None:
    answers = drawn(3, 200)
    back = reading.decode(encode(results("Mara Quill", answers)), NOW)
    log = replay(answers, ITEMS)
    read = replay(back.answers, {item.id: item for item in back.items})
    for item in back.items:
        assert predict(read, item, NOW) == predict(log, item, NOW)


Change = Callable[[list[Any]], None]


def put(place: int, field: int | str, value: object) -> Change:
    """A line's field with another value."""

    def change(lines: list[Any]) -> None:
        lines[place][field] = value

    return change


def deck(**fields: object) -> Change:
    def change(lines: list[Any]) -> None:
        lines[0]["deck"].update(fields)

    return change


def line(place: int, text: str) -> Change:
    def change(lines: list[Any]) -> None:
        lines[place] = text

    return change


CELL, ANSWER = 1, 2
OTHER_DECK = DECK_TEXT.replace('"Eb"', '"Bb"')

HOSTILE: dict[str, tuple[Change, str]] = {
    "count of answers": (put(0, "answers", 10**12), "not a whole number"),
    "count that lies": (put(0, "answers", 3), "are named"),
    "count that is negative": (put(0, "items", -1), "not a whole number"),
    "count that is a flag": (put(0, "items", True), "not a whole number"),
    "name with an escape": (put(0, "student", "Ma\x1b[31mra"), "cannot be shown"),
    "name that turns the line": (put(0, "student", "Ma\u202era"), "cannot be shown"),
    "name that is half a character": (put(0, "student", "Ma\ud800ra"), "cannot be shown"),
    "name that is too long": (put(0, "student", "M" * 61), "1 to 60"),
    "name that is empty": (put(0, "student", " "), "1 to 60"),
    "name that is a list": (put(0, "student", ["Mara"]), "not a text"),
    "name in another form": (put(0, "student", " Mara"), "as this program"),
    "date that is none": (put(0, "made", "2031-02-30T00:00:00Z"), "date is none"),
    "version with markup": (put(0, "program", "<b>"), "version"),
    "more in the head": (put(0, "home", "/root"), "fields"),
    "deck with a fault": (deck(text="title = 3"), "deck cannot be read"),
    "deck of others": (deck(text=OTHER_DECK), "not the deck"),
    "deck's name with a bell": (deck(name="\a"), "cannot be shown"),
    "deck's mark": (deck(fingerprint="g" * 16), "fingerprint"),
    "deck that is huge": (deck(text=DECK_TEXT + "#" * 70_000), "at most"),
    "head that is a list": (line(0, "[]"), "fields"),
    "head that is missing": (line(0, ""), "not what"),
    "key of no scale": (put(CELL, 1, "G:none"), "key"),
    "key with markup": (put(CELL, 1, "<script>:major"), "key"),
    "cell of another key": (put(CELL, 1, "F:major"), "not in its key"),
    "shape with a space": (put(CELL, 2, "1 2"), "pattern"),
    "shape that is huge": (put(CELL, 2, "1" * 121), "pattern"),
    "facts that are numbers": (put(CELL, 3, [1]), "fact"),
    "facts without end": (put(CELL, 3, ["x"] * 65), "not in its key"),
    "accidentals": (put(CELL, 4, 8), "accidentals"),
    "place": (put(CELL, 6, -1), "place"),
    "id with an escape": (put(CELL, 0, "G:major:\x1b"), "text"),
    "mark": (put(CELL, 7, 2), "0 nor 1"),
    "uuid twice": (put(ANSWER + 1, 0, answer(1, FIRST, True).uuid), "twice"),
    "uuid with a line": (put(ANSWER, 0, "a\nb"), "id of an answer"),
    "uuid that is empty": (put(ANSWER, 0, ""), "id of an answer"),
    "instant before": (put(ANSWER, 1, -5), "instant"),
    "instant beyond time": (put(ANSWER, 1, 10**30), "instant"),
    "instant that is broken": (put(ANSWER, 1, 1.5e15), "another kind"),
    "day of no calendar": (put(ANSWER, 3, "2031-02-30"), "day"),
    "day of a week": (put(ANSWER, 3, "2031-W10-1"), "day"),
    "cell that is not there": (put(ANSWER, 4, 1), "cell of an answer"),
    "cell before the first": (put(ANSWER, 4, -1), "cell of an answer"),
    "kind": (put(ANSWER, 5, "Next!"), "kind"),
    "right as a flag": (put(ANSWER, 6, True), "another kind"),
    "right twice over": (put(ANSWER, 6, 2), "right or not"),
    "marking": (put(ANSWER, 7, "RQ"), "marking"),
    "marking without end": (put(ANSWER, 7, "R" * 65), "marking"),
    "slip with an escape": (put(ANSWER, 8, "\x9b1m"), "slip"),
    "seconds below none": (put(ANSWER, 9, -0.1), "seconds"),
    "seconds as text": (put(ANSWER, 9, "2"), "another kind"),
    "keystrokes": (put(ANSWER, 10, -1), "keystrokes"),
    "flags": (put(ANSWER, 11, 32), "flags"),
    "a day that is marked as none": (put(ANSWER, 11, 16), "marked as without one"),
    "no day": (put(ANSWER, 3, ""), "marked as without one"),
    "tempo": (put(ANSWER, 12, 0), "tempo"),
    "bout with a space": (put(ANSWER, 13, "a b"), "id of a bout"),
    "practice that is huge": (put(ANSWER, 14, "p" * 65), "id of a bout"),
    "bout without a tempo": (put(ANSWER, 13, "bout"), "no tempo"),
    "tempo beyond": (put(ANSWER, 12, 1e9), "tempo"),
    "a field too few": (lambda lines: lines[ANSWER].pop(), "fields"),
    "an answer that is an object": (line(ANSWER, "{}"), "fields"),
    "no number": (
        line(ANSWER, json.dumps(lines_of(SMALL)[ANSWER]).replace("3.5", "NaN")),
        "not what",
    ),
    "infinity by word": (
        line(ANSWER, json.dumps(lines_of(SMALL)[ANSWER]).replace("3.5", "Infinity")),
        "not what",
    ),
    "infinity by size": (
        line(ANSWER, json.dumps(lines_of(SMALL)[ANSWER]).replace("3.5", "1e999")),
        "seconds",
    ),
    "a number of 5000 digits": (line(ANSWER, f"[{'9' * 2000}]"), "fields"),
    "deep nest": (line(ANSWER, "[" * 2000), "not what"),
    "deep nest that closes": (line(ANSWER, "[" * 1000 + "]" * 1000), "fields|not what"),
    "a line too long": (line(ANSWER, '["' + "x" * 5000 + '"]'), "longer than any"),
    "two answers in a line": (line(ANSWER, "[],[]"), "not what"),
    "an open line": (line(ANSWER, "["), "not what"),
    "nothing after the checksum": (lambda lines: lines.clear(), "ends with its first line"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_with_a_good_checksum_is_refused(name: str) -> None:
    change, said = HOSTILE[name]
    lines = lines_of(SMALL)
    change(lines)
    with pytest.raises(DataError, match=said) as refused:
        reading.decode(sealed(lines), NOW)
    text = str(refused.value)
    assert "\x1b" not in text
    assert "\n" not in text
    assert len(text) < 300


def test_a_clock_ahead_when_it_was_made_or_answered_is_no_reason_to_refuse() -> None:
    lines = lines_of(SMALL)
    put(0, "made", "2041-03-17T00:00:00Z")(lines)
    put(ANSWER, 1, int((NOW + timedelta(days=3650)).timestamp() * 1e6))(lines)
    back = reading.decode(sealed(lines), NOW)
    assert back.made <= NOW + timedelta(days=2)
    assert [each.day == "" for each in back.answers] == [True, False]
    assert all(each.at <= NOW + timedelta(days=2) for each in back.answers)
    assert [each.uuid for each in back.answers] == [each.uuid for each in SMALL.answers]


@pytest.mark.parametrize("year", [1, 1970, 1972, 2034, 2041, 2131, 9998])
def test_answers_of_a_wrong_clock_are_kept_without_a_date(year: int) -> None:
    """Three days, ten and a hundred years ahead, the year of an empty battery, and back."""
    at = NOW.replace(year=year) if year != 2034 else NOW + timedelta(days=3)
    good = [answer(n, FIRST, n > 1) for n in range(4)]
    wrong = replace(answer(9, FIRST, True), at=at, day=at.date().isoformat(), stamp=0)
    log = (*good[:2], replace(wrong, stamp=good[1].order[0] + 1), *good[2:])
    made = results("Mara Quill", without_wrong_dates(log, NOW))
    back = reading.decode(encode(made), NOW)
    assert [each.uuid for each in back.answers] == [each.uuid for each in log]
    assert [each.day == "" for each in back.answers] == [False, False, True, False, False]
    assert "1 of them was given with a wrong clock" in " ".join(contents(back))
    kinds = frozenset(ITEMS)
    task = Task("t", "t", "t", "alto_sax", {}, False, kinds, len(kinds), ByHeart(0.9, 2), 0.8)
    told = study("Mara Quill", ((each, 0) for each in back.answers), ITEMS, (task,), NOW)
    assert (told.undated, told.asked) == (1, 5)
    assert told.days == len({each.day for each in good})
    assert told.first == microseconds(good[0].at)
    assert told.last == microseconds(good[3].at)


def test_where_this_clock_itself_cannot_be_right_no_date_is_held_against_it() -> None:
    log = tuple(answer(n, FIRST, True) for n in range(3))
    assert without_wrong_dates(log, NOW.replace(year=1970)) == log


def test_the_sealed_file_itself_is_good() -> None:
    """So that the hostile ones are refused for what was changed in them."""
    assert reading.decode(sealed(lines_of(SMALL)), NOW) == reading.decode(GOOD, NOW)


@pytest.mark.parametrize(
    ("version", "said"), [("3", "a newer layout"), ("0", "an older layout"), ("02", "layout")]
)
def test_another_layout_is_named(version: str, said: str) -> None:
    with pytest.raises(DataError, match=said):
        reading.decode(GOOD.replace(b"drill-results 2 ", f"drill-results {version} ".encode()), NOW)


def test_a_line_of_100_megabytes_is_never_read(tmp_path: Path) -> None:
    path = tmp_path / "long.drill-results"
    with path.open("wb") as file:
        file.write(b"drill-results 2 " + b"0" * 64 + b"\n[")
        file.truncate(100 * 1024 * 1024)
    with pytest.raises(DataError, match="larger than a results file may be"):
        reading.load(path, NOW)


def test_what_is_no_file_is_not_opened(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.drill-results"
    os.mkfifo(pipe)
    for path, said in (
        (pipe, "not an ordinary file"),
        (tmp_path, "not an ordinary file"),
        (tmp_path / "none", "no such file"),
        (Path("\0"), "null"),
    ):
        with pytest.raises(DataError, match=said):
            reading.load(path, NOW)
    assert reading.peek(reading.ResultsSource(pipe)) == reading.Peek()


def test_layout_1_is_still_read() -> None:
    """Files of the first version had no id, horn, concert keys or line."""
    value = results("Mara Quill", [answer(1, FIRST, True)])
    lines = lines_of(value)
    for name in ("id", "horn", "concert", "line"):
        del lines[0][name]
    old = sealed(lines).replace(b"drill-results 2", b"drill-results 1", 1)
    read = reading.decode(old, NOW)
    assert (read.student, read.horn, read.id, read.line) == ("Mara Quill", "", "", "")
    assert read.answers == reading.decode(encode(value), NOW).answers
    with pytest.raises(DataError, match="has not the fields"):
        reading.decode(sealed(lines), NOW)


def test_what_mail_does_to_a_text_is_undone() -> None:
    for mailed in (GOOD.replace(b"\n", b"\r\n"), b"\xef\xbb\xbf" + GOOD,
                   b"\xef\xbb\xbf" + GOOD.replace(b"\n", b"\r\n")):  # fmt: skip
        assert reading.decode(mailed, NOW) == reading.decode(GOOD, NOW)
    with pytest.raises(DataError, match="checksum"):
        reading.decode(GOOD.replace(b"\n", b"\r\n").replace(b"right", b"wrong", 1)[:-2], NOW)


def test_a_zip_file_is_looked_into_within_bounds(tmp_path: Path) -> None:
    pack = tmp_path / "renamed.zip"
    with zipfile.ZipFile(pack, "w", zipfile.ZIP_DEFLATED) as out:
        out.writestr("band/one.drill-results", GOOD)
        out.writestr("band/two.txt", GOOD)
        out.writestr("band/photo.png", b"\x89PNG")
    found = list(reading.sources(pack))
    assert [each.member for each in found] == ["band/one.drill-results", "band/two.txt"]
    assert reading.load(found[0], NOW) == reading.decode(GOOD, NOW)
    assert reading.peek(found[1]).name == reading.decode(GOOD, NOW).student
    bomb = tmp_path / "bomb.zip"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as out:
        out.writestr("big.drill-results", b"drill-results 2 " + b"0" * (reading.MOST_BYTES + 1))
    with pytest.raises(DataError, match="larger than"):
        reading.load(next(iter(reading.sources(bomb))), NOW)
    (tmp_path / "cut.zip").write_bytes(pack.read_bytes()[:-30])
    with pytest.raises(DataError, match="zip"):
        list(reading.sources(tmp_path / "cut.zip"))
    with zipfile.ZipFile(tmp_path / "none.zip", "w") as out:
        out.writestr("photo.png", b"\x89PNG")
    with pytest.raises(DataError, match="no results file"):
        list(reading.sources(tmp_path / "none.zip"))


def test_a_foreign_file_is_called_foreign() -> None:
    with pytest.raises(DataError, match="not a results file"):
        reading.decode(b"PK\x03\x04 a spreadsheet", NOW)


# -- what is in it


def test_only_the_deck_s_answers_are_in_it_and_nothing_that_was_typed() -> None:
    mine = [replace(answer(n, FIRST, True), typed="G A B G secret") for n in range(3)]
    other = [replace(answer(9, FIRST, True), deck="0" * 16, deck_name="private-deck")]
    answers, items = gather([*mine, *other], ITEMS, HANDED, earlier=False)
    data = encode(results("Mara Quill", answers))
    assert [each.uuid for each in answers] == [each.uuid for each in mine]
    assert items == (FIRST,)
    for word in (b"secret", b"private-deck", b"G A B G", os.fsencode(Path.home())):
        assert word not in data


def test_an_edited_deck_s_earlier_answers_are_counted_and_taken_only_when_asked() -> None:
    now = answer(1, FIRST, True)
    before = replace(answer(2, FIRST, False), deck="f" * 16)
    elsewhere = replace(answer(3, FIRST, False), deck="f" * 16, deck_name="thirds")
    log = [now, before, elsewhere]
    assert other_editions(log, HANDED) == 1
    assert gather(log, ITEMS, HANDED, earlier=False)[0] == (now,)
    both, _ = gather(log, ITEMS, HANDED, earlier=True)
    assert both == (now, before)
    back = reading.decode(encode(results("Mara Quill", both)), NOW)
    assert [each.deck for each in back.answers] == [HANDED.fingerprint, ""]


def test_the_contents_are_said_plainly() -> None:
    said = " ".join(contents(SMALL))
    for word in ("Mara Quill", "cells", "2 answers to 1 cell", "0.1.0", "record, not an exam"):
        assert word in said


def test_names() -> None:
    assert clean_name("  Mara \t Quill ") == "Mara Quill"
    assert clean_name("Zoe\u0308") == "Zo\u00eb"
    assert name_key("MARA  quill") == name_key("Mara Quill")
    assert name_key("Mara") != name_key("Maro")
    with pytest.raises(DataError, match=r"U\+0007"):
        clean_name("Ma\ara")
    with pytest.raises(DataError, match="61"):
        clean_name("x" * (LONGEST_NAME + 1))


def test_an_answer_in_time_keeps_its_bout_practice_and_outcome_alone() -> None:
    timed = replace(answer(1, FIRST, True), tempo=96.0, details=kept("b", "p", passed=True))
    assert in_time(timed) == TimedAnswer("b", "p", passed=True)
    (back,) = reading.decode(encode(results("Mara", [timed])), NOW).answers
    assert (back.tempo, in_time(back)) == (96.0, TimedAnswer("b", "p", passed=True))
    assert b"spread" not in encode(results("Mara", [timed]))


@pytest.mark.parametrize(
    "details", ["", "{", "[]", '{"bout": 1, "practice": "", "passed": true}', "[" * 2000, "null",
                '{"bout": "", "practice": "", "passed": true}', '{"heard": 2}'],
)  # fmt: skip
def test_other_details_say_nothing_of_time(details: str) -> None:
    assert in_time(replace(answer(1, FIRST, True), tempo=96.0, details=details)) is None
    assert in_time(replace(answer(1, FIRST, True), details=kept("b", "p", passed=True))) is None


def test_takes_go_with_it_as_numbers_and_words() -> None:
    said = ("25 of 29 notes heard as asked.", "Straight eighths.")
    made = NOW.replace(microsecond=0)
    take = TakeResult(made, HANDED.fingerprint, "1-2-3-1 in E major, up", 29, 25, 3, said)
    squares = (TakeSquare("E:major", "1-2-3-1/up", 28, 24),)
    other = replace(take, squares=squares)
    value = replace(SMALL, takes=(take, other))
    back = reading.decode(encode(value), NOW)
    assert back.takes == (take, other)
    assert encode(back) == encode(value)
    assert b"takes" not in GOOD
    assert "Of 2 takes on the horn" in " ".join(contents(value))
    assert "no sound" in " ".join(contents(value))


@pytest.mark.parametrize(
    "takes",
    [
        {}, [[]], [["2030-01-01T00:00:00Z", "f", "t", 3, 4, 0, []]],
        [["yesterday", "f", "t", 3, 2, 0, []]], [["2030-01-01T00:00:00Z", "f", "t", 3, 2, 0, [1]]],
        [["2030-01-01T00:00:00Z", "f", "t\u001b[2J", 3, 2, 0, []]],
        [["2030-01-01T00:00:00Z", "f", "t", True, 0, 0, []]],
        [["2030-01-01T00:00:00Z", "f", "t", 3, 2, 0, [], []]],
        [["2030-01-01T00:00:00Z", "f", "t", 3, 2, 0, [], [["G:major", "1/up", 2, 3]]]],
        [["2030-01-01T00:00:00Z", "f", "t", 3, 2, 0, [], [["G:major", "1/up", 4, 2]]]],
        [["2030-01-01T00:00:00Z", "f", "t", 3, 2, 0, [], [["G\u001b", "1/up", 1, 1]]]],
        [["2030-01-01T00:00:00Z", "f", "t", 3, 2, 0, [], [["G:major", "1/up", 1, True]]]],
    ],
)  # fmt: skip
def test_takes_that_are_none_are_refused(takes: object) -> None:
    head, *rest = lines_of(SMALL)
    with pytest.raises(DataError, match="takes"):
        reading.decode(sealed([head | {"takes": takes}, *rest]), NOW)
