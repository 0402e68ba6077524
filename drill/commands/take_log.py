"""A take's tempo in the player's log, and the tempo of the next take.

The tempi on the horn have a staircase of their own, by the same rule as what is typed in time.
"""

from __future__ import annotations

import argparse
from contextlib import closing
from datetime import date

from drill.errors import UsageError
from drill.hearing.line import Line
from drill.hearing.values import Heard
from drill.memory.items import practice_day
from drill.opening.choosing import Chosen, chosen
from drill.opening.house import new_id
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.practice.time.ontake import TakeRow, keep_tempi, next_tempo, parts_of
from drill.practice.time.tempi import DEFAULT_BPM
from drill.wording.timing import NO_TEMPO_KEPT
from drill.wording.voice import Voice

NEXT = "next"
"""Names the tempo that the staircase comes to."""
NO_TEMPO = "--log keeps a tempo: add --tempo N, or --tempo next"


def tempo_of(text: str) -> float | str:
    """A tempo in beats a minute as typed, or ``NEXT``."""
    if text == NEXT:
        return NEXT
    try:
        return float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is not a tempo: beats a minute, or next"
        ) from None


def runs_of(args: argparse.Namespace, tools: Tools) -> Chosen:
    """The runs that a take is of.  Raises UsageError where it is held against another line."""
    if args.against is not None:
        raise UsageError("tempi are kept of runs: --pattern or --deck, not --against")
    if (args.pattern is None) == (args.deck is None):
        raise UsageError("name the run: --pattern (as drill spell does), or --deck")
    args.what = args.pattern or args.deck
    return chosen(args, tools.house)


def prepared(args: argparse.Namespace, tools: Tools) -> None:
    """Say what cannot be kept before anything is recorded, and put a number for ``NEXT``.

    Raises UsageError.
    """
    if args.result and args.deck is None:
        raise UsageError("--result goes with --deck: a take is handed in with its deck")
    for option in ("keep", "clicks"):
        if getattr(args, option) and not args.record:
            raise UsageError(f"--{option} goes with --record")
    if args.html == STDOUT and args.json:
        raise UsageError("only one of --json and --html can go to standard output")
    if args.log:
        found = runs_of(args, tools)
        if args.tempo is None and not (found.deck and found.deck.tempo):
            raise UsageError(NO_TEMPO)
    if args.tempo == NEXT:
        args.tempo = _next_tempo(args, tools)


def _next_tempo(args: argparse.Namespace, tools: Tools) -> float:
    """The tempo of the next take of a run: the deck's own (or 72) where nothing is known."""
    found = runs_of(args, tools)
    begin = float(found.deck.tempo) if found.deck and found.deck.tempo else DEFAULT_BPM
    if not tools.house.log_there:
        return begin
    day = date.fromisoformat(practice_day(tools.now(), tools.house.zone))
    with tools.house.reading() as store:
        return next_tempo(store.answers(), found.choices[0].run, begin, day)


def keep_tempo(
    found: Chosen, line: Line, heard: Heard, tempo: float | None, tools: Tools, voice: Voice
) -> list[str]:
    """Keep how each run of a take was in time; a line for each.

    Raises UsageError where no tempo was asked or the time of this take cannot be told, and
    StoreError where it could not be kept.
    """
    if tempo is None:
        raise UsageError(NO_TEMPO)
    parts = parts_of(line, heard, [choice.run for choice in found.choices])
    if not parts:
        return [NO_TEMPO_KEPT]
    now = tools.now()
    today, deck = practice_day(now, tools.house.zone), found.deck
    kind = TakeRow(
        now, today, tempo, line.beat_notes, *((deck.fingerprint, deck.name) if deck else ())
    )
    with closing(tools.house.store(now)) as store:
        told = keep_tempi(
            parts, heard, kind, store.answers(), lambda item, row: store.append(row, item), new_id
        )
    return [voice.text(each) for each in told]
