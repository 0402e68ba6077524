"""``drill hear``: the runs of a pattern or deck, played or written to a file."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from drill.clock import monotonic, sleep
from drill.commands.giving import need_files_apart, need_spare
from drill.commands.options import add_names
from drill.decks.schema import Deck
from drill.errors import ExitCode, UsageError
from drill.files import write_whole
from drill.opening.choosing import Chosen, RunChoice, add_directions, add_keys, chosen, phrases
from drill.opening.saving import STDOUT, put
from drill.opening.tools import Tools
from drill.paper.midi import midi_bytes
from drill.paper.wav import wav_bytes
from drill.settings.at_hand import sound_environment
from drill.settings.values import Settings
from drill.sound.phrasing import TEMPO_HIGH, TEMPO_LOW, Manner, Phrase, phrase_take, read_swing
from drill.sound.player import Player
from drill.sound.spectra import Colour, colour_of
from drill.sound.take import SAX, Take, joined
from drill.terms import Contour, Note, Tonguing
from drill.theory.language import Language
from drill.theory.metre import FOUR, Metre, Metronome, read_click, read_metre
from drill.theory.names import show_name
from drill.theory.scales import key_label
from drill.wording.options import ONE_TO_STDOUT
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
MOST_TIMES = 100
PATIENCE_S = 60.0
"""How long the rendering of a long take may last: nobody types meanwhile."""
WATCH_S = 0.02


def arguments(parser: argparse.ArgumentParser) -> None:
    """What is heard, how it is played, and where it goes."""
    add = parser.add_argument
    add("what", metavar="PATTERN|DECK", help="a pattern, a cell such as 1-2-3-1, or a deck")
    add_keys(parser)
    add_directions(parser)
    add("--tempo", type=float, metavar="N", help=f"beats a minute (else the deck's, or {TEMPO})")
    add(
        "--notes",
        type=int,
        default=0,
        metavar="N",
        help="notes in a beat, 1 to 4 (else 2; 3 in compound metres)",
    )
    add("--swing", metavar="HOW", help="straight, soloist (by tempo), triplet, or a ratio: 1.6")
    add("--articulation", choices=[each.value for each in Tonguing], help="how it is tongued")
    add("--shape", choices=[each.value for each in Contour], help="how loudness moves")
    add("--bars", action="store_true", help="each cell begins a bar")
    add("--metre", metavar="M", help="2/4 to 7/4, 2/2, 3/8, 5/8, 6/8, 7/8, 9/8, 12/8 (else 4/4)")
    add(
        "--count-in",
        type=int,
        nargs="?",
        const=1,
        default=0,
        metavar="BARS",
        help="bars of clicks first: 1 (where no number is given) or 2",
    )
    add("--pickup", type=int, default=0, metavar="N", help="notes before the first bar line")
    add(
        "--clicks",
        metavar="WHICH",
        help="all, 2-and-4, gaps:2:1 (bars of click, of silence) or growing:2",
    )
    add("--times", type=int, default=1, metavar="N", help="how often; 0 goes on until ctrl+c")
    add("--rise", type=int, default=0, metavar="N", help="beats a minute faster each time")
    add("--subdivide", action="store_true", help="clicks between the beats too")
    add("--a4", metavar="HZ", help="the pitch of A above middle C, 430 to 450")
    add("--volume", metavar="V", help="0 to 1")
    add("--seed", type=int, default=0, metavar="N", help="draws the slurs of --articulation random")
    add("--wav", metavar="FILE", help="write a WAV file in place of playing; - is standard output")
    add("--midi", metavar="FILE", help="write a Standard MIDI File in place of playing; or -")
    add_names(parser)


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Play the runs, or write them.  Raises UsageError for what does not exist or does not fit."""
    settings = tools.settings(said=True, a4=args.a4, volume=args.volume, names=args.names)
    found = chosen(args, tools.house)
    manner = manner_of(args, settings, found.deck)
    horn = found.horn
    if not 0 <= args.times <= MOST_TIMES:
        raise UsageError(f"--times is {args.times}; expected 0 to {MOST_TIMES}")
    colour = colour_of(horn.program if horn else SAX)
    turns = takes(phrases(found), manner, colour, args.times, args.rise)
    files = [name for name in (args.wav, args.midi) if name is not None]
    if files == [STDOUT, STDOUT]:
        raise UsageError(ONE_TO_STDOUT)
    need_files_apart(*files)
    tell = tools.say if STDOUT in files else lambda text: print(text, file=tools.out, flush=True)
    for text in told(found, manner, settings.names):
        tell(text)
    if files:
        if args.times == 0:
            raise UsageError("--times 0 never ends: name how often for a file")
        take = joined(tuple(turns))
        if args.wav is not None:
            _write(args.wav, wav_bytes(take), tools, tell)
        if args.midi is not None:
            program, metre = horn.program if horn else 0, metre_of(args, found.deck)
            _write(args.midi, midi_bytes(take, program, args.what, played_in=metre), tools, tell)
        return ExitCode.OK
    environment = sound_environment(settings.backend, tools.environment)
    player = Player(
        monotonic, environment=environment, patience_s=PATIENCE_S, start_patience_s=PATIENCE_S
    )
    if args.times and args.rise:
        turns = iter((joined(tuple(turns)),))
    return play_all(player, turns, tools.say, sleep)


