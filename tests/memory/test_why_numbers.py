"""The numbers behind a choice are the model's own, and days are practice days."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from memory_log import START, answer, deck

from drill.memory.introducing import NewLimits
from drill.memory.model import learn, predict
from drill.memory.planner import Options, Rule, choose
from drill.memory.pool import Pool
from drill.memory.state import State
from drill.memory.why import days_between, explain
from drill.wording.why import why_told

EVERYTHING = Options(new=NewLimits(keys=0))
"""Nothing is introduced: every cell may be asked from the beginning."""


DECK = deck()


def asked(prompts: int) -> tuple[State, Pool]:
    state = State()
    pool = Pool(state, DECK, 1)
    for n in range(prompts):
        at = START + timedelta(seconds=15 * n)
        choice = choose(state, pool, at, EVERYTHING)
        assert choice is not None
        learn(state, choice.item, answer(choice.item, choice.item.key in {"k0", "k1"}, at, n))
    return state, pool


def test_the_sentences_tell_the_model_s_own_numbers() -> None:
    state, pool = asked(200)
    now = START + timedelta(days=2)
    choice = choose(state, pool, now, EVERYTHING)
    assert choice is not None
    why = explain(state, pool, choice, now, EVERYTHING)
    record, key = state.record(choice.item), state.key_record(choice.item.key)
    assert why.pool == len(DECK)
    assert (why.asked, why.slips) == (record.asked, record.slips)
    assert (why.key_asked, why.key_slips) == (key.asked, key.slips)
    assert why.recall == predict(state, choice.item, now).p
    first, second = why_told(why, "the cell on 4", "G major")
    assert first.count(".") == second.count(".") == 1
    assert f"about {round(100 * why.recall)} %" in second
    assert choice.rule is Rule.SCORE
    assert f"of the {why.among} cells that may be asked now it has the largest chance" in second
    assert "2 days ago" in first


def test_a_return_after_a_slip_is_told_as_one_and_claims_no_place() -> None:
    """A missed cell brought back early is not the largest by chance of error times wait."""
    state, pool = asked(200)
    seen = {}
    for day in range(2, 30):
        now = START + timedelta(days=day)
        options = EVERYTHING.begun(state, now)
        choice = choose(state, pool, now, options)
        assert choice is not None
        why = explain(state, pool, choice, now, options)
        _, second = why_told(why, "the cell", "G major")
        seen[choice.rule] = (why, second)
        learn(state, choice.item, answer(choice.item, False, now, 1000 + day))
    why, second = seen[Rule.RETURN]
    assert "you missed it when it was last asked, in an earlier practice" in second
    assert "largest" not in second
    assert why.slips


def test_a_first_meeting_and_those_that_wait_are_told() -> None:
    state = State()
    pool = Pool(state, deck(9, 1, 7), 1)
    aim = START + timedelta(days=9)
    options = Options(aim=aim)
    choice = choose(state, pool, START, options)
    assert choice is not None
    why = explain(state, pool, choice, START, options)
    assert (why.turns, why.days_away, why.asked) == (None, None, 0)
    assert why.aim_recall == pytest.approx(predict(state, choice.item, aim).p)
    first, second = why_told(why, "the cell on 1", "C major")
    assert first == "the cell on 1 is new: it has not been asked yet."
    assert second.startswith("C major is new too")
    assert "on the day" in second
    assert "first meeting" in second
    assert "drawn by lot" in second
    assert f"while {5 * 7} new cells wait their turn" in second


@pytest.mark.parametrize(
    ("last", "now", "days"),
    [
        ("2026-03-01 21:00", "2026-03-02 08:00", 1),
        ("2026-03-01 21:00", "2026-03-02 20:30", 1),
        ("2026-03-01 07:00", "2026-03-02 20:30", 1),
        ("2026-03-01 07:00", "2026-03-01 23:30", 0),
        ("2026-03-01 23:00", "2026-03-02 03:59", 0),  # a practice day begins at 04:00
        ("2026-03-01 23:00", "2026-03-04 04:00", 3),
        ("2026-03-04 23:00", "2026-03-01 04:00", 0),  # a clock set back
    ],
)
def test_days_are_practice_days(last: str, now: str, days: int) -> None:
    then = datetime.fromisoformat(last).replace(tzinfo=UTC)
    since = then.timestamp() / 86400
    assert days_between(since, datetime.fromisoformat(now).replace(tzinfo=UTC), UTC) == days
