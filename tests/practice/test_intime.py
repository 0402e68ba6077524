"""Playing in time: simulated players get the outcome that is theirs, and the log keeps it."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from beat_players import BEGAN, NOON, deck_of, desk_at, keep, room_at, steady, strokes, sung
from state_digest import digest

from drill.memory.kinds import Kind
from drill.memory.model import replay
from drill.practice.room import Room
from drill.practice.time.bout import Setting
from drill.practice.time.course import (
    Offer,
    Timed,
    TimeDesk,
    TimeEnd,
    TimePlan,
    TimeState,
    Unheard,
    again,
    another,
    at_tempo,
    begin,
    end,
    played,
)
from drill.practice.time.tempi import book_of, locked_in, read_kept, tries_of
from drill.practice.time.timing import TimeOutcome
from drill.sound.metronome import STEPS
from drill.wording.timing import estimate_told

PLAN = TimePlan(turns=1000)


def begun(folder: Path, *tonics: str, plan: TimePlan = PLAN) -> tuple[Room, TimeDesk, TimeState]:
    room = room_at(folder)
    desk = desk_at(room, deck_of(*(tonics or ("Gb",))), plan)
    return room, desk, begin(desk, NOON)[0]


def result(
    folder: Path,
    off: Callable[[int], float],
    names: Callable[[int, str], str] = lambda n, name: name,
    plan: TimePlan = PLAN,
) -> Timed:
    room, desk, state = begun(folder, plan=plan)
    with closing(room.store):
        assert state.bout is not None
        notes = sung(state.bout, strokes(state.bout, off, names), letters=state.bout.letters)
        _, effects = played(desk, state, notes, BEGAN, NOON)
    return next(effect for effect in effects if isinstance(effect, Timed))


def test_a_bout_is_a_count_in_and_a_bar_for_each_cell(tmp_path: Path) -> None:
    """At 72 a beat is 60/72 s; a bar of count-in, then seven bars of four beats."""
    room, _, state = begun(tmp_path)
    room.store.close()
    bout = state.bout
    assert bout is not None
    assert bout.bpm == 72  # the deck's: nothing is known yet
    beat = 60 / 72
    assert bout.due == pytest.approx([beat * (4 + n) for n in range(28)])
    assert bout.take.first_beat_s == pytest.approx(4 * beat)
    assert bout.take.events == ()
    assert [click.onset_s for click in bout.take.clicks] == pytest.approx(
        [beat * n for n in range(32)]
    )
    # To be heard beforehand: alto sounds a major sixth lower (common practice).
    assert [event.midi for event in bout.music.events] == [note.midi - 9 for note in bout.notes]
    assert bout.open_at(0) == 0
    assert bout.open_at(bout.due[4] - 0.1) == 1
    assert bout.over_s == pytest.approx(beat * 32)


def test_eighths_leave_half_of_each_bar_to_think(tmp_path: Path) -> None:
    plan = replace(PLAN, setting=Setting(notes_per_beat=2))
    room, _, state = begun(tmp_path, plan=plan)
    room.store.close()
    assert state.bout is not None
    beat = 60 / 72
    assert state.bout.due[:6] == pytest.approx([beat * at for at in (4, 4.5, 5, 5.5, 8, 8.5)])


def test_few_notes_are_played_round(tmp_path: Path) -> None:
    room = room_at(tmp_path)
    deck = replace(deck_of("C"), degrees=(3,))
    with closing(room.store):
        state, _ = begin(desk_at(room, deck), NOON)
    assert state.bout is not None
    assert len(state.bout.notes) == 8


@pytest.mark.parametrize(
    ("off", "outcome"),
    [
        (steady(-0.020, 0.015, 1), TimeOutcome.LOCKED_IN),
        (steady(-0.060, 0.020, 2), TimeOutcome.LOCKED_IN),
        (steady(0.0, 0.12, 3), None),
        (lambda n: 0.4, TimeOutcome.LATE),
        (lambda n: -0.4, TimeOutcome.EARLY),
        (lambda n: 0.3 if n == 9 else 0.0, TimeOutcome.LATE),
        (lambda n: -0.3 if n == 9 else 0.0, TimeOutcome.EARLY),
        (lambda n: 0.11 if n % 2 else -0.11, TimeOutcome.UNSTEADY),
    ],
    ids=["trained", "leading", "loose", "late", "early", "one late", "one early", "uneven"],
)
def test_the_outcome_of_simulated_players(
    tmp_path: Path, off: Callable[[int], float], outcome: TimeOutcome | None
) -> None:
    """Every name right; G flat major has six flats to type after their letters."""
    timed = result(tmp_path, off)
    assert timed.result.right == 28
    assert all(verdict and verdict.right for verdict in timed.result.verdicts)
    if outcome is None:
        assert not timed.result.passed
    else:
        assert timed.result.timing.outcome is outcome


def test_a_player_a_whole_beat_late_is_late_and_not_wrong(tmp_path: Path) -> None:
    timed = result(tmp_path, lambda n: 60 / 72)
    assert timed.result.right == 28
    assert timed.result.timing.outcome is TimeOutcome.LATE
    assert timed.result.timing.lead_s == pytest.approx(60 / 72)


def test_rushing_is_measured(tmp_path: Path) -> None:
    """Four milliseconds earlier with every beat."""
    timed = result(tmp_path, lambda n: -0.004 * n)
    assert timed.result.timing.drift_s == pytest.approx(-0.004)
    assert "rushing 4 ms a beat" in timed.result.say()[0]


def test_one_wrong_name_in_time_is_a_wrong_note(tmp_path: Path) -> None:
    timed = result(tmp_path, steady(0, 0.01, 4), lambda n, name: "G" if n == 5 else name)
    assert timed.result.timing.outcome is TimeOutcome.WRONG_NOTES
    assert timed.result.right == 27
    assert timed.result.say()[1] == "27 of 28 notes right"
    verdicts = timed.result.verdicts
    assert [verdict.right for verdict in verdicts if verdict] == [True, False, *[True] * 5]
    assert not timed.result.passed


def test_a_note_left_out_moves_no_other(tmp_path: Path) -> None:
    timed = result(tmp_path, steady(0, 0.01, 5), lambda n, name: "" if n == 10 else name)
    assert timed.result.right == 27
    assert timed.result.notes[10].off_s is None
    assert all(note.right for n, note in enumerate(timed.result.notes) if n != 10)


def test_a_note_too_many_is_counted(tmp_path: Path) -> None:
    timed = result(tmp_path, steady(0, 0.01, 6), lambda n, name: f"{name} D" if n == 6 else name)
    assert timed.result.extra == 1
    assert timed.result.right == 28
    assert timed.result.timing.outcome is TimeOutcome.WRONG_NOTES
    assert timed.result.say()[1] == "every note right, 1 too many"


def test_letters_alone_where_they_are_asked(tmp_path: Path) -> None:
    plan = replace(PLAN, setting=Setting(letters=True))
    timed = result(tmp_path, steady(0, 0.01, 7), lambda n, name: name[0].lower(), plan)
    assert timed.result.passed
    assert timed.result.verdicts[0] is not None
    assert timed.result.verdicts[0].right


def test_cells_that_were_not_reached_are_not_answered(tmp_path: Path) -> None:
    room, desk, state = begun(tmp_path)
    with closing(room.store):
        assert state.bout is not None
        notes = sung(state.bout, strokes(state.bout))[:9]
        state, effects = keep(room, desk, played(desk, state, notes, BEGAN, NOON))
        rows = list(room.answers())
    timed = next(effect for effect in effects if isinstance(effect, Timed))
    assert [verdict is not None for verdict in timed.result.verdicts] == [True] * 3 + [False] * 4
    assert len(rows) == 3
    assert [row.right for row in rows] == [True, True, False]
    assert not timed.result.passed


def test_nothing_typed_leaves_no_trace(tmp_path: Path) -> None:
    room, desk, state = begun(tmp_path)
    with closing(room.store):
        after, effects = keep(room, desk, played(desk, state, (), BEGAN, NOON))
        assert effects == (Unheard(),)
        assert after is state
        assert not list(room.answers())


def test_the_log_keeps_a_row_a_cell_with_tempo_and_timing(tmp_path: Path) -> None:
    room, desk, state = begun(tmp_path)
    with closing(room.store):
        assert state.bout is not None
        notes = sung(state.bout, strokes(state.bout, lambda n: -0.02))
        keep(room, desk, played(desk, state, notes, BEGAN, NOON, jitter_s=0.013))
        rows = list(room.answers())
    assert len(rows) == 7
    assert {row.kind for row in rows} == {Kind.TIME.value}
    assert {row.tempo for row in rows} == {72.0}
    assert rows[0].typed == "Gb Ab Bb Gb"
    assert rows[0].outcomes == ("right",) * 4
    value = json.loads(rows[1].details)
    assert value["outcome"] == "locked-in"
    assert (value["cell"], value["cells"]) == (1, 7)
    assert (value["lead_ms"], value["spread_ms"], value["jitter_ms"]) == (-20.0, 0.0, 13.0)
    assert value["off_ms"] == [-20.0] * 4
    assert len({read_kept(row.details).bout for row in rows}) == 1  # type: ignore[union-attr]


def test_three_in_a_row_are_three_rungs_faster_and_a_miss_is_slower(tmp_path: Path) -> None:
    """24 rungs an octave, coarse at first: 72 x 2 ** (3 / 24) after three passes."""
    room, desk, state = begun(tmp_path)
    seen = []
    with closing(room.store):
        for turn in range(4):
            assert state.bout is not None
            seen.append(state.bout.bpm)
            off = 0.5 if turn == 3 else 0.0
            keys = strokes(state.bout, lambda n, off=off: off)  # type: ignore[misc]
            state, _ = keep(room, desk, played(desk, state, sung(state.bout, keys), BEGAN, NOON))
    assert state.bout is not None
    faster = round(72 * 2 ** (3 / 24))
    assert seen == [72, 72, 72, faster]
    assert state.bout.bpm < faster


def test_the_tempo_is_remembered_after_a_replay(tmp_path: Path) -> None:
    """Locked in at 79, the next practice begins 2 rungs (6 %) under it, in that key alone."""
    room, desk, state = begun(tmp_path)
    with closing(room.store):
        for _ in range(6):
            assert state.bout is not None
            notes = sung(state.bout, strokes(state.bout))
            state, _ = keep(room, desk, played(desk, state, notes, BEGAN, NOON))
        live = desk.book
        answers = list(room.answers())
    replayed = book_of(answers, 72)
    held = replayed.held("1-2-3-1/up", "Gb:major")
    assert held is not None
    assert held == live.held("1-2-3-1/up", "Gb:major")
    assert held.locked_bpm == 79
    tomorrow = NOON + timedelta(days=1)
    room = room_at(tmp_path)
    with closing(room.store):
        desk = desk_at(room, deck_of("Gb"), prefix="next")
        state, effects = begin(desk, tomorrow)
    assert state.bout is not None
    assert state.bout.bpm == round(79 * 2 ** (-2 / 24))
    offer = next(effect for effect in effects if isinstance(effect, Offer))
    assert offer.remembered == 79
    assert len(list(tries_of(answers))) == 6
    assert [one.bpm for _, one in tries_of(answers)] == [72, 72, 72, 79, 79, 79]
    assert locked_in(desk.syllabus, answers) == {("Gb:major", "1-2-3-1/up"): 79}
    assert estimate_told(offer.estimate) == "not enough tries yet"


def test_too_fast_the_last_time_begins_slower(tmp_path: Path) -> None:
    room, desk, state = begun(tmp_path)
    with closing(room.store):
        for _ in range(3):
            assert state.bout is not None
            notes = sung(state.bout, strokes(state.bout, lambda n: 0.4))
            state, _ = keep(room, desk, played(desk, state, notes, BEGAN, NOON))
        assert state.bout is not None
        slowest = state.bout.bpm
        assert slowest < 60
        desk = desk_at(room, deck_of("Gb"), prefix="next")
        state, _ = begin(desk, NOON + timedelta(days=1))
    assert state.bout is not None
    assert state.bout.bpm == slowest


def test_after_its_turns_another_run_comes(tmp_path: Path) -> None:
    room, desk, state = begun(tmp_path, "C", "D", "E", plan=TimePlan(turns=2))
    keys = []
    with closing(room.store):
        for _ in range(6):
            assert state.bout is not None
            keys.append((state.bout.key, state.bout.pattern))
            notes = sung(state.bout, strokes(state.bout))
            state, _ = keep(room, desk, played(desk, state, notes, BEGAN, NOON))
    assert keys[0::2] == keys[1::2]
    assert len(set(keys)) == 3


def test_the_player_may_go_on_or_change_the_tempo(tmp_path: Path) -> None:
    room, desk, state = begun(tmp_path, "C", "D")
    with closing(room.store):
        assert state.bout is not None
        state, _ = at_tempo(desk, state, 1, NOON)
        assert state.bout is not None
        assert state.bout.bpm == 76
        assert state.bout.bpm in STEPS
        state, _ = at_tempo(desk, state, -2, NOON)
        assert state.bout is not None
        assert state.bout.bpm == 69
        notes = sung(state.bout, strokes(state.bout))
        state, _ = keep(room, desk, played(desk, state, notes, BEGAN, NOON))
        assert state.bout is not None
        assert state.bout.bpm == 69  # one pass of three
        first = state.bout.key
        state, _ = another(desk, state, NOON)
        assert state.bout is not None
        assert state.bout.key != first
        assert again(desk, state, NOON)[0].bout == state.bout


def test_the_practice_ends_with_its_cells(tmp_path: Path) -> None:
    room, desk, state = begun(tmp_path, plan=TimePlan(prompts=14))
    with closing(room.store):
        effects: tuple[object, ...] = ()
        for _ in range(2):
            assert state.bout is not None
            notes = sung(state.bout, strokes(state.bout))
            state, effects = keep(room, desk, played(desk, state, notes, BEGAN, NOON))
    assert state.over
    assert effects[-1] == TimeEnd(2, 2, (("1-2-3-1/up", "Gb:major", 72),))
    assert end(desk, state) == (state, ())
    assert played(desk, state, (), BEGAN, NOON) == (state, ())


@pytest.mark.parametrize(
    "details",
    ["", "{", "[]", '{"bout": 1}', '{"bout": "b", "off_ms": 3}', '{"heard": 2}', "[" * 9_000],
    ids=range(7),
)
def test_foreign_details_are_passed_over(details: str) -> None:
    assert read_kept(details) is None


def test_tempi_are_learned_from_what_is_kept_and_live_is_as_replayed(tmp_path: Path) -> None:
    room, desk, state = begun(tmp_path)
    with closing(room.store):
        for turn in range(4):
            assert state.bout is not None
            keys = strokes(state.bout, lambda n, turn=turn: 0.4 * (turn == 1))  # type: ignore[misc]
            before = (desk.book.held(state.bout.pattern, state.bout.key), digest(room.memory))
            step = played(desk, state, sung(state.bout, keys), BEGAN, NOON)
            held = desk.book.held(state.bout.pattern, state.bout.key)
            assert (held, digest(room.memory)) == before  # judged, and nothing learned
            told = next(effect for effect in step[1] if isinstance(effect, Timed))
            state, _ = keep(room, desk, step)
            assert state.bout is not None
            assert state.bout.bpm == told.next_bpm
        answers, items = list(room.answers()), room.store.items()
    whole = book_of(answers, 72)
    assert whole.held("1-2-3-1/up", "Gb:major") == desk.book.held("1-2-3-1/up", "Gb:major")
    assert digest(replay(answers, items)) == digest(room.memory)
