"""``drill sheet``: the engraved page of a deck or pattern, a worksheet, and files for other
programs."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from drill.commands.options import add_names, language_of
from drill.decks.schema import Swing
from drill.errors import ExitCode, UsageError
from drill.opening.choosing import Chosen, add_directions, add_keys, chosen, phrases, swing_of
from drill.opening.saving import STDOUT, put
from drill.opening.tools import Tools
from drill.shown import code_point, first_harmful

if TYPE_CHECKING:
    from drill.paper.score import Score
    from drill.terms import Tonguing

EXAMPLES = """\
examples:
  drill sheet 1-2-3-1 --key all --instrument alto_sax --pdf cells.pdf
  drill sheet thirds --concert-key Bb,Eb --instrument tenor_sax --pdf thirds.pdf
  drill sheet first-year --worksheet --pdf worksheet.pdf
  drill sheet return3 --key G,D --articulation two-and-two --musicxml g.musicxml
  drill sheet thirds.toml --pdf thirds.pdf     the deck, not the pattern thirds
"""

ARTICULATIONS = (
    "none", "slurred", "tongued", "tenuto", "staccato", "staccatissimo", "portato", "accent",
    "marcato", "first-accented", "two-and-two", "one-and-three", "three-and-one", "random",
)  # fmt: skip
"""The sound room's words, and none."""
SLOWEST, FASTEST = 20, 400
BPM = 100
"""The tempo of a MIDI file where none is asked for."""
LONGEST_LINE = 200
"""Characters of a title or name."""
LONGEST_NOTE = 4000


