"""The trainer on screens, as the command line and the settings ask for it."""

from __future__ import annotations

import argparse
import gc
import os
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from drill.clock import fresh_seed, monotonic
from drill.opening.house import House, new_id
from drill.opening.once import deck_for
from drill.opening.plan import (
    FIRST_DECK,
    MY_PRACTICE,
    deck_plan,
    flags_of,
    is_new,
    open_microphone,
    open_midi,
    player_for,
    setting_of,
)
from drill.opening.tools import Tools
from drill.settings.at_hand import names_here
from drill.settings.load import load
from drill.settings.values import Motion, Settings

if TYPE_CHECKING:
    from drill.settings.load import Loaded
    from drill.tui.outside import Errands


def on_screens(
    args: argparse.Namespace,
    loaded: Loaded,
    asked: tuple[str, ...] | None,
    tools: Tools,
    errands: Errands,
) -> int:
    """The trainer, until the player leaves it; the screens' own exit code."""
    gc.disable()  # until the first screen stands: a start makes much and drops little
    from drill.tui.app import run as run_screens
    from drill.tui.context import Context
    from drill.tui.desk_settings import SettingsFile, known_actions

    house = tools.house
    if loaded.settings.motion is Motion.REDUCED:
        os.environ.setdefault("TEXTUAL_ANIMATIONS", "none")
    # What is wrong with a deck is said before a screen is drawn.
    deck = deck_for(args, house, args.deck)
    just_read = [loaded.settings]

    def settings() -> Settings:
        if just_read:
            return just_read.pop()
        return load(house.places, tools.environment, flags_of(args), Path(), known_actions).settings

    return int(
        run_screens(
            Context(
                open_room=lambda: house.room(settings().names, tools.now()),
                make_player=lambda: player_for(settings(), tools),
                folders=house.deck_folders,
                wishes=settings,
                plan=lambda wishes, deck, now: deck_plan(deck, now, wishes, asked),
                timing=partial(setting_of, args),
                tempo=args.tempo,
                opened=house.opened,
                walk=getattr(args, "walk", None),
                utc_now=tools.now,
                monotonic=monotonic,
                new_id=new_id,
                seed=args.seed if args.seed is not None else fresh_seed(),
                log=house.places.log,
                deck=deck if deck is None or deck.path is None else deck.path,
                ask_first=deck is None and is_new(house, loaded.settings),
                names_here=names_here(tools.environment),
                first_deck=_first(house),
                microphone=open_microphone,
                midi=None if args.midi is None else partial(open_midi, args.midi),
                errands=errands,
                settings=SettingsFile(house.places, tools.environment, flags_of(args)),
            )
        )
    )


def _first(house: House) -> str:
    """The deck that Today stands on before anything was answered: one's own, where it is there."""
    own = house.places.decks / MY_PRACTICE
    return own.stem if own.exists() else FIRST_DECK
