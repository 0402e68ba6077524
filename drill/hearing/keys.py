"""A cell played on a MIDI instrument as the answer to a prompt: strokes in, what was heard out."""

from __future__ import annotations

from drill.hearing.hear import hear_events
from drill.hearing.values import Asked, Heard, HeardAs, MidiNote

ENDED_S = 0.25
"""Silence after the last note that ends a cell which is not right."""
STOPPED_S = 1.25
"""Silence after which the player has stopped."""

Stroke = tuple[str, float, int, int]
"""``on`` or ``off``, seconds, number and velocity (MIDI 1.0)."""


class KeyCell:
    """Listens for one cell."""

    def __init__(self, pitches: tuple[int, ...]) -> None:
        self._asked = Asked(pitches, None, group=max(3, len(pitches)))
        self._open: dict[int, tuple[float, int]] = {}
        self._done: list[MidiNote] = []
        self._last = 0.0

    @property
    def began(self) -> bool:
        """Whether anything was played yet."""
        return bool(self._open or self._done)

    def tell(self, stroke: Stroke) -> None:
        """Take in a stroke."""
        word, at, pitch, velocity = stroke
        self._last = at
        if pitch in self._open:
            on, force = self._open.pop(pitch)
            self._done.append(MidiNote(on, max(at, on + 0.001), pitch, force))
        if word == "on" and velocity:
            self._open[pitch] = at, velocity

    def answer(self, quiet_s: float) -> Heard | None:
        """What was heard, once it can be judged; ``quiet_s`` since the last stroke."""
        if not self.began:
            return None
        now = self._last + quiet_s
        sounding = [
            MidiNote(on, max(now, on + 0.001), pitch, force)
            for pitch, (on, force) in self._open.items()
        ]
        events = sorted([*self._done, *sounding], key=lambda each: each.on_s)
        heard = hear_events(events, self._asked)
        if all(note.outcome is HeardAs.RIGHT for note in heard.notes):
            return heard
        reached = heard.notes[-1].outcome is not HeardAs.UNHEARD
        silent = not self._open and quiet_s > (ENDED_S if reached else STOPPED_S)
        return heard if silent else None
