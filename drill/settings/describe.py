"""The settings in force as rows for a person or a program."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from drill.settings.catalogue import FIELDS, KEYS, value_of
from drill.settings.load import Layer, Origin
from drill.settings.reading import spelled
from drill.settings.values import Settings
from drill.terms import Instrument
from drill.theory.instruments import NO_HORN

Plain = str | float | bool | list[str] | None
"""A value as JSON has it; None leaves it to the deck, or names no horn."""


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One setting in force."""

    name: str
    value: Plain
    shown: str
    """The value as ``drill config set`` takes it."""
    origin: Origin


def describe(settings: Settings, origins: Mapping[str, Origin]) -> tuple[SettingRow, ...]:
    """A row for each setting, then one for each action with keys of the player's own."""
    rows = []
    for own in FIELDS:
        value = value_of(settings, own)
        origin = origins.get(own.name, Origin(Layer.DEFAULT))
        rows.append(SettingRow(own.name, _plain(value), spelled(own, value), origin))
    for remap in settings.keys:
        name = f"{KEYS}.{remap.action}"
        origin = origins.get(name, Origin(Layer.DEFAULT))
        rows.append(SettingRow(name, list(remap.keys), " ".join(remap.keys), origin))
    return tuple(rows)


def _plain(value: object) -> Plain:
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, Instrument):
        return None if value == NO_HORN else value.id
    if isinstance(value, tuple):
        return [str(each) for each in value]
    assert value is None or isinstance(value, (str, bool, float, int))
    return value
