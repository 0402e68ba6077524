"""``drill hear``: the runs of a pattern or deck, played or written to a file."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

from drill.clock import monotonic, sleep
from drill.commands.options import add_names
from drill.decks.schema import Deck
from drill.errors import ExitCode, UsageError
from drill.files import write_whole
from drill.opening.choosing import Choice, Chosen, add_directions, add_keys, chosen
from drill.opening.saving import STDOUT, put
from drill.opening.tools import Tools
from drill.paper.midi import midi_bytes
from drill.paper.wav import wav_bytes
from drill.settings.at_hand import sound_environment
from drill.settings.load import load
from drill.settings.values import Settings
from drill.sound.metronome import Metronome
from drill.sound.phrasing import Manner, Phrase, phrase_take, read_swing
from drill.sound.player import Player
from drill.sound.take import SAX, Take
from drill.sound.tone import colour_of
from drill.terms import Contour, Note, Tonguing
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.theory.scales import key_label
from drill.wording.remarks import remark_told
from drill.wording.voice import Voice

EXAMPLES = """\
examples:
  drill hear 1-2-3-1 --key G --instrument alto_sax --tempo 72 --clicks all
  drill hear thirds --key Bb --both --articulation two-and-two --swing soloist
  drill hear tricky-keys-tenor --clicks 2-and-4 --subdivide
  drill hear 1-2-3-5 --key all --up --clicks gaps:2:2 --tempo 60
  drill hear 1-2-3-1 --key E --wav run.wav --midi run.mid
"""

TEMPO = 80
"""Beats a minute where neither the command nor the deck says."""
PATIENCE_S = 60.0
"""How long the rendering of a long take may last: nobody types meanwhile."""
WATCH_S = 0.02


def arguments(parser: argparse.ArgumentParser) -> None:
    """What is heard, how it is played, and where it goes."""
    add = parser.add_argument
    add("what", metavar="PATTERN|DECK", help="a pattern, a cell such as 1-2-3-1, or a deck")
    add_keys(parser)
    add_directions(parser)
    add("--joined", action="store_true", help="up and down as one run, the top tonic once")
    add("--tempo", type=float, metavar="N", help=f"beats a minute (else the deck's, or {TEMPO})")
    add(
        "--notes",
        type=int,
        default=2,
        metavar="N",
        help="notes in a beat: 1 quarters, 2 eighths (the default), 3 triplets, 4 sixteenths",
    )
    add("--swing", metavar="HOW", help="straight, soloist (by tempo), triplet, or a ratio: 1.6")
    add("--articulation", choices=[each.value for each in Tonguing], help="how it is tongued")
    add("--shape", choices=[each.value for each in Contour], help="how loudness moves")
    add("--bars", action="store_true", help="each cell begins a bar")
    add("--count-in", action="store_true", help="a bar of clicks first")
    add("--clicks", metavar="WHICH", help="all, 2-and-4, or gaps:2:1 (bars of click, of silence)")
    add("--subdivide", action="store_true", help="clicks between the beats too")
    add("--a4", metavar="HZ", help="the pitch of A above middle C, 430 to 450")
    add("--volume", metavar="V", help="0 to 1")
    add("--seed", type=int, default=0, metavar="N", help="draws the slurs of --articulation random")
    add("--wav", metavar="FILE", help="write a WAV file in place of playing; - is standard output")
    add("--midi", metavar="FILE", help="write a Standard MIDI File in place of playing; or -")
    add_names(parser)


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Play the runs, or write them.  Raises UsageError for what does not exist or does not fit."""
    settings = _settings(args, tools)
    found = _found(args, tools)
    manner = manner_of(args, settings, found.deck)
    horn = found.horn
    take = phrase_take(phrases(found), manner, colour_of(horn.program if horn else SAX))
    files = [name for name in (args.wav, args.midi) if name is not None]
    if files == [STDOUT, STDOUT]:
        raise UsageError("only one file can go to standard output")
    tell = tools.say if STDOUT in files else lambda text: print(text, file=tools.out, flush=True)
    for text in told(found, manner, settings.names):
        tell(text)
    if files:
        title = f"{args.what}"
        program = horn.program if horn else 0
        _write(args.wav, lambda: wav_bytes(take), tools, tell)
        _write(args.midi, lambda: midi_bytes(take, program, title), tools, tell)
        return ExitCode.OK
    environment = sound_environment(settings.backend, tools.environment)
    player = Player(
        monotonic, environment=environment, patience_s=PATIENCE_S, start_patience_s=PATIENCE_S
    )
    return play_through(player, take, tools.say, sleep)


def play_through(
    player: Player, take: Take, say: Callable[[str], None], wait: Callable[[float], None]
) -> ExitCode:
    """Play a take to its end, then close the player; 1 with one notice where it makes no sound.

    Ctrl+c is silence at once.
    """
    try:
        player.play(take, stale_s=0)
        while not (player.idle or player.failed):
            wait(WATCH_S)
    finally:
        player.stop()
        player.close()
    notice = player.poll()
    if notice or player.beginning is None:
        # There is no drill here that could go on.
        say((notice or "No sound: the output did not begin.").partition(" The drill")[0])
        return ExitCode.FAILURE
    return ExitCode.OK