def arguments(parser: argparse.ArgumentParser) -> None:
    """What is printed, how it looks, and the files."""
    add = parser.add_argument
    add("what", metavar="DECK|PATTERN|CELL", help="a deck, a pattern such as thirds, or a cell")
    add_keys(parser)
    add_directions(parser)
    add("--joined", action="store_true", help="up and down as one run, the top tonic once")
    look = parser.add_argument_group("the page")
    add = look.add_argument
    add("--title", metavar="TEXT", help="the title (default the deck's, or the pattern's)")
    add("--note", metavar="TEXT", help="a note to the student (default the deck's)")
    add("--teacher", metavar="NAME", help="the teacher's name under the note")
    add("--articulation", choices=ARTICULATIONS, help="slurs and marks (default as the deck says)")
    add("--dynamics", action="store_true", help="louder going up, softer coming down")
    add("--tempo", type=_tempo, metavar="BPM", help="quarter notes a minute, 20 to 400")
    add("--degrees", action="store_true", help="the degree above each cell")
    add("--seed", type=int, default=0, metavar="N", help="for --articulation random")
    add("--paper", choices=("a4", "letter"), default="a4", help="the paper (default a4)")
    add("--worksheet", action="store_true", help="cells left open, to be filled in")
    add(
        "--given",
        choices=("first", "every-other", "none"),
        help="worksheet: the cells that are printed (default first, of each run)",
    )
    add(
        "--answers",
        action=argparse.BooleanOptionalAction,
        help="worksheet: with an answer page at the end, or without (default with)",
    )
    add_names(parser)
    files = parser.add_argument_group("files (one at least; - is standard output)")
    add = files.add_argument
    add("--pdf", metavar="FILE", help="the engraved page")
    add("--svg", metavar="FILE", help="the same as pictures: FILE, or FILE-1, FILE-2 ..")
    add("--musicxml", metavar="FILE", help="the music for notation programs (MusicXML 4.0)")
    add("--midi", metavar="FILE", help="the music as it sounds")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Make every file asked for, then write them.  Raises DrillError."""
    _check(args)
    if args.pdf or args.svg:
        from drill.paper.engrave import need_engraver

        need_engraver()  # before the work, which it would be in vain
    engine = tools.house.engine()
    found = chosen(args, tools.house, engine)
    for remark in found.remarks:
        tools.say(remark)
    from drill.files import write_whole

    files = list(_files(args, found))
    for path, data in files:
        if str(path) == STDOUT:
            put(tools.out, data)
            continue
        write_whole(path, data)
        tools.say(f"wrote {path}")
    return ExitCode.OK


def _tempo(text: str) -> int:
    if text.isdecimal() and SLOWEST <= int(text) <= FASTEST:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a number from {SLOWEST} to {FASTEST}")


def _check(args: argparse.Namespace) -> None:
    """Raises UsageError for options that do not go together and for text that cannot be printed."""
    if not (args.pdf or args.svg or args.musicxml or args.midi):
        raise UsageError("say which file to write: --pdf, --svg, --musicxml or --midi FILE")
    if (args.pdf, args.svg, args.musicxml, args.midi).count(STDOUT) > 1:
        raise UsageError("only one file can go to standard output")
    for option in ("given", "answers"):
        if getattr(args, option) is not None and not args.worksheet:
            raise UsageError(f"--{option} goes with --worksheet")
    for option, longest, allowed in (
        ("title", LONGEST_LINE, ""),
        ("teacher", LONGEST_LINE, ""),
        ("note", LONGEST_NOTE, "\n"),
    ):
        text = getattr(args, option) or ""
        if (harm := first_harmful(text, allowed)) is not None:
            raise UsageError(f"--{option} has a control character, {code_point(harm)}")
        if len(text) > longest:
            raise UsageError(f"--{option} is longer than {longest} characters")


def _files(args: argparse.Namespace, found: Chosen) -> Iterator[tuple[Path, bytes]]:
    """Every file asked for, ready to be written."""
    score = _score(args, found)
    if args.pdf or args.svg:
        from drill.paper.engrave import Engraver

        engraver = Engraver(args.paper)
        if args.pdf:
            yield Path(args.pdf), engraver.pdf(score)
        if args.svg:
            yield from _numbered(Path(args.svg), engraver.svg(score))
    if args.musicxml:
        from drill.paper.musicxml import musicxml_bytes

        yield Path(args.musicxml), musicxml_bytes(score)
    if args.midi:
        yield Path(args.midi), _midi(args, found, score.title)


def _numbered(path: Path, pages: tuple[bytes, ...]) -> Iterator[tuple[Path, bytes]]:
    """The file as it stands for one page; numbered files for more."""
    if len(pages) == 1:
        yield path, pages[0]
        return
    if str(path) == STDOUT:
        raise UsageError(f"the sheet has {len(pages)} pages: standard output takes one picture")
    if path.name == STDOUT:
        raise UsageError("the sheet has several pages: name a file for --svg")
    for number, page in enumerate(pages, 1):
        yield path.with_name(f"{path.stem}-{number}{path.suffix}"), page


def _score(args: argparse.Namespace, found: Chosen) -> Score:
    """The sheet as asked for."""
    from drill.paper.engrave import line_spaces
    from drill.paper.layout import Given, Style, sections
    from drill.paper.score import Score

    deck = found.deck
    style = Style(
        tonguing=_tonguing(args, found),
        dynamics=args.dynamics,
        joined=found.joined,
        degrees=args.degrees,
        asked=deck.degrees if deck else (),
        seed=args.seed,
        language=language_of(args),
        line=line_spaces(args.paper),
    )
    pairs = [(choice.run, choice.concert) for choice in found.choices]
    full = sections(pairs, found.horn, style)
    printed = full
    if args.worksheet:
        line = line_spaces(args.paper, by_hand=True)
        open_ = replace(style, given=Given(args.given or "first"), line=line)
        printed = sections(pairs, found.horn, open_)
    patterns = {section.group for section in full}
    only = full[0].group if len(patterns) == 1 else ""
    title = args.title or (deck.title if deck else only)
    return Score(
        title,
        found.horn,
        printed,
        _subtitle(args, found, "" if title == only else only),
        (args.note if args.note is not None else deck.note if deck else "").strip(),
        args.teacher or "",
        args.worksheet,
        full if args.worksheet and args.answers is not False else (),
        _bpm(args, found),
    )


def _bpm(args: argparse.Namespace, found: Chosen) -> int | None:
    return args.tempo or (found.deck.tempo if found.deck else None)


def _tonguing(args: argparse.Namespace, found: Chosen) -> Tonguing | None:
    """The articulation that is printed.

    A deck's own is, unless it is the plain slur that it has without being asked.
    """
    from drill.terms import Tonguing

    if args.articulation:
        return None if args.articulation == "none" else Tonguing(args.articulation)
    if found.deck is None or found.deck.articulation.value == Tonguing.SLURRED.value:
        return None
    return found.deck.articulation


def _subtitle(args: argparse.Namespace, found: Chosen, pattern: str) -> str:
    """Horn, pattern, tempo and swing, as far as there is something to say."""
    horn = re.sub(r"\b([A-G]+)b\b", r"\1♭", found.horn.name) if found.horn else ""
    bpm = _bpm(args, found)
    tempo = f"{bpm} beats a minute" if bpm else ""
    swing = ""
    if found.deck and found.deck.swing is not Swing.STRAIGHT:
        ratio = found.deck.swing
        swing = "swing" if isinstance(ratio, Swing) else f"swing {ratio:g}:1"
    return " · ".join(part for part in (horn, pattern, tempo, swing) if part)


def _midi(args: argparse.Namespace, found: Chosen, title: str) -> bytes:
    """The runs one after the other, at concert pitch."""
    from drill.paper.midi import midi_bytes
    from drill.sound.phrasing import STRAIGHT, Manner, phrase_take
    from drill.terms import Contour, Tonguing

    tonguing = _tonguing(args, found)
    if tonguing is None:
        tonguing = found.deck.articulation if found.deck else Tonguing.TONGUED
    manner = Manner(
        bpm=float(_bpm(args, found) or BPM),
        swing=swing_of(found.deck) if found.deck else STRAIGHT,
        tonguing=tonguing,
        contour=Contour.RISE_AND_FALL if args.dynamics else Contour.LEVEL,
        seed=args.seed,
    )
    take = phrase_take(phrases(found), manner)
    return midi_bytes(take, found.horn.program if found.horn else 0, title)
