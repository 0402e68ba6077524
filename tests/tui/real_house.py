"""A home with its own settings file and deck folder, for the ways of users from start to end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC
from pathlib import Path
from typing import Any

from tui_desk import MORNING, Notifier

from drill.memory.store import Store
from drill.opening.desk_settings import Desk
from drill.opening.house import House
from drill.opening.onscreens import wishes_of
from drill.opening.plan import FIRST_DECK
from drill.places import places
from drill.practice.course import Plan
from drill.practice.room import Room
from drill.settings.load import load
from drill.settings.values import Theme
from drill.theory.engine import Engine
from drill.tui.context import Context, Wishes
from drill.tui.glyphs import UNICODE
from drill.tui.looks import Looks
from drill.tui.trainer import Trainer


@dataclass
class RealHouse:
    """Everything as the command makes it, but for time, chance and sound."""

    home: Path
    engine: Engine
    environment: dict[str, str] = field(default_factory=dict)
    plan: Callable[[Plan], Plan] = lambda plan: plan
    player: Notifier = field(default_factory=Notifier)

    @property
    def house(self) -> House:
        found = places({"DRILL_HOME": str(self.home)})
        return House(found, UTC, self.environment)

    def wishes(self) -> Wishes:
        wishes = wishes_of(load(self.house.places, self.environment, {}, None).settings, None)
        return replace(wishes, plan=lambda deck, now: self.plan(wishes.plan(deck, now)))

    def trainer(self, **more: Any) -> Trainer:
        house, ids = self.house, iter(range(10**6))
        context = Context(
            open_room=lambda: Room(
                Store.open(house.log), self.engine, self.wishes().names, UTC, None, MORNING
            ),
            make_player=lambda: self.player,
            folders=house.deck_folders,
            wishes=self.wishes,
            utc_now=lambda: MORNING,
            monotonic=lambda: 0.0,
            new_id=lambda: f"00000000-0000-4000-8000-{next(ids):012d}",
            seed=7,
            log=self.home / "log",
            first_deck=FIRST_DECK,
            opened=house.opened,
            settings=Desk(house.places, self.environment, {}),
        )
        return Trainer(replace(context, **more), Looks(UNICODE, Theme.DARK, monochrome=False))
