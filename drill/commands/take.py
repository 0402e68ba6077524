"""``drill take``: a recording of a run, checked note by note."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import UTC
from pathlib import Path
from typing import Any

from drill.commands.giving import need_spare, picked
from drill.commands.options import add_names
from drill.commands.take_log import keep_tempo, prepared, runs_of, tempo_of
from drill.decks.schema import Deck
from drill.errors import DataError, DrillError, ExitCode, UsageError
from drill.files import make_folder, write_whole
from drill.hearing.hear import hear, hear_events
from drill.hearing.line import Line
from drill.hearing.midifile import midi_events
from drill.hearing.values import Heard, HeardAs, NoteHeard
from drill.opening.asked_line import asked_line, told_to_the_ear
from drill.opening.choosing import add_directions, add_keys
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.practice.time.ontake import timing_of
from drill.reports.takepage import take_page
from drill.reports.takes import (
    LONGEST_SAID,
    MOST_LINES,
    TakeResult,
    TakeSquare,
    kept_takes,
    takes_text,
)
from drill.sound.capture import LARGEST, RATE, decoded, regular
from drill.theory.language import Language
from drill.wording.take import take_told
from drill.wording.taking import RESULT_KEPT
from drill.wording.timing import in_time_told
from drill.wording.voice import Voice

EXAMPLES = """\
examples:
  drill take monday.wav --pattern 1-2-3-1 --key G --instrument alto_sax
  drill take run.flac --pattern thirds --key Bb --instrument trumpet_bb --both
  drill take run.mp3 --deck tricky-keys-tenor --key E --html take.html
  drill take etude.wav --against etude.musicxml --instrument clarinet_bb
  drill take keyboard.mid --pattern 1-2-3-1 --key G --json
  drill take run.wav --pattern 1-2-3-1 --key G --instrument alto_sax \\
      --tempo next --log
  drill take new.wav --record --pattern 1-2-3-1 --key G --instrument alto_sax

A take is heard on this machine and sent nowhere. It was measured on takes made
from sampled instruments, not yet on people: what is said is no mark, no pass.
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The recording, the line it is held against, and how the result is shown."""
    add = parser.add_argument
    add("file", metavar="FILE", help="WAV, FLAC, MP3, Ogg Vorbis or MIDI; - is standard input")
    add("--pattern", metavar="PATTERN|CELL", help="the run's pattern, or its cell: 1-2-3-1")
    add("--deck", metavar="DECK", help="a deck; --key chooses among its runs")
    add("--against", metavar="LINE", help="another line: a MIDI file (as it sounds) or MusicXML")
    add_keys(parser)
    add_directions(parser)
    add("--tempo", type=tempo_of, metavar="N|next", help="beats a minute asked; next: see --log")
    add("--notes", type=int, default=2, choices=[1, 2, 3, 4], help="notes in a beat (default 2)")
    add("--swing", metavar="HOW", help="straight, soloist (by tempo), triplet, or a ratio: 1.6")
    add("--a4", metavar="HZ", help="the pitch of A above middle C, 430 to 450")
    add("--record", action="store_true", help="record the take into FILE first")
    add("--keep", action="store_true", help="with --record: keep the take without asking")
    add("--clicks", action="store_true", help="with --record: the click goes on after the count-in")
    add("--json", action="store_true", help="as JSON")
    add("--html", metavar="FILE", help="write the line with its marks, time and level as a page")
    add("--result", action="store_true", help="with --deck: keep what is said for its hand-in")
    add("--log", action="store_true", help="keep the tempo, locked in or not, as on the horn")
    add("--label", metavar="LABELS", help="count what was heard against a teacher's labels")
    add_names(parser)


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Say what was heard.  Raises UsageError and DataError with one line."""
    prepared(args, tools)
    line, tempo = asked_line(args, tools.house)
    settings = tools.settings(a4=args.a4, names=args.names)
    first_beat_s = None
    if args.record:
        from drill.commands.recording import record_take  # opens the microphone

        taking = record_take(args, tools, line, tempo, settings)
        if taking is None:
            return ExitCode.OK
        first_beat_s = taking.first_beat_s
    heard = _heard(args, tools, line, settings.a4, first_beat_s)
    told = said_of(line, heard, tempo, settings.names, kept=args.log)
    if args.log:
        told += keep_tempo(runs_of(args, tools), line, heard, tempo, tools, Voice(settings.names))
    if args.html is not None:
        page = take_page(line, heard, told, settings.names)
        if args.html == STDOUT:
            tools.out.write(page)
        else:
            need_spare(Path(args.html), args.file, args.against, args.label)
            write_whole(Path(args.html), page.encode())
            tools.say(f"written: {args.html}")
    if args.label is not None:
        from drill.commands.labels import counted

        told += counted(Path(args.label), line, heard)
    if args.result:
        keep_result(tools.house.deck(args.deck), line, heard, told, tools)
        tools.say(RESULT_KEPT)
    if args.json:
        tools.give(take_object(line, heard, told))
    elif args.html != STDOUT:
        tools.out.write("\n".join([f"{line.title}:", *told]) + "\n")
    return ExitCode.OK