def play_all(
    player: Player,
    takes: Iterable[Take],
    say: Callable[[str], None],
    wait: Callable[[float], None],
) -> ExitCode:
    """Play takes one after the other, then close the player; 1 with one notice where none sounds.

    Ctrl+c is silence at once.
    """
    code = ExitCode.OK
    try:
        for take in takes:
            code = _played(player, take, say, wait)
            if code is not ExitCode.OK:
                break
    finally:
        player.stop()
        player.close()
    return code


def _played(
    player: Player, take: Take, say: Callable[[str], None], wait: Callable[[float], None]
) -> ExitCode:
    player.play(take, stale_s=0)
    while not (player.idle or player.failed):
        wait(WATCH_S)
    notice = player.poll()
    if notice or player.beginning is None:
        # There is no drill here that could go on.
        text = (notice or "No sound: the output did not begin.").partition(" The drill")[0]
        say(text.partition(" Sound comes back")[0])
        return ExitCode.FAILURE
    if player.beginning.slipped_s:
        say(f"the sound fell behind by {player.beginning.slipped_s * 1000:.0f} ms: too busy")
    return ExitCode.OK


# How it is played.


def manner_of(args: argparse.Namespace, settings: Settings, deck: Deck | None) -> Manner:
    """How the runs are played: as the command says, else as the deck does.  Raises UsageError."""
    tempo = args.tempo if args.tempo is not None else (deck.tempo if deck else None)
    swing = args.swing or (str(deck.swing) if deck else "straight")
    tonguing = args.articulation or (deck.articulation.value if deck else Tonguing.SLURRED)
    shape = args.shape or (deck.contour.value if deck else Contour.RISE_AND_FALL)
    metre = metre_of(args, deck)
    if args.count_in not in (0, 1, 2):
        raise UsageError(f"--count-in is {args.count_in}; expected 1 or 2 bars")
    return Manner(
        bpm=float(TEMPO if tempo is None else tempo),
        notes_per_beat=args.notes or metre.parts,
        swing=read_swing(swing),
        tonguing=Tonguing(tonguing),
        contour=Contour(shape),
        seed=args.seed,
        cell_per_bar=args.bars,
        count_in_bars=args.count_in,
        beats_per_bar=metre.beats,
        accents=metre.accents,
        pickup_notes=args.pickup,
        click=metronome(args.clicks, args.notes or metre.parts, args.subdivide),
        volume=settings.volume,
        a4=settings.a4,
        room=settings.room,
    )


def metre_of(args: argparse.Namespace, deck: Deck | None) -> Metre:
    """The metre as the command says, else the deck's, else four quarters.  Raises UsageError."""
    return read_metre(args.metre or (deck.metre if deck else FOUR.text))


def metronome(clicks: str | None, parts: int, subdivide: bool) -> Metronome | None:
    """The metronome for the words of ``--clicks``; None for none.  Raises UsageError."""
    if clicks is None and not subdivide:
        return None
    return read_click(clicks or "all", parts if subdivide else 1)


def takes(
    runs: tuple[Phrase, ...], manner: Manner, colour: Colour, times: int, rise: int
) -> Iterator[Take]:
    """What is heard, one take after the other: the runs so many times (0: for ever), each time
    so many beats a minute faster, up to the fastest."""
    if times and not rise:
        yield phrase_take(runs * times, manner, colour)
        return
    turn = 0
    while times == 0 or turn < times:
        bpm = min(float(TEMPO_HIGH), max(float(TEMPO_LOW), manner.bpm + rise * turn))
        yield phrase_take(runs, replace(manner, bpm=bpm), colour)
        turn += 1


# What is said and written.


def told(found: Chosen, manner: Manner, language: Language) -> list[str]:
    """What is played, a line for each run and one for the manner."""
    lines = [_line(choice, found, language) for choice in found.choices]
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


def _line(choice: RunChoice, found: Chosen, language: Language) -> str:
    def names(notes: Iterable[Note]) -> str:
        return " ".join(show_name(note.name, language) for note in notes)

    run = choice.run
    head = f"{key_label(run.key)}, {run.pattern.called}, {run.direction.value}"
    if found.horn is not None:
        head += f"; {found.horn.name}, sounds {key_label(choice.concert)}"
    cells = " | ".join(names(cell.notes) for cell in run.cells)
    return f"{head}: {cells} | {names((run.close,))}"


def _write(name: str, data: bytes, tools: Tools, tell: Callable[[str], None]) -> None:
    """Write a file whole, or nothing of it.  Raises DrillError."""
    if name == STDOUT:
        put(tools.out, data)
        return
    need_spare(Path(name))
    write_whole(Path(name), data)
    tell(f"written: {name}")
