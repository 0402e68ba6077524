"""``drill hand-in``: the answers of one deck as a small file for the teacher."""

from __future__ import annotations

import argparse
import textwrap
from datetime import UTC
from pathlib import Path
from typing import TYPE_CHECKING

from drill import __version__
from drill.commands.giving import or_replaced
from drill.decks.load import find, loads
from drill.decks.schema import Deck
from drill.errors import DataError, DrillError, ExitCode, UsageError
from drill.files import file_name_of, write_whole
from drill.memory.dates import MADE
from drill.memory.repair import dated_well, without_wrong_dates
from drill.opening.saving import STDOUT, put
from drill.opening.tools import Tools
from drill.reports.naming import concert_keys
from drill.reports.results import (
    LONGEST_ID,
    LONGEST_LINE,
    SUFFIX,
    HandedDeck,
    Results,
    clean_line,
    clean_name,
    contents,
    encode,
    gather,
    other_editions,
)
from drill.reports.takes import MOST_TAKES, kept_takes
from drill.shown import harmless
from drill.wording import handing
from drill.wording.decks import no_horn_told
from drill.wording.remedies import Remedy

if TYPE_CHECKING:
    from drill.memory.items import Answer

EXAMPLES = """\
examples:
  drill hand-in --deck flat-keys --name "Mara Quill"
  drill hand-in           the deck practised last, your name from the settings
  drill hand-in --line "D flat is still slow"    a line to the teacher
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The deck, the student's name and the file."""
    add = parser.add_argument
    add("--deck", metavar="NAME|FILE", help="the deck (else the one practised last)")
    add("--name", metavar="STUDENT", help="your name for the teacher (else the setting student)")
    add("--id", metavar="ID", help="your id on the teacher's roster (else the assignment's)")
    add("--line", metavar="TEXT", default="", help="a line to the teacher")
    add("--out", metavar="FILE", help=f"the file (else NAME-DECK{SUFFIX})")
    add("--earlier", action="store_true", help="also answers given before the deck was edited")
    add("--replace", action="store_true", help="write over a file that exists")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Write the file and say what is in it.  Raises UsageError, DataError, StoreError."""
    if not tools.house.log_there:
        raise UsageError(handing.NOTHING_YET)
    with tools.log() as store:
        answers, items = tuple(store.answers()), store.items()
    path, deck = _deck(args.deck, answers, tools)
    given = deck.assignment
    name = _name(args.name or (given.name or None if given else None), tools)
    id_ = args.id if args.id is not None else given.student if given else ""
    try:
        name = clean_name(name)
        id_ = clean_line(id_, LONGEST_ID, handing.THE_ID)
        line = clean_line(args.line, LONGEST_LINE, handing.THE_LINE)
    except DataError as error:
        raise UsageError(str(error)) from None
    handed, asked = _handed(path, deck, tools)
    now = tools.now()
    mine, cells = gather(answers, items, handed, earlier=args.earlier)
    if deck.own:  # what was played on another horn is not this one's
        mine = tuple(each for each in mine if each.item in asked)
        cells = tuple(each for each in cells if each.id in asked)
    others = other_editions(answers, handed)
    if not mine:
        raise UsageError(handing.none_of_deck(handed.name, others, tools.do(Remedy.EARLIER)))
    # Where this clock cannot be right, the file is at least no older than what is in it.
    newest = max((a.at for a in mine if dated_well(a, now)), default=now) if now < MADE else now
    results = Results(
        student=name,
        made=max(now, newest).astimezone(UTC).replace(microsecond=0),
        program=__version__,
        deck=handed,
        items=cells,
        asked=frozenset(item.id for item in cells) & asked,
        answers=without_wrong_dates(mine, now),
        id=id_,
        horn=deck.instrument,
        concert=tuple(sorted(concert_keys(deck).items())),
        line=line,
        takes=tuple(
            take for take in kept_takes(tools.house.places.takes) if take.deck == handed.fingerprint
        )[-MOST_TAKES:],
    )
    _write(results, args, tools)
    unknown = sum(a.item not in items and a.deck == handed.fingerprint for a in answers)
    if unknown:
        tools.say(handing.unknown_left_out(unknown, handed.name, tools.do(Remedy.LOG_CHECK)))
    if others and not args.earlier:
        tools.say(handing.earlier_left_out(others, handed.name, tools.do(Remedy.EARLIER_TOO)))
    return ExitCode.OK


def _name(given: str | None, tools: Tools) -> str:
    """The student's name: as given, from the settings, or asked on a terminal."""
    name = tools.settings().student if given is None else given
    if not name.strip() and given is None and tools.source.isatty():
        name = tools.ask(handing.YOUR_NAME)
    if not name.strip():
        raise UsageError(handing.WHOSE)
    return name


def _deck(wanted: str | None, answers: tuple[Answer, ...], tools: Tools) -> tuple[Path, Deck]:
    """The deck named, else the one of the last answer."""
    if wanted is None:
        named = [answer.deck_name for answer in answers if answer.deck_name]
        if not named:
            raise UsageError(handing.NO_DECK_YET)
        wanted = named[-1]
        tools.say(handing.last_deck_told(wanted))
    return find(wanted, tools.house.deck_folders), tools.house.deck(wanted)


def _handed(path: Path, deck: Deck, tools: Tools) -> tuple[HandedDeck, frozenset[str]]:
    """The deck as it is handed in, and the ids of all that it asks."""
    from drill.practice.syllabus import build

    text = path.read_bytes().removeprefix(b"\xef\xbb\xbf").decode()
    if loads(text, str(path)).fingerprint != deck.fingerprint:
        raise DataError(handing.changed_while_read(harmless(str(path))))
    if deck.unplayed:
        raise UsageError(no_horn_told(deck.title))
    asked = frozenset(item.id for item in build(deck).items)
    return HandedDeck(deck.name, deck.fingerprint, text, len(asked)), asked


def _write(results: Results, args: argparse.Namespace, tools: Tools) -> None:
    """Write the file, once it reads back as what it was made from."""
    from drill.reports.reading import decode

    data = encode(results)
    try:
        back = decode(data, tools.now())
    except DataError as error:
        raise DrillError(handing.cannot_be_handed_in(error)) from None
    if (back.student, len(back.answers)) != (results.student, len(results.answers)):
        raise DrillError(handing.cannot_be_handed_in(handing.NOT_WHOLE))
    if args.out == STDOUT:
        put(tools.out, data)
        return
    named = file_name_of(results.student, results.deck.name) or "results"
    path = Path(args.out or f"{named}{SUFFIX}")
    with or_replaced(tools):
        write_whole(path, data, replace=args.replace, private=True)
    tools.say(handing.file_written(harmless(str(path)), len(data)))
    tools.say(handing.lies_in(harmless(str(path.resolve().parent))))
    what_to_do = f"{handing.WHAT_TO_DO} {tools.do(Remedy.READ_RESULTS)}"
    for sentence in (what_to_do, *contents(results)):
        for line in textwrap.wrap(sentence, 70, break_on_hyphens=False):
            tools.say(line)
