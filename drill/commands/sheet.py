"""``drill sheet``: the engraved page of a deck or pattern, a worksheet, and files for other
programs."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from drill.commands.giving import need_files_apart, need_spare
from drill.commands.options import add_names, add_replace, language_of, need_plain, whole
from drill.decks.schema import Swing
from drill.errors import ExitCode, TakenError, UsageError
from drill.opening.choosing import Chosen, add_directions, add_keys, chosen, phrases, swing_of
from drill.opening.saving import STDOUT, put
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording import options
from drill.wording.remedies import Remedy
from drill.wording.sentence import horn
from drill.wording.voice import PLAIN, Script, Voice

if TYPE_CHECKING:
    from drill.paper.score import Score, Section
    from drill.terms import Tonguing

EXAMPLES = """\
examples:
  drill sheet 1-2-3-1 --key all --instrument alto_sax --pdf cells.pdf
  drill sheet thirds --concert-key Bb,Eb --instrument tenor_sax --pdf thirds.pdf
  drill sheet first-year --worksheet --pdf worksheet.pdf
  drill sheet warm-up --horns all --pdf band.pdf        a part for each horn
  drill sheet warm-up --roster roster.csv --horns students --pdf names.pdf
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
_tempo = whole(SLOWEST, FASTEST)


def arguments(parser: argparse.ArgumentParser) -> None:
    """What is printed, how it looks, and the files."""
    add = parser.add_argument
    add("what", metavar="DECK|PATTERN|CELL", help="a deck, a pattern such as thirds, or a cell")
    add_keys(parser)
    add_directions(parser)
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
        "--no-signatures", action="store_true",
        help="worksheet: without key signatures, for the student to write",
    )  # fmt: skip
    add(
        "--answers",
        action=argparse.BooleanOptionalAction,
        help="worksheet: with an answer page at the end, or without (default with)",
    )
    add_names(parser)
    band = parser.add_argument_group("for a whole band, in one PDF file")
    add = band.add_argument
    add(
        "--horns", metavar="WHICH",
        help="a part for each: all, roster, students (with names), or ids with commas between",
    )  # fmt: skip
    add("--roster", metavar="FILE", help="roster.csv with id, name, group, horn")
    files = parser.add_argument_group("files (one at least; - is standard output)")
    add = files.add_argument
    add("--pdf", metavar="FILE", help="the engraved page")
    add("--svg", metavar="FILE", help="the same as pictures: FILE, or FILE-1, FILE-2 ..")
    add("--musicxml", metavar="FILE", help="the music for notation programs (MusicXML 4.0)")
    add("--midi", metavar="FILE", help="the music as it sounds")
    add_replace(files)