def _settings(args: argparse.Namespace, tools: Tools) -> Settings:
    flags = {"a4": args.a4, "volume": args.volume, "names": args.names}
    loaded = load(tools.house.places, tools.environment, flags, Path())
    for fault in loaded.faults:
        tools.say(str(fault))
    return loaded.settings


def _found(args: argparse.Namespace, tools: Tools) -> Chosen:
    engine = tools.house.engine()
    return chosen(args, tools.house, engine)


# How it is played.


def manner_of(args: argparse.Namespace, settings: Settings, deck: Deck | None) -> Manner:
    """How the runs are played: as the command says, else as the deck does.  Raises UsageError."""
    tempo = args.tempo if args.tempo is not None else (deck.tempo if deck else None)
    swing = args.swing or (str(deck.swing) if deck else "straight")
    tonguing = args.articulation or (deck.articulation.value if deck else Tonguing.SLURRED)
    shape = args.shape or (deck.contour.value if deck else Contour.RISE_AND_FALL)
    return Manner(
        bpm=float(TEMPO if tempo is None else tempo),
        notes_per_beat=args.notes,
        swing=read_swing(swing),
        tonguing=Tonguing(tonguing),
        contour=Contour(shape),
        seed=args.seed,
        cell_per_bar=args.bars,
        count_in_bars=int(args.count_in),
        click=metronome(args.clicks, args.notes if args.subdivide else 1, args.subdivide),
        volume=settings.volume,
        a4=settings.a4,
        room=settings.room,
    )


def metronome(clicks: str | None, notes: int, subdivide: bool) -> Metronome | None:
    """The metronome for the words of ``--clicks``; None for none.  Raises UsageError."""
    if clicks is None and not subdivide:
        return None
    division = max(2, notes) if subdivide else 1
    word, *numbers = (clicks or "all").strip().lower().split(":")
    if word == "all" and not numbers:
        return Metronome(division=division)
    if word in ("2-and-4", "2+4") and not numbers:
        return Metronome(division=division, beats=(2, 4))
    bars = numbers or ["2", "1"]
    if word == "gaps" and len(bars) == 2 and all(each.isdecimal() for each in bars):
        sounding, silent = map(int, bars)
        if 1 <= sounding <= 64 and 1 <= silent <= 64:
            return Metronome(division=division, sounding_bars=sounding, silent_bars=silent)
    raise UsageError(
        f"--clicks is {clicks!r}; expected all, 2-and-4, or gaps with bars of click and of "
        "silence, 1 to 64: gaps:2:1"
    )


def phrases(found: Chosen) -> tuple[Phrase, ...]:
    """The runs as they sound; in joined ones the top tonic is played once."""
    made = []
    for choice, after in zip_longest(found.choices, found.choices[1:]):
        *cells, (close,) = found.sounding(choice)
        first = found.sounding(after)[0][0] if after else None
        goes_on = found.joined and after and after.run.key == choice.run.key and first == close
        turns = goes_on and after.run.direction is not choice.run.direction
        made.append(Phrase(tuple(cells), choice.run.direction, None if turns else close))
    return tuple(made)


# What is said and written.


@dataclass(frozen=True, slots=True)
class _Names:
    language: Language

    def notes(self, notes: tuple[Note, ...]) -> str:
        return " ".join(show_name(note.name, self.language) for note in notes)


def told(found: Chosen, manner: Manner, language: Language) -> list[str]:
    """What is played, a line for each run and one for the manner."""
    lines = [_line(choice, found, _Names(language)) for choice in found.choices]
    remarks = found.remarks or dict.fromkeys(
        remark_told(remark, each.run) for each in found.choices for remark in each.run.remarks
    )
    lines.extend(f"note: {Voice(language).text(remark)}" for remark in remarks)
    ratio = manner.swing.at(manner.bpm)
    swing = "straight" if ratio == 1 or manner.notes_per_beat != 2 else f"swing {ratio:.2f} to 1"
    lines.append(
        f"tempo {manner.bpm:g}, {manner.notes_per_beat} to a beat, {swing}, "
        f"{manner.tonguing.value}, {manner.contour.value}; A4 = {manner.a4:g} Hz"
    )
    return lines


def _line(choice: Choice, found: Chosen, names: _Names) -> str:
    run = choice.run
    head = f"{key_label(run.key)}, {run.pattern.called}, {run.direction.value}"
    if found.horn is not None:
        head += f"; {found.horn.name}, sounds {key_label(choice.concert)}"
    cells = " | ".join(names.notes(cell.notes) for cell in run.cells)
    return f"{head}: {cells} | {names.notes((run.close,))}"


def _write(
    name: str | None, data: Callable[[], bytes], tools: Tools, tell: Callable[[str], None]
) -> None:
    """Write a file whole, or nothing of it.  Raises DrillError."""
    if name is None:
        return
    if name != STDOUT:
        write_whole(Path(name), data())
        tell(f"written: {name}")
        return
    put(tools.out, data())
