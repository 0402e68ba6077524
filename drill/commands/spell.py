"""``drill spell``: the runs of a pattern in any keys, on any horn."""

from __future__ import annotations

import argparse
from typing import Any

from drill.commands.giving import picked
from drill.commands.options import add_names, language_of
from drill.errors import ExitCode
from drill.opening.choosing import add_keys, pattern_choices
from drill.opening.tools import Tools
from drill.terms import Cell, Direction, Instrument, Key, Note, Run
from drill.theory.keys import sounding_shift
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.theory.scales import key_label
from drill.theory.spelling import moved_note
from drill.wording.remarks import remark_told
from drill.wording.voice import PLAIN, Voice

EXAMPLES = """\
examples:
  drill spell 1-2-3-1 --key G --down
  drill spell return3 --key all --instrument alto_sax
  drill spell thirds --concert-key Bb,Eb --instrument tenor_sax --span full
  drill spell Cm7
  drill spell V7 --key G
  drill spell "Dm7 G7 Cmaj7" --key all --lead
  drill spell chord-m7b5 --key F#
  drill spell 1-2-b3-5 --roots fourths
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The pattern, the keys, the horn, and how the run goes."""
    add = parser.add_argument
    add(
        "pattern",
        metavar="PATTERN|CELL|CHORDS",
        help="a pattern such as thirds, a cell: 1-2-3-1, or chords: Cm7, V7",
    )
    add_keys(parser)
    add("--down", action="store_true", help="the run coming down (else going up)")
    add("--joined", action="store_true", help="up and down from the same tonic")
    add("--json", action="store_true", help="as JSON")
    add_names(parser)


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the runs asked for.  Raises UsageError for what does not exist or does not fit."""
    language = language_of(args)
    direction = Direction.DOWN if args.down else Direction.UP
    found = pattern_choices(args, (direction,), joined=args.joined)
    if args.json:
        runs = [_object(each.run, each.concert, found.horn, language) for each in found.choices]
        tools.give({"runs": runs})
        return ExitCode.OK
    texts = [_text(each.run, each.concert, found.horn, language) for each in found.choices]
    tools.out.write("\n".join(texts))
    return ExitCode.OK


def _played(run: Run) -> list[Cell]:
    """The cells and, last, the held tonic."""
    degree = run.close_degree
    return [*run.cells, Cell(degree, str(degree), run.direction, (run.close,))]


def _object(run: Run, concert: Key, horn: Instrument | None, language: Language) -> dict[str, Any]:
    shift = sounding_shift(run.key, concert, horn)
    return {
        "tonic": str(run.key.tonic),
        "scale": run.key.scale,
        "written_key": key_label(run.key),
        "concert_key": key_label(concert),
        **picked(run, "instrument", pattern="pattern.id", cell="pattern.text"),
        **picked(run, descent="pattern.descent", ending="pattern.ending"),
        **picked(run, "span", "direction"),
        "cells": [_cell_object(cell, shift, language) for cell in _played(run)],
        "remarks": [PLAIN.text(remark_told(each, run)) for each in run.remarks],
    }


def _cell_object(cell: Cell, shift: tuple[int, int], language: Language) -> dict[str, Any]:
    sounding = [moved_note(note, *shift) for note in cell.notes]
    return {
        **picked(cell, "degree", "label", "symbol", "function"),
        "notes": [_shown(note, language) for note in cell.notes],
        "sounding": [_shown(note, language) for note in sounding],
        "midi": [note.midi for note in sounding],
    }


def _called(cell: Cell) -> str:
    """A chord by its function and symbol, another cell by its degree or root."""
    return f"{cell.function} {cell.symbol}".strip() or cell.label


def _shown(note: Note, language: Language) -> str:
    return f"{show_name(note.name, language)}{note.octave}"


def _text(run: Run, concert: Key, horn: Instrument | None, language: Language) -> str:
    head = f"{key_label(run.key)}, {run.pattern.called}, {run.direction.value}"
    alone = run.pattern.chords and not run.pattern.roots
    if alone:
        head = f"{run.cells[0].symbol}, {run.pattern.name}, {run.direction.value}"
    if horn is not None:
        head += f"; {horn.name}"
        if concert != run.key:
            head += f", sounds {concert.tonic if alone else key_label(concert)}"
    lines = [head]
    lines.extend(f"  ({Voice(language).text(remark_told(remark, run))})" for remark in run.remarks)
    wide = max(3, *(len(_called(cell)) for cell in run.cells))
    for cell in _played(run):
        notes = " ".join(f"{_shown(note, language):<4}" for note in cell.notes).rstrip()
        lines.append(f"  {_called(cell):>{wide}}  {notes}")
    return "\n".join(lines) + "\n"