_HornPart = tuple[Chosen, str]
"""The runs for one horn, and the student whose part it is; empty for nobody's."""


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Make every file asked for, then write them.  Raises DrillError."""
    _check(args)
    if args.pdf or args.svg:
        from drill.paper.engrave import need_engraver

        need_engraver()  # before the work, which it would be in vain
    parts = _parts(args, tools)
    from drill.files import write_whole

    files = list(_files(args, parts, tools))
    taken = [path for path, _ in files if str(path) != STDOUT and path.exists()]
    if taken and not args.replace:
        raise TakenError(options.file_there(harmless(str(taken[0]))), taken[0])
    for path, _ in files:
        need_spare(path, args.roster)
    for path, data in files:
        if str(path) == STDOUT:
            put(tools.out, data)
            continue
        write_whole(path, data, replace=args.replace)
        tools.say(options.wrote(path))
    return ExitCode.OK


def _parts(args: argparse.Namespace, tools: Tools) -> list[_HornPart]:
    """The runs for each horn or student asked for, else the one part.  Raises DrillError."""
    wanted = _band(args)
    parts = []
    for wish, student in wanted or [(args.instrument, "")]:
        own = argparse.Namespace(**{**vars(args), "instrument": wish})
        found = chosen(own, tools.house)
        if found.deck is not None and found.deck.unplayed:
            raise UsageError(options.for_own_horn(found.deck.title, tools.do(Remedy.PRINTED_HORN)))
        name = f"{found.horn.name}: " if wanted and found.horn else ""
        if not student or student == wanted[0][1]:
            for remark in found.remarks:
                tools.say(f"{name}{PLAIN.text(remark)}")
        parts.append((found, student))
    return parts


def _band(args: argparse.Namespace) -> list[tuple[str, str]]:
    """Horn and student of each part of a band; empty where only one part is asked for.

    Raises UsageError, DataError.
    """
    if not args.horns:
        if args.roster:
            raise UsageError(options.ROSTER_WITH_HORNS)
        return []
    if args.instrument:
        raise UsageError(options.ONE_OR_SEVERAL)
    if args.musicxml or args.midi:
        raise UsageError(options.ONE_HORN)
    from drill.theory.instruments import INSTRUMENTS, find_instrument

    word = args.horns.strip().casefold()
    if word == "all":
        return [(horn, "") for horn in INSTRUMENTS]
    if word not in ("roster", "students"):
        return [(find_instrument(each).id, "") for each in args.horns.split(",")]
    if not args.roster:
        raise UsageError(options.horns_need_roster(word))
    from drill.reports.rosterfile import roster_of

    people = roster_of(args.roster)
    without = [person.name for person in people if not person.horn]
    if without:
        raise UsageError(options.no_horn_for(without[:5]))
    if word == "students":
        return [(person.horn, person.name) for person in people]
    return [(horn, "") for horn in dict.fromkeys(person.horn for person in people)]


def _check(args: argparse.Namespace) -> None:
    """Raises UsageError for options that do not go together and for text that cannot be printed."""
    if not (args.pdf or args.svg or args.musicxml or args.midi):
        raise UsageError(options.NAME_A_FILE)
    if (args.pdf, args.svg, args.musicxml, args.midi).count(STDOUT) > 1:
        raise UsageError(options.ONE_TO_STDOUT)
    need_files_apart(args.pdf, args.svg, args.musicxml, args.midi)
    for option in ("given", "answers", "no_signatures"):
        if getattr(args, option) not in (None, False) and not args.worksheet:
            raise UsageError(options.with_worksheet(option.replace("_", "-")))
    need_plain(args, "title", "teacher", "note")
    for option, longest in (
        ("title", LONGEST_LINE),
        ("teacher", LONGEST_LINE),
        ("note", LONGEST_NOTE),
    ):
        if len(getattr(args, option) or "") > longest:
            raise UsageError(options.too_long(option, longest))


LONG = 20
"""Pages from which the way to fewer is told."""


def _files(
    args: argparse.Namespace, parts: list[_HornPart], tools: Tools
) -> Iterator[tuple[Path, bytes]]:
    """Every file asked for, ready to be written."""
    scores = [_score(args, *part) for part in parts]
    if args.pdf or args.svg:
        from drill.paper.engrave import Engraver, pages_of

        engraver = Engraver(args.paper)
        if args.pdf:
            data = engraver.pdf(*scores)
            _tell(pages_of(data), len(scores), args, tools)
            yield Path(args.pdf), data
        if args.svg:
            yield from _numbered(Path(args.svg), engraver.svg(*scores))
    if args.musicxml:
        from drill.paper.musicxml import musicxml_bytes

        yield Path(args.musicxml), musicxml_bytes(scores[0])
    if args.midi:
        yield Path(args.midi), _midi(args, parts[0][0], scores[0].title)


def _tell(pages: int, parts: int, args: argparse.Namespace, tools: Tools) -> None:
    """The number of pages, before anybody sends them to a printer."""
    tools.say(options.pages_told(pages, parts))
    if pages // parts >= LONG:
        answers = args.worksheet and args.answers is not False
        ways = (Remedy.FEWER_KEYS, *((Remedy.NO_ANSWERS,) if answers else ()))
        tools.say(options.long_told([tools.do(each) for each in ways]))


def _numbered(path: Path, pages: tuple[bytes, ...]) -> Iterator[tuple[Path, bytes]]:
    """The file as it stands for one page; numbered files for more."""
    if len(pages) == 1:
        yield path, pages[0]
        return
    if str(path) == STDOUT:
        raise UsageError(options.one_picture(len(pages)))
    if path.name == STDOUT:
        raise UsageError(options.NAME_THE_PICTURES)
    for number, page in enumerate(pages, 1):
        yield path.with_name(f"{path.stem}-{number}{path.suffix}"), page


def _score(args: argparse.Namespace, found: Chosen, student: str) -> Score:
    """The sheet as asked for."""
    from drill.paper.score import Score

    deck = found.deck
    full = _sections(args, found, worksheet=False)
    printed = _sections(args, found, worksheet=True) if args.worksheet else full
    patterns = {section.group for section in full}
    only = full[0].group if len(patterns) == 1 else ""
    title = args.title or (deck.title if deck else only)
    return Score(
        title,
        found.horn,
        printed,
        subtitle=_subtitle(found, "" if title == only else only),
        student=student,
        note=(args.note if args.note is not None else deck.note if deck else "").strip(),
        teacher=args.teacher or "",
        worksheet=args.worksheet,
        answers=full if args.worksheet and args.answers is not False else (),
        tempo=_bpm(args, found),
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


def _subtitle(found: Chosen, pattern: str) -> str:
    """Horn, pattern and swing, as far as there is something to say."""
    name = Voice(script=Script.SIGNS).text(horn(found.horn)) if found.horn else ""
    swing = ""
    if found.deck and found.deck.swing is not Swing.STRAIGHT:
        ratio = found.deck.swing
        swing = "swing" if isinstance(ratio, Swing) else options.swing_told(f"{ratio:g}")
    return " · ".join(part for part in (name, pattern, swing) if part)


def _midi(args: argparse.Namespace, found: Chosen, title: str) -> bytes:
    """The runs one after the other, at concert pitch."""
    from drill.paper.midi import midi_bytes
    from drill.paper.sounding import metres, sheet_take, signatures
    from drill.sound.phrasing import STRAIGHT, Manner
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
    full = _sections(args, found, worksheet=False)
    take = sheet_take(phrases(found), full, manner)
    program = found.horn.program if found.horn else 0
    return midi_bytes(take, program, title, metres(full), signatures(full))


def _sections(args: argparse.Namespace, found: Chosen, *, worksheet: bool) -> tuple[Section, ...]:
    """The runs laid out, whole or with cells left open."""
    from drill.paper.engrave import line_spaces
    from drill.paper.layout import Given, Style, sections

    deck = found.deck
    style = Style(
        tonguing=_tonguing(args, found),
        dynamics=args.dynamics,
        joined=found.joined,
        degrees=args.degrees,
        asked=deck.degrees if deck else (),
        seed=args.seed,
        language=language_of(args),
        line=line_spaces(args.paper, by_hand=worksheet),
    )
    if worksheet:
        given = Given(args.given or "first")
        style = replace(style, given=given, signatures=not args.no_signatures)
    pairs = [(choice.run, choice.concert) for choice in found.choices]
    return sections(pairs, found.horn, style)
