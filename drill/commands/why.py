"""``drill why``: why the next cell is asked now, in two sentences."""

from __future__ import annotations

import argparse
import textwrap
from dataclasses import dataclass
from typing import Any

from drill.commands.giving import picked
from drill.commands.progress import last_deck, practised
from drill.decks.schema import Deck
from drill.errors import DataError, ExitCode
from drill.marking.back import Back
from drill.memory.kinds import Kind
from drill.memory.model import replay
from drill.memory.planner import choose, kind_for
from drill.memory.pool import Pool
from drill.memory.why import Why, explain
from drill.opening.plan import FIRST_DECK, deck_plan
from drill.opening.tools import Tools
from drill.practice.introduction import introduction
from drill.practice.syllabus import Entry, build
from drill.shown import harmless
from drill.theory.scales import key_label
from drill.wording.why import NOTHING_NEW, asked_told, began_now, why_told

EXAMPLES = """\
examples:
  drill why                                    the deck practised last
  drill why --deck tricky-keys-tenor
  drill why --seed 7 --json
"""

_WIDTH = 79


def arguments(parser: argparse.ArgumentParser) -> None:
    """The deck, and what decides among equals."""
    add = parser.add_argument
    add("--deck", metavar="NAME|FILE", help="the deck (else the one practised last)")
    add("--seed", type=int, default=0, metavar="N", help="decides among equals, as in a practice")
    add("--json", action="store_true", help="the numbers too, as JSON")


@dataclass(frozen=True, slots=True)
class ChosenFirst:
    """The cell that a practice begun now would ask for first, and why."""

    deck: Deck
    entry: Entry
    kind: str
    """How it would be asked; a run from memory begins with its first cell."""
    why: Why

    @property
    def sentences(self) -> tuple[str, str]:
        """Two sentences; they never tell what the prompt would ask for."""
        return why_told(self.why, *asked_told(self.entry.run, self.entry.cell, self.kind))


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Say why.  Raises UsageError, FaultsError, StoreError."""
    reason = reason_for(args.deck, args.seed, tools)
    if args.json:
        tools.give(_object(reason, args.seed))
        return ExitCode.OK
    lines = [began_now(reason.deck.title), *reason.sentences]
    for line in lines:
        wrapped = textwrap.wrap(harmless(line), _WIDTH, break_on_hyphens=False)
        tools.out.write("\n".join(wrapped) + "\n")
    return ExitCode.OK


def reason_for(named: str | None, seed: int, tools: Tools) -> ChosenFirst:
    """The first choice of a practice with the deck; nothing is written to the log."""
    house, now = tools.house, tools.now()
    deck = house.deck(named) if named is not None else None
    answers, items = practised(tools)
    state = replay(answers, items)
    deck = deck or (last_deck(answers, house) if answers else house.deck(FIRST_DECK))
    plan = deck_plan(deck, now, tools.settings(), None)
    syllabus = build(deck, plan.kinds)
    pool = Pool(state, syllabus.items, seed, introduction(syllabus))
    # As a practice does at its first prompt.
    options = plan.options.begun(state, now)
    choice = choose(state, pool, now, options)
    if choice is None:
        raise DataError(NOTHING_NEW)
    entry = syllabus.entries[choice.item.id]
    kinds = tuple(kind for kind in plan.kinds if kind != Kind.TIME)
    kind = entry.back or kind_for(state, choice.item, now, kinds)
    if kind == Kind.NEXT and entry.previous is None:
        kind = Kind.DEGREE  # there is no cell before it to show
    why = explain(state, pool, choice, now, options, house.zone)
    return ChosenFirst(deck, entry, kind, why)


def _object(reason: ChosenFirst, seed: int) -> dict[str, Any]:
    """The numbers; what the prompt asks for is left out."""
    why, entry = reason.why, reason.entry
    told: dict[str, Any] = {"deck": reason.deck.name, "seed": seed, "kind": str(reason.kind)}
    if reason.kind not in (Back.KEY, Back.WRITTEN):
        told["key"] = key_label(entry.run.key)
    if reason.kind != Back.CHORD:
        told["pattern"] = entry.cell.shape or entry.run.pattern.text
    told["direction"] = entry.cell.direction.value
    if reason.kind not in set(Back):
        told["degree"] = entry.cell.called
    return {
        **told,
        **picked(why, **_NUMBERS),
        "sentences": list(reason.sentences),
    }


_NUMBERS = {
    "recall": "recall", "spread": "spread", "recall_on_the_day": "aim_recall",
    "prompts_since": "turns", "days_since": "days_away", "asked": "asked", "slips": "slips",
    "key_asked": "key_asked", "key_slips": "key_slips", "prompts_since_its_notes": "note_turns",
    "notes_missed": "notes_missed", "rule": "rule.value", "chosen_from": "among",
    "new_cells_waiting": "waiting", "place": "place", "of": "pool",
}  # fmt: skip
"""What of a reason is given as JSON, and how it is called in the room of memory."""
