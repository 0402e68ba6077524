"""The course of a practice: log before verdict, one retype, one closing round, bounds, replay.

The rules are the project's own (what went wrong comes back sooner than what went right
beside it); there is no outside standard for them.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from practising import START, Player, deck, right, sit_down, wrong
from state_digest import digest

from drill.errors import StoreError
from drill.memory.items import Answer
from drill.memory.kinds import CLOSING, Kind
from drill.memory.model import replay
from drill.memory.planner import missed
from drill.practice import machine
from drill.practice.effects import Ask, Effect, End, Judge, Log, Prompt, Sound
from drill.practice.length import Left
from drill.practice.machine import PromptState
from drill.practice.room import Room
from drill.theory.scales import fifths_of, name_of_fifths, signature

FEW = 8


def kinds_of(effects: list[Effect]) -> list[str]:
    return [type(effect).__name__ for effect in effects]


@pytest.fixture
def player(tmp_path: Path) -> Player:
    return sit_down(tmp_path, prompts=FEW).begin()


def test_a_right_answer_is_logged_then_shown_then_sounded_then_the_next_is_asked(
    player: Player,
) -> None:
    assert kinds_of(player.effects) == ["Ask"]
    player.answer(right(player.prompt))
    assert kinds_of(player.effects) == ["Ask", "Log", "Judge", "Sound", "Ask"]
    log = player.logs[0]
    assert (log.answer.right, log.answer.again, log.answer.slip) == (True, False, None)
    assert log.answer.seconds == 12.0
    assert log.answer.item == log.item.id == player.prompts[0].item.id
    assert [prompt.number for prompt in player.prompts] == [1, 2]


def test_the_sound_is_concert_pitch(player: Player) -> None:
    # An alto sounds a major sixth, 9 semitones, below what it reads (reference/instruments.csv).
    prompt = player.prompt
    player.answer(right(prompt))
    sound = next(effect for effect in player.effects if isinstance(effect, Sound))
    assert sound.midi == tuple(note.midi - 9 for note in prompt.cell.notes)
    assert sound.tonic is None


def test_a_missed_cell_is_copied_until_it_is_right(player: Player) -> None:
    first = player.prompt
    player.answer(wrong(first))
    copy = player.prompt
    assert (copy.again, copy.given, copy.number) == (True, first.cell.notes, first.number)
    assert copy.item == first.item
    for copies in (1, 2):
        player.answer(wrong(copy))
        assert (player.prompt.again, player.prompt.item) == (True, first.item)
        assert player.prompt.copies == copies
        assert player.verdicts[-1].prompt.item == first.item
    player.answer(right(copy))
    assert not player.prompt.again
    assert player.prompt.number == first.number + 1
    assert [log.answer.again for log in player.logs] == [False, True, True, True]
    assert [log.answer.teaches for log in player.logs] == [True, False, False, False]
    assert player.state.asked == 1


def test_the_player_may_go_on_without_the_copy(player: Player) -> None:
    before = player.state
    player.pass_on()
    assert player.state == before  # nothing to pass at any other prompt
    player.answer(wrong(player.prompt)).answer(wrong(player.prompt))
    player.give_up()  # the copy has the cell in view
    assert player.prompt.again
    player.pass_on()
    assert (player.prompt.again, player.prompt.number) == (False, 2)
    assert len(player.logs) == 2


def test_the_key_that_was_spelled_instead_is_kept_with_the_slip(player: Player) -> None:
    first = player.prompt
    key = first.question.run.key
    # A semitone higher or lower, the same cell in another key and nowhere in its own.
    step = -5 if signature(key) >= -2 else 5
    moved = [name_of_fifths(fifths_of(note.name) + step) for note in first.cell.notes]
    player.answer(" ".join(map(str, moved)))
    (log,) = player.logs
    other = name_of_fifths(fifths_of(key.tonic) + step)
    assert log.answer.slip == "other-key"
    assert json.loads(log.answer.details) == {"instead": f"{other}:{key.scale}"}
    player.answer(right(first))
    assert player.logs[-1].answer.details == ""


def test_typing_it_once_more_can_be_turned_off(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=4, again=False).begin()
    player.answer(wrong(player.prompt))
    assert not player.prompt.again


def test_an_answer_that_cannot_be_read_leaves_no_trace(player: Player) -> None:
    before = player.state
    memory = digest(player.desk.memory)
    player.answer("C D H")
    assert player.state == before
    assert kinds_of(player.effects) == ["Ask", "Reread", "Ask"]
    assert player.prompts[0] == player.prompts[1]
    assert player.rereads[0].verdict.notes == ()
    assert player.room.store.count() == 0
    assert digest(player.desk.memory) == memory


def test_giving_up_counts_every_note_as_missing(player: Player) -> None:
    player.give_up()
    log = player.logs[0]
    assert log.answer.outcomes == ("missing",) * 4
    assert (log.answer.slip, log.answer.typed) == ("unanswered", "")
    assert player.prompt.again


def test_nothing_happens_before_the_beginning_and_after_the_end(player: Player) -> None:
    player.end()
    over = player.state
    count = len(player.effects)
    player.answer("C").give_up().hear().end()
    assert player.state == over
    assert len(player.effects) == count
    assert machine.answer(player.desk, PromptState(), "C", START, None) == (PromptState(), ())
    assert machine.give_up(player.desk, PromptState(), START, None) == (PromptState(), ())


def test_ending_leaves_no_trace_of_the_open_prompt(player: Player) -> None:
    player.answer(right(player.prompt)).end()
    assert player.room.store.count() == 1
    assert (player.summary.summary.asked, player.summary.summary.right) == (1, 1)


# Bounds.


@pytest.mark.parametrize("most", [1, 3, 20])
def test_so_many_prompts_and_no_more(tmp_path: Path, most: int) -> None:
    player = sit_down(tmp_path, prompts=most).begin().play(right)
    assert player.summary.summary.asked == most
    assert len(player.logs) == most


def test_a_plan_without_bounds_goes_on_for_more_than_all_cells(tmp_path: Path) -> None:
    player = sit_down(tmp_path, deck(keys='["G", "F"]'), prompts=None).begin()
    for _ in range(60):
        player.answer(right(player.prompt))
    assert not player.over
    assert len({log.item.id for log in player.logs}) == 28


def test_minutes_end_it_and_a_clock_set_back_cannot_make_it_longer(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=None, minutes=2.0, missed_again=False).begin()
    player.play(right)
    assert player.summary.summary.asked == 10  # twelve seconds each
    other = sit_down(tmp_path, prompts=None, minutes=2.0).begin()
    other.now -= timedelta(hours=5)
    other.answer(right(other.prompt))
    assert other.over


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(
    minutes=st.sampled_from([1.0, 3.0, 5.0, 12.0]),
    share=st.floats(0.0, 1.0),
    seconds=st.floats(4.0, 25.0),
    seed=st.integers(0, 999),
    prompts=st.none() | st.integers(5, 60),
)
def test_minutes_are_to_the_end_of_everything(
    tmp_path_factory: pytest.TempPathFactory,
    minutes: float,
    share: float,
    seconds: float,
    seed: int,
    prompts: int | None,
) -> None:
    """Whatever share is right: over in time, and the closing round at most a tenth of it."""
    chance = random.Random(seed)
    player = sit_down(tmp_path_factory.mktemp("log"), prompts=prompts, minutes=minutes)
    player.seconds = seconds
    closing_from: list[datetime] = []

    def answers(prompt: Prompt) -> str:
        if prompt.closing and not closing_from:
            closing_from.append(player.now)
        known = prompt.again or chance.random() < share
        return right(prompt) if known else wrong(prompt)

    player.begin().play(answers)
    spent = (player.now - START).total_seconds()
    # At most the copy of a slip that came where slips were rare.
    assert spent <= 60 * minutes + seconds
    if prompts is None and seconds <= 12:
        assert spent >= 60 * minutes - 3 * seconds
    if closing_from:
        assert (player.now - closing_from[0]).total_seconds() <= 0.1 * 60 * minutes + 3 * seconds
    player.room.store.close()


def test_thirty_percent_right_and_twelve_seconds_an_answer_is_over_in_five_minutes(
    tmp_path: Path,
) -> None:
    for seed in range(5):
        chance = random.Random(seed)
        (tmp_path / str(seed)).mkdir()
        player = sit_down(tmp_path / str(seed), minutes=5.0, seed=seed).begin()
        player.play(
            lambda prompt, chance=chance: (  # type: ignore[misc]
                right(prompt) if prompt.again or chance.random() < 0.3 else wrong(prompt)
            )
        )
        assert (player.now - START).total_seconds() <= 300
        assert (player.now - START).total_seconds() >= 260
        assert any(prompt.closing for prompt in player.prompts)


@pytest.mark.parametrize(("share", "most"), [(0.25, 72), (0.5, 62), (0.75, 52)])
def test_forty_prompts_are_forty_and_the_copies(tmp_path: Path, share: float, most: int) -> None:
    for seed in range(3):
        (tmp_path / str(seed)).mkdir()
        player = sit_down(tmp_path / str(seed), prompts=40, seed=seed).begin()
        shares = share_of(share)
        player.play(lambda p, s=shares: right(p) if p.again or next(s) else wrong(p))  # type: ignore[misc]
        fresh = [prompt for prompt in player.prompts if not prompt.again]
        assert len(fresh) == 40
        assert len([prompt for prompt in fresh if prompt.closing]) <= 4
        assert len(player.logs) <= most


def share_of(share: float) -> Iterator[bool]:
    """Right and wrong, evenly spread, so that this share is right."""
    return (int((n + 1) * share) > int(n * share) for n in count())


def test_what_is_left_is_told_with_each_prompt(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=10, minutes=5.0).begin()
    told: list[Left] = []
    while len(told) < 10:
        told.append(machine.what_is_left(player.desk, player.state, player.now))
        player.answer(right(player.prompt) if len(told) > 2 else wrong(player.prompt))
        while not player.over and player.prompt.again:
            player.answer(right(player.prompt))
    assert player.over
    assert [left.prompts for left in told] == list(range(10, 0, -1))
    minutes = [left.minutes or 0.0 for left in told]
    assert minutes[0] == 5.0
    assert minutes == sorted(minutes, reverse=True)
    assert player.state.began is not None
    later = player.state.began + timedelta(seconds=90)
    assert machine.what_is_left(player.desk, player.state, later).minutes == 3.5
    free = sit_down(tmp_path / "free", prompts=None)
    assert machine.what_is_left(free.desk, free.begin().state, START) == Left(None, None)


# The closing round.


def copied(prompt: Prompt) -> str:
    """Everything wrong but the copies."""
    return right(prompt) if prompt.again else wrong(prompt)


def test_missed_cells_are_asked_once_more_at_the_end_and_there_is_no_loop(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=40).begin().play(copied)
    fresh = [prompt for prompt in player.prompts if not prompt.again]
    closing = [prompt for prompt in fresh if prompt.closing]
    assert (len(fresh), len(closing)) == (40, 4)  # a tenth, among their number
    assert {prompt.item.id for prompt in closing} <= {
        prompt.item.id for prompt in fresh if not prompt.closing
    }
    assert len({prompt.item.id for prompt in closing}) == 4
    assert all(prompt.kind == CLOSING and prompt.given == () for prompt in closing)
    assert player.summary.summary.asked == 36
    assert player.summary.summary.right == 0
    assert len(player.summary.summary.missed) == len({p.item.id for p in fresh})


def test_a_cell_made_good_in_the_closing_round_is_not_among_the_missed(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=20).begin()
    slips = iter([True, False, True])
    player.play(
        lambda prompt: (
            copied(prompt) if not (prompt.again or prompt.closing) and next(slips, False)
            else right(prompt)
        )
    )  # fmt: skip
    assert [prompt for prompt in player.prompts if prompt.closing]
    assert player.summary.summary.missed == ()
    assert player.summary.summary.slips == (("stopped-early", 2),)


def test_what_was_missed_is_known_at_each_prompt_without_going_through_the_answers(
    tmp_path: Path,
) -> None:
    """They were gone through three times a prompt: after 3,000 a verdict took twice as long."""

    class Unread(tuple[Answer, ...]):
        def __iter__(self) -> Iterator[Answer]:
            return super().__iter__() if reading else pytest.fail("gone through")

    reading, chance = True, random.Random(3)
    player = sit_down(tmp_path, prompts=40).begin()
    for _ in range(25):
        player.answer((right if chance.random() < 0.6 else wrong)(player.prompt))
        assert player.state.missed == missed(player.state.answers)
    assert player.state.missed
    reading = False
    what_was_left = replace(player.state, answers=Unread(player.state.answers))
    assert machine.what_is_left(player.desk, what_was_left, player.now).prompts


def test_the_closing_round_can_be_turned_off(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=10, missed_again=False).begin().play(copied)
    assert not any(prompt.closing for prompt in player.prompts)
    assert player.summary.summary.asked == 10


def test_a_practice_without_a_slip_has_no_closing_round(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=FEW).begin().play(right)
    assert not any(prompt.closing or prompt.again for prompt in player.prompts)
    assert player.summary.summary.asked == FEW


# Kinds of prompt.


def test_the_next_cell_comes_with_the_one_before_it(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=30, kinds=[Kind.NEXT]).begin().play(right)
    for prompt in player.prompts:
        run, index = prompt.question.run, prompt.question.index
        if index:
            assert (prompt.kind, prompt.given) == (Kind.NEXT, run.cells[index - 1].notes)
        else:  # nothing comes before the first cell of a run
            assert (prompt.kind, prompt.given) == (Kind.DEGREE, ())


def test_a_run_from_memory_is_its_cells_in_a_row(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=14, kinds=[Kind.RUN]).begin().play(right)
    first, second = player.prompts[:7], player.prompts[7:14]
    for run in (first, second):
        assert [prompt.place for prompt in run] == [(n, 7) for n in range(1, 8)]
        assert len({prompt.item.run for prompt in run}) == 1
        assert [prompt.question.index for prompt in run] == list(range(7))
        assert all(prompt.given == () and prompt.kind == Kind.RUN for prompt in run)
    assert first[0].item.run != second[0].item.run


def test_a_slip_in_a_run_is_retyped_and_the_run_goes_on(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=7, kinds=[Kind.RUN], missed_again=False).begin()
    player.answer(right(player.prompt)).answer(wrong(player.prompt))
    assert player.prompt.again
    player.answer(right(player.prompt))
    assert (player.prompt.place, player.prompt.question.index) == ((3, 7), 2)


def test_the_bound_on_prompts_cuts_a_run(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=3, kinds=[Kind.RUN]).begin().play(right)
    assert [prompt.place for prompt in player.prompts] == [(1, 7), (2, 7), (3, 7)]


def test_by_ear_the_cell_is_heard_before_the_answer_and_counted(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=3, kinds=[Kind.EAR]).begin()
    prompt = player.prompt
    assert kinds_of(player.effects) == ["Ask", "Sound"]
    heard = player.of(Sound)[0]
    assert isinstance(heard, Sound)
    assert heard.midi == prompt.sounds == tuple(note.midi - 9 for note in prompt.cell.notes)
    assert heard.tonic is not None
    player.hear().hear()
    assert player.prompt.heard == 3
    player.answer(right(prompt))
    assert player.logs[0].answer.details == '{"heard": 3}'


def test_no_other_prompt_sounds_before_its_answer(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=20).begin()
    player.hear()
    assert kinds_of(player.effects) == ["Ask"]
    player.play(right)
    for before, after in zip(player.effects, player.effects[1:], strict=False):
        if isinstance(after, Sound):
            assert isinstance(before, Judge)


def test_the_question_knows_the_prompt_before(player: Player) -> None:
    first = player.prompt
    assert first.question.before is None
    player.answer(right(first))
    assert player.prompt.question.before == first.question.asked
    second = player.prompt
    player.answer(wrong(second))
    assert player.prompt.question.before == first.question.asked  # still the same question
    player.answer(right(player.prompt))
    assert player.prompt.question.before == second.question.asked


# Any course of events.

EVENTS = st.lists(
    st.sampled_from(
        ["right", "wrong", "junk", "empty", "up", "pass", "hear", "late", "back", "end"]
    ),
    max_size=60,
)


def act(player: Player, event: str) -> None:  # noqa: C901 - a branch an event
    """One thing that a player may do at any time."""
    prompt = player.state.prompt
    match event:
        case "right":
            player.answer(right(prompt) if prompt else "C")
        case "wrong":
            player.answer(wrong(prompt) if prompt else "C")
        case "junk":
            player.answer("ceb")
        case "empty":
            player.answer("")
        case "up":
            player.give_up()
        case "pass":
            player.pass_on()
        case "hear":
            player.hear()
        case "late":
            player.now += timedelta(minutes=7)
        case "back":
            player.now -= timedelta(minutes=3)
        case "end":
            player.end()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    events=EVENTS,
    seed=st.integers(0, 5),
    kinds=st.sampled_from(
        [(), (Kind.RUN,), (Kind.EAR,), (Kind.NEXT, Kind.EAR), ("key", "signature")]
    ),
    prompts=st.none() | st.integers(1, 12),
    again=st.booleans(),
    missed_again=st.booleans(),
)
def test_no_course_of_events_breaks_it(
    tmp_path_factory: pytest.TempPathFactory,
    events: list[str],
    seed: int,
    kinds: tuple[str, ...],
    prompts: int | None,
    again: bool,
    missed_again: bool,
) -> None:
    player = sit_down(
        tmp_path_factory.mktemp("log"), seed=seed, kinds=kinds, prompts=prompts, minutes=30.0,
        again=again, missed_again=missed_again,
    ).begin()  # fmt: skip
    for event in events:
        act(player, event)
        assert (player.state.prompt is None) is player.state.over
    player.end()
    check_effects(player.effects)
    store = player.room.store
    assert store.count() == len(player.logs)
    assert [kept.uuid for kept in store.answers()] == [log.answer.uuid for log in player.logs]
    assert digest(replay(store.answers(), store.items())) == digest(player.desk.memory)
    fresh = [log for log in player.logs if not log.answer.again]
    assert len(player.of(End)) == 1
    if prompts is not None:
        assert player.summary.summary.asked <= prompts
    assert player.summary.summary.asked <= len(fresh)
    player.room.store.close()


def check_effects(effects: list[Effect]) -> None:
    """Every verdict has its log before it; every log its verdict; a copy is of the cell missed."""
    open_prompt: Prompt | None = None
    for place, effect in enumerate(effects):
        match effect:
            case Judge(prompt, verdict):
                before = effects[place - 1]
                assert isinstance(before, Log)
                assert before.answer.right is verdict.right
                assert before.item == prompt.item
                assert before.answer.again is prompt.again
            case Log():
                assert isinstance(effects[place + 1], Judge)
            case Ask(prompt):
                if prompt.again:
                    assert open_prompt is not None
                    assert prompt.item == open_prompt.item
                open_prompt = prompt
            case End():
                assert effect is effects[-1]
            case _:
                pass


# Determinism and replay.


def transcript(folder: Path, seed: int, answers_seed: int) -> list[str]:
    chance = random.Random(answers_seed)
    player = sit_down(folder, seed=seed, prompts=25).begin()
    player.play(lambda prompt: right(prompt) if chance.random() < 0.6 else wrong(prompt))
    player.room.store.close()
    return [repr(effect) for effect in player.effects]


def test_the_same_seed_and_answers_give_the_same_transcript(tmp_path: Path) -> None:
    one = transcript(tmp_path / "one", 3, 8)
    assert transcript(tmp_path / "two", 3, 8) == one
    assert transcript(tmp_path / "three", 4, 8) != one


def test_seconds_between_answers_do_not_change_what_is_asked(tmp_path: Path) -> None:
    def asked(folder: str, seconds: float) -> list[str]:
        player = sit_down(tmp_path / folder, prompts=15)
        player.seconds = seconds
        player.begin().play(right)
        return [prompt.item.id for prompt in player.prompts]

    assert asked("quick", 1.0) == asked("slow", 45.0)


def test_another_start_goes_on_where_the_log_ended(tmp_path: Path) -> None:
    first = sit_down(tmp_path, prompts=10).begin().play(copied)
    learned = digest(first.desk.memory)
    first.room.store.close()
    second = sit_down(tmp_path, prompts=10, now=first.now + timedelta(hours=20))
    assert digest(second.desk.memory) == learned


def test_missed_cells_come_back_sooner_than_those_got_right_beside_them(tmp_path: Path) -> None:
    # The main promise of the spacing.  One key is not known; the player quits and starts again.
    of = deck(keys='["G", "F", "D", "Bb", "A", "Eb", "C"]')
    chance = random.Random(5)

    def answers(prompt: Prompt) -> str:
        known = prompt.question.run.key.tonic.letter != "D" or prompt.again
        return right(prompt) if known or chance.random() < 0.2 else wrong(prompt)

    first = sit_down(tmp_path, of, prompts=60, missed_again=False).begin().play(answers)
    missed = {log.item.id for log in first.logs if not log.answer.right and not log.answer.again}
    kept = {log.item.id for log in first.logs if log.answer.right} - missed
    assert len(missed) >= 4
    first.room.store.close()

    later = first.now + timedelta(minutes=10)
    second = sit_down(tmp_path, of, prompts=200, missed_again=False, now=later).begin().play(right)
    order: dict[str, int] = {}
    for place, prompt in enumerate(second.prompts):
        order.setdefault(prompt.item.id, place)
    back = [order[item] for item in missed]
    others = [order.get(item, len(second.prompts)) for item in kept]
    assert max(back) < sorted(others)[len(others) // 2]
    assert sum(back) / len(back) < 0.6 * sum(others) / len(others)


def test_keys_are_interleaved(tmp_path: Path) -> None:
    of = deck(keys='["G", "F", "D", "Bb", "A", "Eb", "C"]')
    player = sit_down(tmp_path, of, prompts=40, kinds=[Kind.NEXT, Kind.DEGREE]).begin().play(right)
    keys = [prompt.item.key for prompt in player.prompts]
    assert all(a not in (b, c) for a, b, c in zip(keys, keys[1:], keys[2:], strict=False))


# Two programs on one log.


def test_two_rooms_on_one_log_learn_from_each_other(tmp_path: Path) -> None:
    one = sit_down(tmp_path, prompts=6, seed=1, ids="one").begin()
    two = sit_down(tmp_path, prompts=6, seed=2, ids="two").begin()
    for _ in range(3):
        one.answer(right(one.prompt))
        two.answer(right(two.prompt))
    assert one.room.catch_up() == 3
    assert one.room.catch_up() == 0
    one.answer(right(one.prompt))
    assert two.room.catch_up() == 4
    assert one.room.catch_up() == 0
    for room in (one.room, two.room):
        for log in (*one.logs, *two.logs):
            record = room.memory.record(log.item)
            assert record.asked >= 1
    whole = replay(one.room.store.answers(), one.room.store.items())
    assert len(whole.turns) == len(one.room.memory.turns) == len(two.room.memory.turns) == 7


def test_a_plan_follows_the_deck(tmp_path: Path) -> None:
    of = deck(due="2026-05-01")
    plan = machine.plan_for(of, START)
    assert plan.prompts == 40
    assert plan.options.aim == datetime(2026, 5, 1, 12, tzinfo=UTC)
    assert machine.plan_for(of, START + timedelta(days=90)).options.aim is None
    assert replace(plan, prompts=None).prompts is None


# Nothing is learned before it is kept.


class FullRoom(Room):
    """A room whose log is full after so many answers."""

    room_for = 10_000

    def keep(self, log: Log) -> None:
        if self.room_for <= 0:
            raise StoreError("the disk is full")
        self.room_for -= 1
        super().keep(log)


def test_what_a_step_logs_is_learned_from_when_it_is_kept_and_not_before(player: Player) -> None:
    before = digest(player.desk.memory)
    step = machine.answer(player.desk, player.state, right(player.prompt), START, 3.0)
    assert kinds_of(list(step[1])) == ["Log", "Judge", "Sound", "Onward"]
    assert step[0].prompt is None
    assert digest(player.desk.memory) == before
    player.take(step)
    assert digest(player.desk.memory) != before
    assert player.prompt.number == 2


def test_an_answer_that_is_not_kept_leaves_state_and_memory_as_they_were(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=FEW)
    room, old = FullRoom(player.room.store, zone=UTC), player.desk
    player.room = room
    player.desk = room.desk(old.syllabus, old.plan, 1, old.new_id)
    player.begin().answer(right(player.prompt))
    stood, learned = player.state, digest(player.desk.memory)
    room.room_for = 0
    for text in (right(player.prompt), wrong(player.prompt), right(player.prompt)):
        with pytest.raises(StoreError, match="the disk is full"):
            player.answer(text)
        assert (player.state, digest(player.desk.memory)) == (stood, learned)
    room.room_for = 1
    player.answer(right(player.prompt))
    assert player.state.asked == 2
    store = room.store
    assert digest(replay(store.answers(), store.items())) == digest(player.desk.memory)


def test_every_answer_is_counted_once_for_the_pace_and_copies_too(tmp_path: Path) -> None:
    """By it the minutes that are left are reckoned."""
    player = sit_down(tmp_path, prompts=None, again=True).begin()
    for n in range(9):
        player.answer(right(player.prompt) if n % 3 else wrong(player.prompt))
        assert player.state.typed == n + 1
