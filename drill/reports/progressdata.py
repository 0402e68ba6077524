"""A player's progress as one object of JSON.

Shares and chances are 0 to 1, days and seconds are numbers, instants are ISO 8601; None
where nothing was asked or nothing can be said.
"""

from __future__ import annotations

from typing import Any

from drill.memory.progress import Forecast, Week
from drill.reports.naming import key_text, shape_name
from drill.reports.progress import KeyRow, Progress, SquareRow, Standing
from drill.reports.progresstrips import Tripping


def progress_object(made: Progress) -> dict[str, Any]:
    """The whole report."""
    return {
        "deck": made.deck.name,
        "title": made.deck.title,
        "fingerprint": made.deck.fingerprint,
        "made": made.made.isoformat(timespec="seconds"),
        "day": made.today,
        "goal": {"recall": made.goal.recall, "days": made.goal.days},
        "due": made.deck.due.isoformat() if made.deck.due else None,
        **_standing(made.whole),
        "levels": {level.value: number for level, number in made.levels.items()},
        "forecast": _forecast(made.forecast),
        "keys": [_key(each) for each in made.keys],
        "weeks": [_week(each) for each in made.weeks],
        "trips": _trips(made.trips),
    }


def _standing(known: Standing, *, enough: bool = True) -> dict[str, Any]:
    return {
        "cells": known.cells,
        "answers": known.asked,
        "slips": known.slips,
        "error_rate": known.error_rate if enough else None,
        "recall": known.recall,
        "level": known.level.value,
    }


def _key(row: KeyRow) -> dict[str, Any]:
    return {
        "key": key_text(row.key),
        **_standing(row.standing, enough=row.enough),
        "enough_answers": row.enough,
        "patterns": [_square(each, enough=row.enough) for each in row.squares],
    }


def _square(row: SquareRow, *, enough: bool) -> dict[str, Any]:
    return {
        **_shape(row.shape),
        **_standing(row.standing, enough=enough),
        "locked_in_tempo": row.tempo,
    }


def _shape(shape: str) -> dict[str, str]:
    name = shape_name(shape)
    return {"pattern": name.cell, "direction": name.direction, "more": name.more}


def _forecast(ahead: Forecast) -> dict[str, Any]:
    return {
        "by_heart": ahead.by_heart,
        "steps_left": ahead.steps_left,
        "steps_a_day": ahead.steps_a_day,
        "practice_days": ahead.practice_days,
        "enough_days": ahead.enough,
        "days": ahead.days,
        "soonest": ahead.soonest,
        "latest": ahead.latest,
    }


def _week(week: Week) -> dict[str, Any]:
    return {
        "begins": week.begins,
        "answers": week.asked,
        "right": week.right,
        "error_rate": week.error_rate,
        "seconds": week.seconds,
        "recall": week.recall,
        "by_heart": week.by_heart,
        "practice_days": week.practice_days,
    }


def _trips(trips: Tripping) -> dict[str, Any]:
    return {
        "answers": trips.answers,
        "slips": [
            {"slip": e.slip, "count": e.count, "share": e.share, "drill": e.drill}
            for e in trips.slips
        ],
        "accidentals": [
            {
                "note": e.note, "key": key_text(e.key),
                "asked": e.asked, "missed": e.missed, "share": e.share,
            }
            for e in trips.accidentals
        ],
        "accidentals_drill": list(trips.accidentals_drill),
        "mixed_keys": [
            {
                "key": key_text(e.key), "asked": e.asked, "mixed": e.mixed, "share": e.share,
                "instead": [{"key": key_text(k), "count": n} for k, n in e.others],
            }
            for e in trips.mixed
        ],
        "mixed_keys_drill": list(trips.mixed_drill),
        "degrees": [
            {
                "direction": e.direction.value, "degree": e.label,
                "asked": e.asked, "missed": e.missed,
                "whole_runs": e.runs, "broke": e.broken,
            }
            for e in trips.degrees
        ],
        "degrees_drill": list(trips.degrees_drill),
        "slowest": [
            {
                "key": key_text(e.key), **_shape(e.shape), "degree": e.label,
                "seconds": e.seconds, "times": e.times,
            }
            for e in trips.slowest
        ],
        "slowest_drill": list(trips.slowest_drill),
    }  # fmt: skip
