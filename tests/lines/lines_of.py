"""Line mode over strings: what is typed in, what is written out."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any, TextIO

from silent_player import SilentPlayer

from drill.decks.load import loads
from drill.decks.schema import Deck
from drill.lines.lines import Lines
from drill.memory.store import Store
from drill.practice.machine import plan_for
from drill.practice.room import Room
from drill.theory.language import Language

START = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)
KEYS = '["G", "F", "D", "Bb"]'


def deck(keys: str = KEYS, patterns: str = '["return3"]', more: str = "") -> Deck:
    return loads(
        f'title = "Few keys"\ninstrument = "alto_sax"\n'
        f"patterns = {patterns}\nkeys = {keys}\n{more}",
        "few-keys.toml",
    )


def practise(
    folder: Path,
    typed: str | TextIO,
    *,
    of: Deck | None = None,
    json_lines: bool = False,
    words: bool = False,
    language: Language = Language.ENGLISH,
    seed: int = 1,
    player: SilentPlayer | None = None,
    offers: bool = False,
    hold: bool = False,
    **wishes: object,
) -> list[str]:
    """The lines written while ``typed`` is read, in a log under ``folder``.

    ``offers`` keeps the offers to walk a new pattern's run.
    """
    of = of or deck()
    clock = count()
    with Store.open(folder / "answers.db") as store:
        room = Room(store, language, UTC)
        numbers = count(store.count())
        plan = replace(plan_for(of, START), **wishes)  # type: ignore[arg-type]
        desk = room.desk(room.syllabus(of, plan.kinds), plan, seed, lambda: f"{next(numbers):06}")
        out = io.StringIO()
        Lines(
            room, desk, io.StringIO(typed) if isinstance(typed, str) else typed, out,
            lambda text: print("drill:", text, file=out), player or SilentPlayer(muted=True),
            lambda: START + timedelta(seconds=next(clock)), lambda: float(next(clock)),
            json=json_lines, words=words, hold=hold,
        ).run()  # fmt: skip
    lines = out.getvalue().splitlines()
    return [line for line in lines if offers or not line.startswith("new: ")]


def objects(lines: list[str]) -> list[dict[str, Any]]:
    return [json.loads(line) for line in lines]