def said_of(
    line: Line, heard: Heard, tempo: float | None, language: Language, *, kept: bool = False
) -> list[str]:
    """What is said of a take, a line each."""
    voice = Voice(language)
    told = [voice.text(said) for said in take_told(line, heard, tempo)]
    return told + in_time(line, heard, tempo, kept=kept)


def in_time(line: Line, heard: Heard, tempo: float | None, *, kept: bool = False) -> list[str]:
    """How the run was in time, judged as one that is typed; nothing without a tempo, and nothing
    where it was begun again.  ``kept`` where the log tells what is next."""
    timing = timing_of(line, heard)
    if tempo is None or timing is None:
        return []
    return [in_time_told(tempo, timing.outcome, kept)]


def keep_result(deck: Deck, line: Line, heard: Heard, told: Sequence[str], tools: Tools) -> None:
    """Keep the numbers and the sentences, and no sound, for the hand-in of the deck."""
    outcomes = [note.outcome for note in heard.notes]
    result = TakeResult(
        tools.now().astimezone(UTC).replace(microsecond=0),
        deck.fingerprint,
        line.title,
        len(outcomes),
        outcomes.count(HeardAs.RIGHT),
        outcomes.count(HeardAs.WRONG),
        tuple(each[:LONGEST_SAID] for each in told[:MOST_LINES]),
        _squares(line, heard),
    )
    path = tools.house.places.takes
    make_folder(path.parent)
    write_whole(path, takes_text((*kept_takes(path), result)).encode(), private=True)


def _squares(line: Line, heard: Heard) -> tuple[TakeSquare, ...]:
    """What was heard of each key and pattern."""
    found: dict[tuple[str, str], list[int]] = {}
    for place, note in zip(line.places, heard.notes, strict=True):
        if place.square:
            counts = found.setdefault(place.square, [0, 0])
            counts[0] += 1
            counts[1] += note.outcome is HeardAs.RIGHT
    return tuple(TakeSquare(*where, *counts) for where, counts in found.items())


def _heard(
    args: argparse.Namespace, tools: Tools, line: Line, a4: float, first_beat_s: float | None
) -> Heard:
    """The take as it was heard.  Raises UsageError, DataError."""
    horn = args.instrument
    if horn is None and args.deck is not None:
        horn = tools.house.deck(args.deck).instrument
    asked = told_to_the_ear(line, horn, a4, first_beat_s)
    data, name = _bytes(args.file, tools)
    if data[:4] == b"MThd":
        return hear_events(midi_events(data, name), asked)
    return hear(decoded(data, name), RATE, asked)


def _bytes(file: str, tools: Tools) -> tuple[bytes, str]:
    if file == STDOUT:
        stream = getattr(tools.source, "buffer", None)
        if stream is None:
            raise UsageError("there is nothing on standard input to hear")
        data = stream.read(LARGEST + 1)
        if not data:
            raise DataError("standard input is empty; expected a recording")
        if len(data) > LARGEST:
            raise DataError(f"standard input has more than {LARGEST / 1e6:.0f} MB")
        return data, "standard input"
    path = Path(file)
    regular(path)
    try:
        return path.read_bytes(), file
    except OSError as fault:
        raise DrillError(f"{file} cannot be read: {fault.strerror or fault}") from None


# JSON, with fields that stay.


def take_object(line: Line, heard: Heard, told: list[str]) -> dict[str, Any]:
    """A take as it is written: ``asked`` and ``heard`` are sounding MIDI numbers."""
    return {
        "notes": [_note(line, note) for note in heard.notes],
        "doubts": [
            {**_figures(each, at_s=3), **picked(each, "after", "kind")} for each in heard.doubts
        ],
        "restarts": list(heard.restarts),
        **_figures(heard, tune_cents=1, spread_ms=1, lead_ms=1, drift_percent=2, swing=2),
        **_figures(heard, shape_r=2, slurred_share=2),
        "say": told,
    }


def _note(line: Line, note: NoteHeard) -> dict[str, Any]:
    return {
        "index": note.index,
        "asked": line.places[note.index].pitch,
        "heard": note.heard,
        "verdict": note.outcome.value,
        **_figures(note, on_s=3, off_s=3, cents=1, db=1),
        "slurred": note.slurred,
    }


def _figures(value: object, **digits: int) -> dict[str, float | None]:
    """Figures of a value, each to so many decimals; None where it cannot be said."""
    found = {name: getattr(value, name) for name in digits}
    return {
        name: None if each is None else round(float(each), digits[name])
        for name, each in found.items()
    }
