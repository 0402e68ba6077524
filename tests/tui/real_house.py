"""A home with its own settings file and deck folder, for the ways of users from start to end."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from tui_desk import MORNING, Notifier

from drill.commands.errands import CommandErrands
from drill.memory.store import Store
from drill.opening.house import House
from drill.opening.plan import FIRST_DECK, deck_plan
from drill.opening.tools import Tools
from drill.places import places
from drill.practice.course import Plan
from drill.practice.room import Room
from drill.practice.time.bout import Setting
from drill.settings.load import load
from drill.settings.values import Settings, Theme
from drill.tui.context import Context
from drill.tui.desk_settings import SettingsFile
from drill.tui.glyphs import UNICODE
from drill.tui.looks import Looks
from drill.tui.trainer import Trainer


@dataclass
class RealHouse:
    """Everything as the command makes it, but for time, chance and sound."""

    home: Path
    environment: dict[str, str] = field(default_factory=dict)
    plan: Callable[[Plan], Plan] = lambda plan: plan
    player: Notifier = field(default_factory=Notifier)

    @property
    def house(self) -> House:
        found = places({"DRILL_HOME": str(self.home)})
        return House(found, UTC, self.environment)

    def wishes(self) -> Settings:
        return load(self.house.places, self.environment, {}, None).settings

    def trainer(self, **more: Any) -> Trainer:
        house, ids = self.house, iter(range(10**6))
        context = Context(
            open_room=lambda: Room(Store.open(house.log), self.wishes().names, UTC, None, MORNING),
            make_player=lambda: self.player,
            folders=house.deck_folders,
            wishes=self.wishes,
            plan=lambda wishes, deck, now: self.plan(deck_plan(deck, now, wishes, None)),
            timing=lambda wishes: Setting(volume=wishes.volume, a4=wishes.a4),
            utc_now=lambda: MORNING,
            monotonic=lambda: 0.0,
            new_id=lambda: f"00000000-0000-4000-8000-{next(ids):012d}",
            seed=7,
            log=self.home / "log",
            first_deck=FIRST_DECK,
            opened=house.opened,
            settings=SettingsFile(house.places, self.environment, {}),
        )
        return Trainer(replace(context, **more), Looks(UNICODE, Theme.DARK, monochrome=False))


def errands(real: RealHouse) -> CommandErrands:
    """What the screens of this house have done by commands."""
    streams = StringIO(), StringIO(), StringIO()
    return CommandErrands(Tools(real.house, *streams, lambda: MORNING, {}))


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder in which the program was started."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def real(home: Path, request: pytest.FixtureRequest) -> RealHouse:
    """A home whose player has named a horn, an alto; a file of tests may have another as HORN."""
    horn = getattr(request.module, "HORN", "alto_sax")
    house = RealHouse(home)
    (home / "decks").mkdir(parents=True, exist_ok=True)
    house.house.places.settings.write_text(f'horn = "{horn}"\n', encoding="utf-8")
    return house


@pytest.fixture
def trainer(real: RealHouse, request: pytest.FixtureRequest) -> Iterator[Trainer]:
    """The screens of that home; they can do errands where a file of tests says AT_A_DESK."""
    at_a_desk = getattr(request.module, "AT_A_DESK", False)
    made = real.trainer(errands=errands(real)) if at_a_desk else real.trainer()
    yield made
    made.studio.close()
