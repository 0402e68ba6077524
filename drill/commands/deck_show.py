"""A deck and its runs, for ``drill deck show``: as text of 80 columns, or as an object."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Any

from drill.commands.giving import picked
from drill.decks.schema import Deck
from drill.opening.choosing import Chosen
from drill.terms import Run
from drill.theory.scales import key_label
from drill.wording.decks import due_told, ends_on, run_told, shown_told
from drill.wording.voice import PLAIN


def deck_lines(deck: Deck, found: Chosen) -> Iterable[str]:
    """What the deck says of itself, then each of its runs, cell by cell."""
    yield deck.title
    yield shown_told(deck)
    if deck.due:
        yield due_told(deck.due)
    yield from (f"  {line}" for line in deck.note.splitlines())
    yield from (f"({PLAIN.text(remark)})" for remark in found.remarks)
    for choice in found.choices:
        yield ""
        yield from _run_lines(choice.run, key_label(choice.concert))


def _run_lines(run: Run, concert: str) -> list[str]:
    label = key_label(run.key)
    cells = [f"{cell.called}: {' '.join(map(str, cell.notes))}" for cell in run.cells]
    cells.append(ends_on(run.close))
    body = textwrap.wrap(
        " | ".join(cell.replace(" ", "\xa0") for cell in cells),
        78,
        initial_indent="  ",
        subsequent_indent="  ",
        break_on_hyphens=False,
    )
    head = run_told(label, run, concert)
    return [head, *(line.replace("\xa0", " ") for line in body)]


def deck_object(deck: Deck, found: Chosen) -> dict[str, Any]:
    """The same as an object of JSON."""
    return {
        **picked(deck, "name", "title", "instrument", "fingerprint"),
        "due": deck.due.isoformat() if deck.due else None,
        "note": deck.note,
        "goal": picked(deck.goal, "right", "tempo", "days", "ask"),
        "remarks": [PLAIN.text(remark) for remark in found.remarks],
        "runs": [
            {
                "key": key_label(run.key),
                "pattern": run.pattern.text,
                "direction": run.direction.value,
                "cells": [
                    {"degree": cell.called, "notes": [str(note) for note in cell.notes]}
                    for cell in run.cells
                ],
                "close": str(run.close),
            }
            for run in found.runs
        ],
    }
