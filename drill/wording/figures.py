"""How figures are written wherever they stand: shares, time spent, days away."""

from __future__ import annotations

from datetime import date, datetime, tzinfo


def percent(share: float | None) -> str:
    """A share as whole percent without the sign: ``62``; ``-`` for None."""
    return "-" if share is None else f"{100 * share:.0f}"


def in_percent(share: float) -> str:
    """The same with its sign, among words: ``62 %``."""
    return f"{percent(share)} %"


def out_of(part: int, of: int, what: str = "") -> str:
    """``25 of 29``, with what they are where it is said."""
    return f"{part:,} of {of:,} {what}".rstrip()


def were(number: int) -> str:
    """The verb of so many things that are told of: ``was``, ``were``."""
    return "was" if number == 1 else "were"


def one_decimal(value: float) -> str:
    """With one decimal; what is not nothing is not called so: ``under 0.1``."""
    return "under 0.1" if 0 < value < 0.05 else f"{value:.1f}"


def duration(seconds: float) -> str:
    """Time spent: ``45 s``, ``12 min``, ``3 h 05``."""
    if seconds < 60:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02}"


def day_of(micros: int, zone: tzinfo | None) -> date:
    """The local date of an instant in microseconds since 1970; ``zone`` None is UTC."""
    from drill.memory.items import instant  # no first frame waits for the log's words

    at = instant(micros)
    return (at.astimezone(zone) if zone else at).date()


def days_ago(micros: int | None, now: datetime, zone: tzinfo | None) -> str:
    """When it was, in local days: ``today``, ``3 days ago``; ``never`` for None."""
    if micros is None:
        return "never"
    today = (now.astimezone(zone) if zone else now).date()
    return ago((today - day_of(micros, zone)).days)


def ago(days: int) -> str:
    """A day counted back from this one: ``today``, ``yesterday``, ``3 days ago``."""
    if days <= 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"


def clock(seconds: float) -> str:
    """A place in a recording: ``1:05``."""
    return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"
