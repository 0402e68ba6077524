"""Playing in time as the objects of line mode's JSON."""

from __future__ import annotations

from typing import Any

from drill.lines.lines import verdict_object
from drill.lines.writing import run_object
from drill.practice.time.bout import Result
from drill.practice.time.course import Offer, Timed, TimeDesk
from drill.wording.voice import Voice


def bout_object(desk: TimeDesk, offer: Offer) -> dict[str, Any]:
    """A bout as the object of line mode's JSON; times are seconds into its take."""
    bout, run = offer.bout, offer.bout.entries[0].run
    return {
        "kind": "bout",
        "number": bout.number,
        **run_object(desk.syllabus, run),
        "cell": run.pattern.text,
        "descent": run.pattern.descent.value,
        "direction": run.direction.value,
        "cells": [
            {"id": entry.item.id, "label": entry.cell.called, "notes": len(entry.cell.notes)}
            for entry in bout.entries
        ],
        "letters": bout.letters,
        "tempo": bout.bpm,
        "notes_per_beat": bout.notes_per_beat,
        "beats_per_bar": bout.take.beats_per_bar,
        "first_beat_s": bout.take.first_beat_s,
        "due_s": [round(due, 6) for due in bout.due],
        "over_s": round(bout.over_s, 6),
        "locked_in_at": offer.remembered,
        "estimate": _estimate_object(offer),
    }


def _estimate_object(offer: Offer) -> dict[str, Any] | None:
    """What is believed of the tempo; null where there are not enough tries yet."""
    told = offer.estimate
    if not told.enough:
        return None
    return {"tempo": round(told.bpm, 1), "low": round(told.low, 1), "high": round(told.high, 1)}


def timing_object(timed: Timed, voice: Voice) -> dict[str, Any]:
    """How a bout went as the object of line mode's JSON; times in milliseconds, early negative."""
    result = timed.result
    bout, timing = result.bout, result.timing
    return {
        "kind": "timing",
        "number": bout.number,
        "outcome": timing.outcome.value,
        "locked_in": result.passed,
        "right": result.right,
        "count": len(result.notes),
        "extra": result.extra,
        "accuracy": round(result.accuracy, 4),
        "lead_ms": _ms(timing.lead_s),
        "spread_ms": _ms(timing.spread_s),
        "drift_ms_per_beat": _ms(timing.drift_s),
        "jitter_ms": _ms(timing.jitter_s),
        "beat_ms": _ms(timing.beat_s),
        "outliers": list(timing.outliers),
        "notes": [
            {
                "typed": note.typed or None,
                "expected": str(note.expected),
                "right": note.right,
                "off_ms": None if note.off_s is None else _ms(note.off_s),
            }
            for note in result.notes
        ],
        "cells": _cell_objects(result, voice),
        "tempo": bout.bpm,
        "next_tempo": timed.next_bpm,
        "sound": result.sound,
        "say": "; ".join(result.say()),
    }


def _cell_objects(result: Result, voice: Voice) -> list[dict[str, Any]]:
    """The verdicts of the cells that were reached, as line mode tells them."""
    found = []
    for cell, verdict in enumerate(result.verdicts):
        if verdict is not None:
            found.append(verdict_object(result.bout.prompt(cell), verdict, voice))
    return found


def _ms(seconds: float) -> float:
    return round(seconds * 1000, 1)
