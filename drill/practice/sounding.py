"""What a practice lets be heard, as a take: one way for lines and screens."""

from __future__ import annotations

from dataclasses import replace

from drill.marking.back import Back
from drill.memory.kinds import Kind
from drill.practice.effects import Sound
from drill.sound.limits import VOLUME
from drill.sound.take import Take, ear_take, verdict_take

BY_EAR = (Kind.EAR.value, Back.DIFFERENT.value)
"""The kinds of prompt that are heard."""
BREATH_S = 0.8
"""Silence between two cells that are compared."""


def take_of(sound: Sound, *, volume: float = VOLUME, a4: float = 440.0) -> Take:
    """The take of a sound: the cell; by ear the tonic first; and a second cell after a breath.

    ``volume`` is 0 to 1, ``a4`` hertz.
    """
    if sound.tonic is None:
        return verdict_take(sound.midi, sound.program, volume=volume, a4=a4)
    first = ear_take(sound.tonic, sound.midi, sound.program, volume=volume, a4=a4)
    if not sound.second:
        return first
    # The second cell at the pace of the first: an ear take without its tonic.
    again = ear_take(sound.tonic, sound.second, sound.program, volume=volume, a4=a4)
    _, *cell = again.events
    shift = first.length_s + BREATH_S - cell[0].onset_s
    moved = tuple(replace(event, onset_s=event.onset_s + shift) for event in cell)
    return replace(first, events=(*first.events, *moved), length_s=again.length_s + shift)


def heard_kinds(kinds: tuple[str, ...], *, silent: bool) -> tuple[str, ...]:
    """The kinds of prompt, without those by ear while nothing sounds; those alone stay."""
    rest = tuple(kind for kind in kinds if kind not in BY_EAR)
    return rest if silent and rest else kinds
