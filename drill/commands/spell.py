"""``drill spell``: the runs of a pattern in any keys, on any horn."""

from __future__ import annotations

import argparse
import json
from dataclasses import replace
from typing import Any

from drill.commands.options import add_names, language_of
from drill.commands.tools import Tools
from drill.errors import ExitCode, UsageError
from drill.terms import (
    Cell,
    Descent,
    Direction,
    Ending,
    Instrument,
    Key,
    Mode,
    Note,
    Pattern,
    Run,
    Span,
)
from drill.theory.instruments import find_instrument
from drill.theory.keys import concert_key, sounding_shift, written_key
from drill.theory.names import Language, show_name
from drill.theory.patterns import ROOT_ORDERS, find_pattern
from drill.theory.runs import build_run, limits_of
from drill.theory.scales import find_scale, key_label, parse_key, tonics
from drill.theory.spelling import moved_note

EXAMPLES = """\
examples:
  drill spell 1-2-3-1 --key G --down
  drill spell return3 --key all --instrument alto_sax
  drill spell thirds --concert-key Bb,Eb --instrument tenor_sax --span full
  drill spell chord-m7b5 --key F#
  drill spell 1-2-b3-5 --roots fourths
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The pattern, the keys, the horn, and how the run goes."""
    add = parser.add_argument
    add("pattern", metavar="PATTERN|CELL", help="a pattern such as thirds, or a cell: 1-2-3-1")
    add("--scale", default="major", metavar="ID", help="the scale (default major)")
    add("--key", default="C", metavar="K[,K]|all", help="written keys (default C)")
    add("--concert-key", metavar="K[,K]|all", help="concert keys, in place of written ones")
    add("--instrument", metavar="ID", help="the horn; without one nothing limits the range")
    add("--down", action="store_true", help="the run coming down (else going up)")
    add("--step", type=int, metavar="N", help="steps from one start to the next, 1 to 7")
    add("--descent", choices=[each.value for each in Descent], help="how it comes down")
    add("--ending", choices=[each.value for each in Ending], help="what it does at the octave")
    add("--span", default="1", choices=[each.value for each in Span], help="how far it goes")
    add("--roots", choices=list(ROOT_ORDERS), help="root mode: how the root moves")
    add("--extended", action="store_true", help="the horn's extended range")
    add("--joined", action="store_true", help="up and down from the same tonic")
    add("--json", action="store_true", help="as JSON")
    add_names(parser)


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the runs asked for.  Raises UsageError for what does not exist or does not fit."""
    engine, out = tools.house.engine(), tools.out
    language = language_of(args)
    horn = find_instrument(args.instrument) if args.instrument else None
    scale = find_scale(args.scale).id
    pattern = _pattern(args)
    direction = Direction.DOWN if args.down else Direction.UP
    found = []
    for written, concert in _keys(args, scale, horn):
        made = build_run(
            engine,
            written,
            pattern,
            direction,
            span=Span(args.span),
            horn=horn,
            limits=limits_of(horn, extended=args.extended),
            joined=args.joined,
        )
        found.append((made, concert))
    engine.save()
    if args.json:
        runs = [_object(made, concert, horn, language) for made, concert in found]
        json.dump({"runs": runs}, out, ensure_ascii=False)
        out.write("\n")
        return ExitCode.OK
    out.write("\n".join(_text(made, concert, horn, language) for made, concert in found))
    return ExitCode.OK


def _pattern(args: argparse.Namespace) -> Pattern:
    pattern = find_pattern(args.pattern)
    if args.step is not None:
        if not 1 <= args.step <= 7:
            raise UsageError(f"the start moves by 1 to 7 steps, not {args.step}")
        pattern = replace(pattern, moves_by=args.step)
    if args.descent:
        pattern = replace(pattern, descent=Descent(args.descent))
    if args.ending:
        pattern = replace(pattern, ending=Ending(args.ending))
    if args.roots:
        if pattern.mode is Mode.KEY:
            pattern = replace(pattern, mode=Mode.ROOT, descent=Descent.RETROGRADE)
        pattern = replace(pattern, roots=ROOT_ORDERS[args.roots])
    return pattern


def _keys(args: argparse.Namespace, scale: str, horn: Instrument | None) -> list[tuple[Key, Key]]:
    """Written and concert key of each run asked for."""
    if args.concert_key:
        concert = _listed(args.concert_key, scale)
        return [(written_key(key, horn), key) for key in concert]
    return [(key, concert_key(key, horn)) for key in _listed(args.key, scale)]


def _listed(text: str, scale: str) -> list[Key]:
    if text.strip().casefold() == "all":
        return [Key(tonic, scale) for tonic in tonics(scale)]
    return [parse_key(part, scale) for part in text.split(",")]


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
        "instrument": run.instrument,
        "pattern": run.pattern.id,
        "cell": run.pattern.text,
        "descent": run.pattern.descent.value,
        "ending": run.pattern.ending.value,
        "span": run.span.value,
        "direction": run.direction.value,
        "cells": [_cell_object(cell, shift, language) for cell in _played(run)],
        "remarks": list(run.remarks),
    }


def _cell_object(cell: Cell, shift: tuple[int, int], language: Language) -> dict[str, Any]:
    sounding = [moved_note(note, *shift) for note in cell.notes]
    return {
        "degree": cell.degree,
        "label": cell.label,
        "notes": [_shown(note, language) for note in cell.notes],
        "sounding": [_shown(note, language) for note in sounding],
        "midi": [note.midi for note in sounding],
    }


def _shown(note: Note, language: Language) -> str:
    return f"{show_name(note.name, language)}{note.octave}"


def _text(run: Run, concert: Key, horn: Instrument | None, language: Language) -> str:
    head = f"{key_label(run.key)}, {run.pattern.text}, {run.direction.value}"
    if horn is not None:
        head += f"; {horn.name}"
        if concert != run.key:
            head += f", sounds {key_label(concert)}"
    lines = [head]
    lines.extend(f"  ({remark})" for remark in run.remarks)
    for cell in _played(run):
        notes = " ".join(f"{_shown(note, language):<4}" for note in cell.notes).rstrip()
        lines.append(f"  {cell.label:>3}  {notes}")
    return "\n".join(lines) + "\n"
