"""``drill progress``: what is known of a deck, how soon it is by heart, and what trips you."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from drill.commands.giving import Out, give, need_one_output
from drill.decks.schema import Deck
from drill.errors import ExitCode, UsageError
from drill.memory.items import Answer, Item, clocked, practice_day
from drill.memory.model import replay
from drill.memory.pool import Pool
from drill.opening.house import House
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.practice.introduction import introduction
from drill.practice.looking import advice_for, forecast_for
from drill.practice.machine import plan_for
from drill.practice.syllabus import Syllabus, build
from drill.practice.time.tempi import ON_HORN, TYPED, locked_in
from drill.reports.progress import Progress, ProgressSource, progress
from drill.reports.progressreport import Signs, progress_report
from drill.reports.progresstrips import Spot
from drill.settings.at_hand import ascii_only
from drill.shown import harmless
from drill.tui.glyphs import ASCII, UNICODE
from drill.wording.handing import NO_DECK_YET

EXAMPLES = """\
examples:
  drill progress                               the deck practised last
  drill progress --deck tricky-keys-tenor
  drill progress --html progress.html          a page to read and print
  drill progress --json
"""

_SEED = 0
"""The same report for the same log."""
NO_LOG = "no answers yet: practise first, and this shows what is known"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The deck, and where the report goes."""
    add = parser.add_argument
    add("--deck", metavar="NAME|FILE", help="the deck (else the one practised last)")
    add("--json", action="store_true", help="print the figures as JSON")
    add("--html", metavar="FILE", help="write a page to read and print; - prints it")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the report, and write the page asked for.  Raises UsageError, FaultsError, StoreError.

    Without any answer it says so, which is no failure.
    """
    need_one_output(args.html, as_json=args.json)
    deck = tools.house.deck(args.deck) if args.deck is not None else None
    made = report(deck, tools)
    if made is None:
        tools.say(NO_LOG)
        if args.json:
            tools.out.write("null\n")
        return ExitCode.OK
    if args.html != STDOUT:
        _print(made, tools, as_json=args.json)
    if args.html is not None:
        _page(made, args.html, tools)
    return ExitCode.OK


def report(deck: Deck | None, tools: Tools) -> Progress | None:
    """The report on a deck, None for the one practised last; None where there is no answer yet."""
    house, now = tools.house, tools.now()
    answers, items = practised(tools)
    if not answers:
        return None
    deck = deck or last_deck(answers, house)
    syllabus = build(deck)
    today = practice_day(now, house.zone)
    tempos, on_horn = (locked_in(syllabus, answers, kinds) for kinds in (TYPED, ON_HORN))
    state, plan = replay(answers, items), plan_for(deck, now)
    pool = Pool(state, syllabus.items, _SEED, introduction(syllabus))
    source = ProgressSource(
        deck, spots_of(syllabus), state, answers, items, tempos,
        forecast_for(state, pool, deck, plan, now, house.zone),
        advice_for(state, pool, deck, plan, now, house.zone),
        on_horn,
    )  # fmt: skip
    return progress(source, now, today)


def practised(tools: Tools) -> tuple[tuple[Answer, ...], dict[str, Item]]:
    """The answers of the log as they count now, and its items by id; nothing without a log."""
    if not tools.house.log_there:
        return (), {}
    with tools.log() as store:
        return tuple(clocked(tuple(store.answers()), tools.now())), store.items()


def last_deck(answers: Sequence[Answer], house: House) -> Deck:
    """The deck practised last.  Raises UsageError where it is gone and none is named."""
    named = next((each.deck_name for each in reversed(answers) if each.deck_name), "")
    if not named:
        raise UsageError(NO_DECK_YET)
    return house.deck(named)


def spots_of(syllabus: Syllabus) -> tuple[Spot, ...]:
    """The cells of a deck with where they stand."""
    return tuple(
        Spot(entry.item, entry.cell.called, entry.cell.degree, entry.cell.direction)
        for entry in syllabus.entries.values()
        if not entry.back
    )


def _signs(tools: Tools) -> tuple[Tools, Signs]:
    """The tools and level signs that the settings and the output's encoding allow."""
    if ascii_only(tools.settings().glyphs, getattr(tools.out, "encoding", None) or "utf-8"):
        return tools.ascii_only(), ASCII.levels
    return tools, UNICODE.levels


def _print(made: Progress, tools: Tools, *, as_json: bool) -> None:
    tools, signs = _signs(tools) if not as_json else (tools, UNICODE.levels)
    give(progress_report(made, signs), tools, as_json=as_json)


def _page(made: Progress, name: str, tools: Tools) -> None:
    path = Path(name)
    if name != STDOUT and path.exists() and path.suffix.lower() not in (".html", ".htm"):
        raise UsageError(
            f"{harmless(str(path))} exists and is not a page: name a file ending .html"
        )
    Out(tools).page(name, progress_report(made, UNICODE.levels))
