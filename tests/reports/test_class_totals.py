"""The totals of a report equal a recount in plain Python."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from datetime import UTC, date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from results_world import HANDED, ITEMS, NOW, SLIPS, answer, answer_lists, drawn, kept, task

from drill.memory.items import Answer, microseconds
from drill.memory.model import predict, replay
from drill.memory.tempo import TempoBook, Try
from drill.practice.time.tempi import book_of, read_kept
from drill.reports.classroom import Classroom, classroom
from drill.reports.gathering import Found
from drill.reports.people import Person, read_roster
from drill.reports.results import in_time
from drill.reports.study import Study
from drill.reports.tally import LONGEST, study

FIRST = next(iter(ITEMS.values()))
TODAY = "2031-03-14"


def told(answers: tuple[Answer, ...], name: str = "Mara Quill", goal: float = 0.8) -> Study:
    ordered = sorted(answers, key=lambda each: each.order)
    asked = frozenset(each.item for each in answers)
    tasks = (task(goal, asked=asked),)
    return study(name, ((each, 0) for each in ordered), ITEMS, tasks, NOW, day=TODAY)


def room(*students: Study, roster: tuple[str, ...] = ()) -> Classroom:
    people = tuple(map(Person, roster))
    return classroom((Found(each, (), (), ()) for each in students), NOW, roster=people)


def test_the_tempo_of_a_log_is_the_practice_room_s_own() -> None:
    """Three bouts of the same cells in one practice, the last two passed three times running."""
    first, second = list(ITEMS.values())[:2]
    log = tuple(
        replace(
            answer(2 * bout + at, item, True, kind="time"),
            tempo=60.0 + 4 * (bout // 3),
            details=replace(
                read_kept(kept(f"b{bout}", "p", passed=True)) or pytest.fail("not as kept"),
                pattern=item.shape,
                key=item.key,
            ).text(),
        )
        for bout in range(7)
        for at, item in enumerate((first, second))
    )
    held = book_of(log).held(first.shape, first.key)
    assert held is not None
    assert told(log).tempo == held.locked_bpm == 64.0


def counts(answers: tuple[Answer, ...]) -> list[Answer]:
    """Those that count: not retyped, not broken off, not of the closing round."""
    return [
        each
        for each in answers
        if not each.again and not each.interrupted and each.kind != "closing"
    ]


@given(answer_lists())
def test_a_student_equals_a_recount(answers: tuple[Answer, ...]) -> None:
    """The sums, each square, and the tempo that the tempo drill remembers."""
    made = told(answers)
    student_equals_a_recount(made, answers)
    each_square_equals_a_recount(made, answers)
    tempo_is_the_one_the_tempo_drill_remembers(made, answers)


def student_equals_a_recount(made: Study, answers: tuple[Answer, ...]) -> None:
    counted = counts(answers)
    assert made.asked == len(counted)
    assert made.right == len([each for each in counted if each.right])
    assert made.retyped == len(answers) - len(counted)
    assert made.cells == len({each.item for each in counted})
    assert made.seconds == pytest.approx(
        sum(min(each.seconds, LONGEST) for each in answers if each.seconds is not None)
    )
    assert made.days == len({each.day for each in answers})
    ats = [microseconds(each.at) for each in answers]
    assert (made.first, made.last) == ((min(ats), max(ats)) if ats else (None, None))
    slips = Counter(
        (each.slip, ITEMS[each.item].key, ITEMS[each.item].shape)
        for each in counted
        if not each.right
    )
    found = {(each.slip, each.place.written, each.shape): each.times for each in made.slips}
    assert found == dict(slips)


def each_square_equals_a_recount(made: Study, answers: tuple[Answer, ...]) -> None:
    groups: dict[tuple[str, str], list[Answer]] = defaultdict(list)
    for each in answers:
        groups[ITEMS[each.item].key, ITEMS[each.item].shape].append(each)
    state = replay(answers, ITEMS)
    assert {(each.place.written, each.shape) for each in made.squares} == set(groups)
    for square in made.squares:
        group = tuple(groups[square.place.written, square.shape])
        counted = counts(group)
        assert (square.asked, square.right) == (len(counted), sum(x.right for x in counted))
        assert square.last == max(microseconds(each.at) for each in group)
        cells = {each.item for each in counted}
        assert square.cells == len(cells)
        if cells:
            recalls = [predict(state, ITEMS[each], NOW).p for each in cells]
            assert square.recall == pytest.approx(sum(recalls) / len(recalls))


def tempo_is_the_one_the_tempo_drill_remembers(made: Study, answers: tuple[Answer, ...]) -> None:
    ordered = sorted(counts(answers), key=lambda each: each.order)
    seen = set()
    book = TempoBook()
    for each in ordered:
        timed = in_time(each)
        if each.tempo is not None and timed is not None and timed.bout not in seen:
            seen.add(timed.bout)
            item, day = ITEMS[each.item], date.fromisoformat(each.day)
            one = Try(item.shape, item.key, each.tempo, timed.passed, day, timed.practice)
            book.tell(one)
    for square in made.squares:
        held = book.held(square.shape, square.place.written)
        assert square.tempo == (held.locked_bpm if held else None)


@given(st.lists(answer_lists(15), max_size=4))
def test_a_class_equals_a_recount(everybody: list[tuple[Answer, ...]]) -> None:
    students = [told(answers, f"Student {n}") for n, answers in enumerate(everybody)]
    made = room(*students)
    flat = [each for answers in everybody for each in counts(answers)]
    assert (made.asked, made.right) == (len(flat), sum(each.right for each in flat))
    assert made.seconds == pytest.approx(sum(each.seconds for each in students))
    for square in made.squares:
        where = (square.place.written, square.shape)
        mine = [each for each in flat if (ITEMS[each.item].key, ITEMS[each.item].shape) == where]
        assert (square.asked, square.right) == (len(mine), sum(each.right for each in mine))
        recalls = [
            each.recall
            for student in students
            for each in student.squares
            if (each.place.written, each.shape) == where and each.cells
        ]
        assert square.students == len(recalls)
        assert square.recall == pytest.approx(sum(recalls) / len(recalls))
        assert square.short == len([each for each in recalls if each < 0.8])
        assert square.need == pytest.approx(sum(max(0.0, 0.8 - each) for each in recalls))
    for slip in made.slips:
        named = [each for each in flat if each.slip == slip.slip and not each.right]
        keys = Counter(ITEMS[each.item].key for each in named)
        assert slip.count == len(named)
        assert slip.key_count == keys[slip.key.key] == max(keys.values())
        assert slip.students == sum(
            any(each.slip == slip.slip and not each.right for each in counts(answers))
            for answers in everybody
        )
    for count in made.counts:
        name = f"{count.place.written}:{count.shape}:{count.degree}"
        mine = [each for each in flat if each.item == name]
        assert (count.asked, count.right) == (len(mine), sum(each.right for each in mine))
        who = [some for some in everybody if any(each.item == name for each in counts(some))]
        assert count.students == len(who)
    assert sum(count.asked for count in made.counts) == len(flat)


def test_the_ranking_is_by_need_and_says_its_numbers() -> None:
    made = room(*(told(drawn(seed, 150, 0.3 + 0.1 * seed), f"S{seed}") for seed in range(1, 5)))
    needs = [lesson.square.need for lesson in made.lessons]
    assert len(needs) == 10
    assert needs == sorted(needs, reverse=True)
    assert needs[0] == max(each.need for each in made.squares)
    assert len(made.lessons[0].for_whom) == made.lessons[0].square.short
    for lesson in made.lessons:
        where = (lesson.square.place, lesson.square.shape)
        degrees = {
            each.degree: (each.asked, each.right)
            for each in made.counts
            if (each.place, each.shape) == where and each.asked >= 4
        }
        if lesson.degree:
            assert degrees[lesson.degree] == (lesson.degree_asked, lesson.degree_right)
            share = lesson.degree_right / lesson.degree_asked
            assert share == min(right / asked for asked, right in degrees.values())


def test_nothing_is_to_be_taught_where_all_is_known() -> None:
    assert room(told(drawn(1, 60, 1.1), goal=0.01)).lessons == ()


def test_who_is_missing_and_who_is_a_stranger() -> None:
    started = told(drawn(1, 5), "Bo Barline")
    empty = told((), "Cy Codetta")
    made = room(started, empty, roster=("BO  BARLINE", "Cy Codetta", "Nia Natural"))
    assert made.not_started == ("Cy Codetta", "Nia Natural")
    assert made.strangers == ()
    assert room(started, roster=("Nia Natural",)).strangers == ("Bo Barline",)
    assert room(started, empty).not_started == ("Cy Codetta",)


def test_a_roster_s_lines() -> None:
    text = "\ufeff# band\r\nBo Barline\r\n\r\n  Nia   Natural \nBo Barline\n"
    assert [each.name for each in read_roster(text)] == ["Bo Barline", "Nia Natural"]


def test_a_prompt_left_open_counts_two_minutes() -> None:
    long = answer(1, FIRST, True, seconds=4000.0)
    short = answer(2, FIRST, True, seconds=3.0)
    none = answer(3, FIRST, True, seconds=None)
    assert told((long, short, none)).seconds == 123.0


def test_recall_falls_with_days_away() -> None:
    answers = drawn(2, 80, 0.8)
    now = told(answers).recall
    mine = ((each, 0) for each in answers)
    later = study("", mine, ITEMS, (task(),), NOW + timedelta(days=60)).recall
    assert now is not None
    assert later is not None
    assert later < now - 0.05


def test_answers_to_unknown_cells_are_passed_over() -> None:
    strange = replace(answer(1, FIRST, True), item="G:major:9-9/up:1")
    made = told((strange,))
    assert (made.asked, made.last, made.recall) == (0, None, None)


def test_the_world_is_what_it_says() -> None:
    assert HANDED.cells == len(ITEMS) == 3 * 2 * 14
    assert NOW.tzinfo is UTC
    assert len(set(SLIPS)) == 4
