"""The settings as the Settings screen works on them: shown with their origin, written back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from drill.errors import DrillError
from drill.places import Places
from drill.settings.catalogue import BY_NAME, DECK, NONE, Shape
from drill.settings.load import load
from drill.wording.keys import KEYS_OF_ACTION

if TYPE_CHECKING:
    from drill.settings.describe import SettingRow
    from drill.settings.keymap import KnownAction


def known_actions() -> tuple[KnownAction, ...]:
    """The screens' actions, as far as their keys can be changed."""
    from drill.settings.keymap import KnownAction, typing
    from drill.tui.actions import ACTIONS, Place

    actions = (
        KnownAction(action.id, action.keys, tuple(place.called for place in action.places))
        for action in ACTIONS
    )
    return (*actions, typing(Place.STAND.called))


@dataclass(frozen=True, slots=True)
class SettingsFile:
    """One player's settings, read anew each time they are shown."""

    places: Places
    environment: Mapping[str, str]
    flags: Mapping[str, str | None]

    def settings(self) -> tuple[SettingRow, ...]:
        """Every setting with its value in force and where it came from."""
        from drill.settings.describe import describe  # no first frame waits for it

        loaded = load(self.places, self.environment, self.flags, Path(), known_actions)
        return describe(loaded.settings, loaded.origins)

    def put(self, name: str, value: str) -> str:
        """Write a value to the player's own file; what was wrong, empty where nothing was."""
        from drill.settings.write import write_setting

        try:
            write_setting(self.places.settings, name, value, known_actions())
        except DrillError as error:
            return str(error)
        return ""


def about(name: str) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """What a setting does, the values it may take, and those of which it may take several."""
    own = BY_NAME.get(name)
    if own is None:
        return KEYS_OF_ACTION, (), ()
    if own.shape is Shape.HORN:
        from drill.decks.mine import horns

        return own.what, (NONE, *(horn.id for horn in horns())), ()
    words = tuple(word.value for word in own.words or ())
    if own.shape is Shape.FLAG:
        words = (*((DECK,) if own.optional else ()), "true", "false")
    return (own.what, (), words) if own.shape is Shape.WORDS else (own.what, words, ())
