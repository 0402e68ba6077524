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
from drill.memory.tempo import Try, stair_at
from drill.opening.choosing import Chosen, chosen
from drill.opening.house import new_id
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.practice.syllabus import key_name, shape_id
from drill.practice.time.ontake import PRACTICE, TakeRow, parts_of, rows_of
from drill.practice.time.tempi import DEFAULT_BPM, ON_HORN, book_of
from drill.wording.timing import kept_on_horn_told
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
    return chosen(args, tools.house, tools.house.engine())


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
        args.tempo = next_tempo(args, tools)


def next_tempo(args: argparse.Namespace, tools: Tools) -> float:
    """The tempo of the next take of a run: where its staircase stands, on another day a little
    under what was locked in, and the deck's own (or 72) where nothing is known."""
    found = runs_of(args, tools)
    first = found.choices[0].run
    begin = float(found.deck.tempo) if found.deck and found.deck.tempo else DEFAULT_BPM
    if not tools.house.log_there:
        return begin
    with tools.house.reading() as store:
        book = book_of(store.answers(), begin, ON_HORN)
    day = date.fromisoformat(practice_day(tools.now(), tools.house.zone))
    pattern, key = shape_id(first.pattern, first.direction), key_name(first.key)
    held = book.held(pattern, key)
    if held is not None and held.practice == (day, PRACTICE):
        return float(held.stair.bpm)
    start = stair_at(book.start_bpm(pattern, key, day)).bpm
    if held is not None and held.locked_bpm is None:
        return float(min(start, held.stair.bpm))
    return float(start)


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
        return ["Nothing was kept in the log: a run that was begun again has no tempo."]
    now = tools.now()
    today, deck = practice_day(now, tools.house.zone), found.deck
    kind = TakeRow(
        now, today, tempo, line.beat_notes, *((deck.fingerprint, deck.name) if deck else ())
    )
    day, told = date.fromisoformat(today), []
    with closing(tools.house.store(now)) as store:
        book = book_of(store.answers(), DEFAULT_BPM, ON_HORN)
        for part in parts:
            for item, answer in rows_of(part, heard, kind, new_id):
                store.append(answer, item)
            one = Try(part.pattern, part.key, tempo, part.timing.locked_in, day, PRACTICE)
            stair = book.tell(one)
            passes = stair.streak, book.rule.passes
            run, outcome = part.run, part.timing.outcome
            said = kept_on_horn_told(run.key, run.direction.value, outcome, passes, stair.bpm)
            told.append(voice.text(said))
    return told
