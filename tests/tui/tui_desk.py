"""A small deck, a room and a program for the tests of the screens; time stands still."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, fields, replace
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from silent_player import SilentPlayer

from drill.decks.load import loads
from drill.errors import StoreError
from drill.memory.kinds import Kind
from drill.memory.store import FILE_NAME, Store
from drill.practice.course import Plan
from drill.practice.effects import Log, Prompt
from drill.practice.machine import plan_for
from drill.practice.room import Room
from drill.practice.syllabus import build
from drill.practice.time.bout import Setting
from drill.settings.values import GlyphChoice as Signs
from drill.settings.values import Settings, Theme
from drill.terms import Direction
from drill.theory.language import Language
from drill.tui.context import Context
from drill.tui.glyphs import ASCII, UNICODE, Glyphs
from drill.tui.looks import Looks
from drill.tui.text import Lines, plain
from drill.tui.trainer import Trainer

DECK = """
title = "Two keys"
instrument = "alto_sax"
patterns = ["return3"]
keys = ["G", "Bb"]
directions = ["up", "down"]
note = "Slowly."
"""

MORNING = datetime(2026, 3, 2, 10, 30, tzinfo=UTC)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "home"


class StuckRoom(Room):
    """A room whose log cannot be written while ``full``."""

    full = False

    def keep(self, log: Log) -> None:
        if self.full:
            raise StoreError("answers.sqlite: the disk is full: make room and answer again")
        super().keep(log)


class Notifier(SilentPlayer):
    """A silent player that has one thing to say."""

    def __init__(self) -> None:
        super().__init__()
        self.news: list[str] = []

    def poll(self) -> str | None:
        return self.news.pop() if self.news else None


@dataclass
class Setup:
    """A home with the deck in it, and the wishes of a test."""

    home: Path
    plan: Callable[[Plan], Plan] = lambda plan: plan
    language: Language = Language.ENGLISH
    player: Notifier = field(default_factory=Notifier)
    room: StuckRoom | None = None
    wishes: Settings = field(default_factory=Settings)

    def open_room(self) -> StuckRoom:
        self.room = StuckRoom(Store.open(self.home / FILE_NAME), self.language, UTC)
        return self.room

    def context(self, **wishes: Any) -> Context:
        folder = self.home / "decks"
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "two-keys.toml").write_text(DECK, encoding="utf-8")
        ids, seconds = count(), count()
        context = Context(
            open_room=self.open_room,
            make_player=lambda: self.player,
            folders=(folder,),
            wishes=lambda: self.wishes,
            plan=lambda wishes, deck, now: self.plan(plan_for(deck, now)),
            timing=lambda wishes: Setting(volume=wishes.volume, a4=wishes.a4),
            utc_now=lambda: MORNING,
            monotonic=lambda: float(next(seconds)),
            new_id=lambda: f"00000000-0000-4000-8000-{next(ids):012d}",
            seed=7,
            log=self.home / "log",
        )
        ours = {each.name for each in fields(Settings)}
        asked = {name: wish for name, wish in wishes.items() if name in ours}
        self.wishes = replace(Settings(glyphs=Signs.UNICODE), **asked)
        rest = {name: wish for name, wish in wishes.items() if name not in ours}
        return replace(context, **rest)

    def trainer(self, **wishes: Any) -> Trainer:
        context = self.context(**wishes)
        glyphs = ASCII if self.wishes.glyphs is Signs.ASCII else UNICODE
        return Trainer(context, Looks(glyphs, Theme.DARK, monochrome=False))


def prompt_of(
    key: str, index: int, direction: Direction = Direction.UP, deck: str = DECK
) -> Prompt:
    """The prompt for one cell of a run, the cell before it given."""
    syllabus = build(loads(deck, "two-keys.toml"))
    entry = next(
        entry
        for entry in syllabus.entries.values()
        if str(entry.run.key.tonic) == key
        and entry.run.direction is direction
        and entry.index == index
    )
    given = entry.previous.notes if entry.previous else ()
    return Prompt(1, entry.item, syllabus.question(entry), Kind.NEXT, given)


def text_of(lines: Lines) -> str:
    """The text of a page, blanks at line ends left out."""
    return "\n".join(plain(row).rstrip() for row in lines)


GOLDEN = Path(__file__).parent / "golden"


def golden(name: str, shown: str) -> None:
    """Compare a screen with the one kept; ``DRILL_GOLDEN=write`` keeps it as it is now, to be
    looked at before it is committed."""
    file = GOLDEN / f"{name}.txt"
    if os.environ.get("DRILL_GOLDEN") == "write":
        file.parent.mkdir(exist_ok=True)
        file.write_text(shown + "\n", encoding="utf-8")
    assert shown + "\n" == file.read_text(encoding="utf-8")


def drawn(name: str, draw: Callable[[Glyphs, int, int], Lines], size: tuple[int, int]) -> str:
    """A page of values as it is drawn, which is the one kept, and plain where that is asked for."""
    width, height = size
    shown = text_of(draw(UNICODE, width, height - 1))
    golden(f"{name}-{width}x{height}", shown)
    assert text_of(draw(ASCII, width, height - 1)).isascii()
    return shown


@pytest.fixture
def setup(home: Path) -> Iterator[Setup]:
    """A home with the small deck; its room is closed after the test."""
    made = Setup(home)
    yield made
    if made.room is not None:
        made.room.store.close()
