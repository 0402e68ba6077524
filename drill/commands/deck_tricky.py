"""``drill deck tricky``: a deck of what a class, a section, a student or the player gets wrong."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from drill.commands.options import need_plain
from drill.decks.schema import Deck
from drill.decks.write import write
from drill.errors import DataError, ExitCode, UsageError
from drill.memory.levels import ByHeart
from drill.memory.repair import without_wrong_dates
from drill.opening.tools import Tools
from drill.reports.classroom import Classroom, classroom
from drill.reports.finding import files_in
from drill.reports.gathering import Found, When, gather, tasks
from drill.reports.naming import concert_keys
from drill.reports.reading import deck_of
from drill.reports.rosterfile import roster_of
from drill.reports.study import Study, Task
from drill.reports.tally import study
from drill.reports.tricky import tricky
from drill.shown import counted
from drill.terms import Instrument
from drill.theory.instruments import OWN, find_instrument
from drill.wording.desk import TRICKY_TITLE
from drill.wording.options import ONE_DECK
from drill.wording.remedies import Remedy
from drill.wording.squares import horn_text


@dataclass(frozen=True, slots=True)
class _Answers:
    """What a deck is made from."""

    room: Classroom
    whose: str
    """Whose answers they are, in words."""
    decks: tuple[Task, ...]

    @property
    def horns(self) -> tuple[str, ...]:
        """Instrument ids of the answers, in order."""
        return tuple(sorted({each.place.horn for each in self.room.counts} - {""}))

    @property
    def in_concert(self) -> bool:
        """Whether every answer was to a deck assigned in concert keys."""
        return all(each.place.assigned_in_concert for each in self.room.counts)


def tricky_decks(args: argparse.Namespace, tools: Tools) -> tuple[list[tuple[str, str]], ExitCode]:
    """Each deck's text with the file it goes to (empty: printed), or with ``--by`` what it is
    called; 65 where a file could not be read.  Raises UsageError, DataError."""
    need_plain(args, "title", "note")
    if (args.by is None) != (args.out_dir is None):
        raise UsageError("--by and --out-dir go together: one deck for each, in that folder")
    if args.by and args.out:
        raise UsageError(ONE_DECK)
    if args.by and not args.results:
        raise UsageError("--by goes with results files: your own answers make one deck")
    if not args.results:
        found, code = _of_log(tools), ExitCode.OK
        return [_deck(found, args, tools, "")], code
    gathered, code = _of_results(args, tools)
    if args.by is None:
        return [_deck(_together(gathered, tools), args, tools, "")], code
    made = []
    for name, some in _apart(gathered, args.by).items():
        found = _together(some, tools)
        if found.room.asked == found.room.right:
            tools.say(f"{name}: nothing was answered wrong, so no deck")
            continue
        own = (
            args if args.by != "horn" else argparse.Namespace(**{**vars(args), "instrument": name})
        )
        shown = horn_text(name) if args.by == "horn" else name
        _, text = _deck(found, own, tools, shown)
        made.append((name, text))
    if not made:
        raise UsageError("nothing was answered wrong, so nothing is tricky yet")
    return made, code


def _deck(found: _Answers, args: argparse.Namespace, tools: Tools, name: str) -> tuple[str, str]:
    """Where it goes, and the text of the deck; ``name`` is added to its title."""
    horn, concert = _horn_and_keys(found, args, tools)
    room = found.room
    counts, slips = room.counts, room.slip_counts
    if not concert and horn:
        own = horn.id if horn.id in found.horns else ""
        counts = tuple(each for each in counts if each.place.horn == own)
        slips = tuple(each for each in slips if each.place.horn == own)
    asked = sum(each.asked for each in counts)
    source = f"{counted(asked, 'answer')} of {found.whose}, {tools.now():%Y-%m-%d}"
    title = args.title or TRICKY_TITLE
    made = tricky(
        counts,
        slips,
        horn,
        f"{title}, {name}" if name else title,
        worst=args.worst,
        source=source,
        concert=concert,
        students=room.key_students,
    )
    deck = replace(made.deck, due=args.due, note=args.note or "")
    return args.out or "", write(deck, heading=made.heading, reasons=made.reasons)


def _horn_and_keys(
    found: _Answers, args: argparse.Namespace, tools: Tools
) -> tuple[Instrument | None, bool]:
    """The horn of the deck, None for everyone's own, and whether keys are counted in concert.

    Raises UsageError where the answers are of several horns and nothing says what is wanted.
    """
    horns = found.horns
    wanted = None
    if args.instrument and args.instrument.casefold() != OWN:
        wanted = find_instrument(args.instrument)
    own = bool(args.instrument) and wanted is None
    if not any(each.place.concert for each in found.room.counts) and args.concert:
        raise UsageError("the answers do not say for which horn, so not in which concert keys")
    several = len(horns) > 1
    any_own = any(deck_of(each.text).own for each in found.decks)
    mixed = found.in_concert and (several or any_own)
    if args.concert or own or (mixed and not wanted):
        return wanted, True
    if several and not wanted:
        names = ", ".join(map(horn_text, horns))
        raise UsageError(
            f"these answers are of {len(horns)} horns ({names}), whose written keys are different "
            f"keys: {tools.do(Remedy.TRICKY_HORN)}"
        )
    if wanted:
        # Another horn than theirs: what is common to both is the concert key.
        return wanted, bool(horns) and wanted.id not in horns
    if not horns:
        raise UsageError("the answers do not say for which horn: " + tools.do(Remedy.WHICH_HORN))
    made = next((deck_of(each.text).made for each in found.decks if each.horn == horns[0]), None)
    return made or find_instrument(horns[0]), False


# -- where the answers come from


def _of_results(args: argparse.Namespace, tools: Tools) -> tuple[list[Found], ExitCode]:
    """The students of results files; 65 where one could not be read."""
    roster = roster_of(args.roster)
    files, remarks = files_in([Path(each) for each in args.results])
    when = When(tools.now())
    found = list(gather(tasks(files, when, roster)))
    room = classroom(found, tools.now(), remarks=remarks)
    for remark in room.remarks:
        tools.say(str(remark))
    if not room.asked:
        raise DataError("no answers in what was named: expected results files")
    return found, ExitCode.BAD_DATA if room.unreadable else ExitCode.OK


def _together(found: Sequence[Found], tools: Tools) -> _Answers:
    """Some students as one."""
    room = classroom(found, tools.now())
    started = room.started
    whose = started[0].name if len(started) == 1 else counted(len(started), "student")
    decks = tuple(deck for each in found for deck in each.decks)
    return _Answers(room, whose, decks)


def _apart(found: Sequence[Found], by: str) -> dict[str, list[Found]]:
    """The students of each name, group or horn."""
    parts: dict[str, list[Found]] = {}
    for each in found:
        if each.study is None or each.study.last is None:
            continue
        for name in _names(each.study, by):
            parts.setdefault(name, []).append(each)
    return dict(sorted(parts.items()))


def _names(student: Study, by: str) -> tuple[str, ...]:
    if by == "horn":
        return student.horns
    if by == "group":
        return (student.group or "no group",)
    return (" ".join(filter(None, (student.name, student.id))),)


def _of_log(tools: Tools) -> _Answers:
    """The player's own log."""
    if not tools.house.log_there:
        raise UsageError("there are no answers yet: practise first, or name results files")
    with tools.house.reading() as store:
        answers = without_wrong_dates(tuple(store.answers()), tools.now())
        items = store.items()
    if not answers:
        raise UsageError("there are no answers yet: practise first, or name results files")
    decks = [deck for deck in tools.house.decks()[0] if not deck.unplayed]
    known = {deck.fingerprint: deck for deck in decks}
    by_deck = list(dict.fromkeys(answer.deck for answer in answers))
    horn = tools.house.horn()
    made = tuple(_own_task(mark, known.get(mark), horn.id if horn else "") for mark in by_deck)
    number = {mark: at for at, mark in enumerate(by_deck)}
    mine = ((answer, number[answer.deck]) for answer in answers)
    one = study("you", mine, items, made, tools.now())
    room = classroom([Found(one, (), (), ())], tools.now())
    return _Answers(room, "your own", ())


def _own_task(mark: str, deck: Deck | None, horn: str) -> Task:
    """A deck of the player's log; one that is gone was for the player's own horn, if any."""
    if deck is None:
        return Task(mark, "", "", horn, {}, False, frozenset(), 0, ByHeart(), 0.9)
    return Task(
        mark, deck.name, deck.title, deck.instrument, concert_keys(deck),
        bool(deck.concert_keys), frozenset(), 0, ByHeart(), 0.9,
    )  # fmt: skip
