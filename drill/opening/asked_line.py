"""The line that a take is held against: a run as chosen, or one out of a file."""

from __future__ import annotations

import argparse
from itertools import zip_longest
from pathlib import Path

from drill.errors import UsageError
from drill.hearing.against import LARGEST, line_from
from drill.hearing.horns import octaves_told
from drill.hearing.line import Line, LinePlace
from drill.hearing.values import Asked
from drill.opening.choosing import Chosen, chosen
from drill.opening.house import House
from drill.paper.layout import runs_on
from drill.practice.syllabus import item_of
from drill.sound.capture import regular
from drill.sound.phrasing import read_swing
from drill.terms import Direction
from drill.theory.instruments import find_instrument
from drill.theory.keys import sounding_shift
from drill.wording.options import AGAINST_ALONE, RUN_ASKED, one_run_told, tempo_out
from drill.wording.take import run_named
from drill.wording.voice import PLAIN


def asked_line(args: argparse.Namespace, house: House) -> tuple[Line, float | None]:
    """The line that the command names, and the tempo asked (None: none).

    Raises UsageError for what does not exist, DataError for a file that cannot be read.
    """
    horn = find_instrument(args.instrument) if args.instrument else None
    if args.against is not None:
        if args.pattern or args.deck:
            raise UsageError(AGAINST_ALONE)
        path = Path(args.against)
        regular(path, LARGEST)
        line = line_from(path, path.read_bytes(), horn)
        return line, None
    if (args.pattern is None) == (args.deck is None):
        raise UsageError(RUN_ASKED)
    args.what = args.pattern or args.deck
    found = chosen(args, house)
    return line_of(found, args.tempo, args.notes, args.swing)


def line_of(
    found: Chosen, tempo: float | None, notes: int, swing: str | None
) -> tuple[Line, float | None]:
    """The line of the runs chosen: one key, up or down or both.  Raises UsageError."""
    keys = {(choice.run.key, choice.run.pattern.id) for choice in found.choices}
    if len(keys) > 1:
        raise UsageError(one_run_told(len(keys)))
    deck = found.deck
    if tempo is None and deck is not None and deck.tempo:
        tempo = float(deck.tempo)
    if tempo is not None and not 20 <= tempo <= 400:
        raise UsageError(tempo_out(tempo))
    uneven = read_swing(swing or (str(deck.swing) if deck else "straight"))
    ratio = uneven.at(tempo or 120.0) if notes == 2 else 1.0
    places = tuple(_places(found))
    first = found.choices[0]
    horn = found.horn
    title = PLAIN.text(run_named(first.run, both=len(found.choices) > 1))
    shift = sounding_shift(first.run.key, first.concert, horn)[1]
    line = Line(
        title, places, shift, first.run.key, False, 60 / tempo / notes if tempo else None, ratio,
        notes, clef=horn.clef if horn else "treble",
    )  # fmt: skip
    return line, tempo


def _places(found: Chosen) -> list[LinePlace]:
    places: list[LinePlace] = []
    for choice, after in zip_longest(found.choices, found.choices[1:]):
        run, sounding = choice.run, found.sounding(choice)
        down = run.direction is Direction.DOWN
        square = None
        for index, (cell, pitches) in enumerate(zip(run.cells, sounding[:-1], strict=True)):
            item = item_of(run, index)
            square = item.key, item.shape
            for at, (note, pitch) in enumerate(zip(cell.notes, pitches, strict=True)):
                places.append(LinePlace(pitch, note, cell.label, at == 0, down, square))
        if not (found.joined and after is not None and runs_on(run, after.run)):
            places.append(LinePlace(sounding[-1][0], run.close, "", True, down, square))
    return places


def told_to_the_ear(
    line: Line, instrument: str | None, a4: float, first_beat_s: float | None = None
) -> Asked:
    """What the ear is told of a line and a horn; ``first_beat_s`` is where the first beat stands
    in the recording, None where nobody knows."""
    return line.asked(a4, beat0_s=first_beat_s, octaves_told=octaves_told(instrument))
