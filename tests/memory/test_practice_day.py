"""Practice days begin at 04:00 by the local clock; zones are those of the IANA database."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.memory.items import Answer, aware, day_begins, days, instant, microseconds, practice_day

VIENNA = ZoneInfo("Europe/Vienna")


@pytest.mark.parametrize(
    ("utc", "day"),
    [
        ("2026-01-15T02:59", "2026-01-14"),  # 03:59 in Vienna
        ("2026-01-15T03:00", "2026-01-15"),  # 04:00
        ("2026-01-15T23:30", "2026-01-15"),  # 00:30 of the next date
        # Summer time begins on 29 March 2026 at 02:00 and ends on 25 October 2026 at 03:00.
        ("2026-03-29T01:59", "2026-03-28"),  # 03:59 summer time
        ("2026-03-29T02:00", "2026-03-29"),  # 04:00 summer time
        ("2026-10-25T01:30", "2026-10-24"),  # 02:30, the second time
        ("2026-10-25T02:59", "2026-10-24"),  # 03:59 winter time
        ("2026-10-25T03:00", "2026-10-25"),
    ],
)
def test_the_wall_clock_decides(utc: str, day: str) -> None:
    assert practice_day(datetime.fromisoformat(utc + "Z"), VIENNA) == day


def test_without_a_zone_the_instant_s_own_clock_counts() -> None:
    assert practice_day(datetime(2026, 1, 15, 3, 59, tzinfo=VIENNA)) == "2026-01-14"
    assert practice_day(datetime(1, 1, 1, 0, 0, tzinfo=UTC)) == "0001-01-01"


@given(st.integers(1, 5_000_000))
def test_days_never_run_backwards_through_clock_changes(minutes: int) -> None:
    at = datetime(2020, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    today = practice_day(at, VIENNA)
    # The hour that comes twice is before 04:00, so that no day comes back either.
    assert practice_day(at + timedelta(hours=1), VIENNA) >= today
    assert practice_day(at + timedelta(days=2), VIENNA) > today


@given(st.integers(1, 5_000_000))
def test_a_day_begins_with_its_first_instant(minutes: int) -> None:
    at = datetime(2020, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    begun = day_begins(at, VIENNA).astimezone(UTC)
    assert begun <= at
    assert practice_day(begun, VIENNA) == practice_day(at, VIENNA)
    assert practice_day(begun - timedelta(seconds=1), VIENNA) < practice_day(at, VIENNA)


@given(st.datetimes(timezones=st.just(UTC)))
def test_microseconds_and_instant_are_inverse(at: datetime) -> None:
    assert instant(microseconds(at)) == at
    assert days(at) == pytest.approx(microseconds(at) / 86_400_000_000)


def test_a_naive_instant_is_read_as_utc() -> None:
    utc = datetime(2026, 1, 1, tzinfo=UTC)
    assert aware(utc.replace(tzinfo=None)) == utc


def test_the_order_of_the_log_is_stamp_then_uuid() -> None:
    at = datetime(2026, 1, 1, tzinfo=UTC)
    early = Answer("b", at, "2026-01-01", "i", True, stamp=5)
    assert (
        sorted([Answer("a", at, "", "i", True, stamp=6), early], key=lambda a: a.order)[0] == early
    )
    assert Answer("a", at, "", "i", True).order == (microseconds(at), "a")
