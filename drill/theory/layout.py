"""Cells laid out in positions of a scale, and spelled."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drill.terms import (
    LETTERS,
    Cell,
    Descent,
    Digit,
    Direction,
    Key,
    Note,
    Pattern,
    Scale,
    Shape,
    shape_text,
)
from drill.theory.limits import HOME_OCTAVE, Limits
from drill.theory.scales import SCALES, scale_of
from drill.theory.spelling import NEIGHBOURS, moved_note


@dataclass(frozen=True, slots=True)
class Placed:
    """One cell before spelling: where it starts, its form, and its shape."""

    start: int
    direction: Direction
    shape: Shape
    clip: int
    """Positions above 0 at which a clipped run turns back; 0 clips nothing."""


class Layout:
    """A pattern in a key: from positions to spelled cells."""

    def __init__(self, key: Key, pattern: Pattern) -> None:
        self.scale: Scale = scale_of(key)
        self.pattern = pattern
        self.size = len(self.scale.up)
        self.by_sound = SCALES[key.scale].by_sound

    def note(self, position: int, octave: int, direction: Direction) -> Note:
        """The note on a position when the lower tonic stands in ``octave``."""
        down = direction is Direction.DOWN
        names = self.scale.down if down else self.scale.up
        degrees = self.scale.degrees_down if down else self.scale.degrees
        octaves, place = divmod(position, self.size)
        tonic = LETTERS.index(self.scale.up[0].letter)
        name = names[place]
        steps = 7 * (octave + octaves) + tonic + degrees[place] - 1
        return Note(name.letter, name.alter, steps // 7)

    def cell(self, plan: Placed, octave: int) -> Cell:
        """The spelled cell of a plan."""
        notes = [self._sounded(item, plan, octave) for item in plan.shape]
        by_sound = [self.by_sound or bool(item.modifier) for item in plan.shape]
        retro = self.pattern.descent in (Descent.RETROGRADE, Descent.RETROGRADE_INVERSION)
        if plan.direction is Direction.DOWN and retro:
            notes.reverse()
            by_sound.reverse()
        return Cell(
            plan.start + 1,
            self.label(plan.start),
            plan.direction,
            tuple(notes),
            shape_text(plan.shape),
            tuple(by_sound),
        )

    def is_within(self, plan: Placed) -> bool:
        """Whether a cell of a clipped run stays between its two tonics as it is."""
        unclipped = self.cell(replace(plan, clip=0), HOME_OCTAVE).notes
        ends = (self.note(end, HOME_OCTAVE, plan.direction) for end in (0, plan.clip))
        return Limits(*ends).hold(unclipped)

    def label(self, position: int) -> str:
        """How players write the degree of a start: 1 to 8, 9 .. above, ``7.`` below."""
        if position >= 0:
            return str(position + 1)
        octaves, place = divmod(position, self.size)
        return f"{place + 1}" + "." * -octaves

    def _sounded(self, item: Digit, plan: Placed, octave: int) -> Note:
        offset = steps_from(item, self.size)
        modifier = item.modifier
        if plan.direction is Direction.DOWN:
            if self.pattern.descent in (Descent.MIRROR, Descent.RETROGRADE_INVERSION):
                offset, modifier = -offset, _turned(modifier)
            elif self.pattern.descent is Descent.CHORD_TONES:
                offsets = [steps_from(other, self.size) for other in plan.shape]
                offset, modifier = max(offsets) + min(offsets) - offset, _turned(modifier)
        position = plan.start + offset
        if plan.clip:
            position, modifier = _folded(position, modifier, plan.clip)
        note = self.note(position, octave, plan.direction)
        if not modifier:
            return note
        found = moved_note(note, *NEIGHBOURS[modifier])
        if plan.clip:
            ends = Limits(*(self.note(end, octave, plan.direction) for end in (0, plan.clip)))
            if not ends.hold((found,)):
                found = moved_note(note, *NEIGHBOURS[_turned(modifier)])
        return found


def cell_on(
    key: Key,
    pattern: Pattern,
    direction: Direction,
    start: int,
    shape: Shape,
    *,
    clip: int = 0,
) -> Cell:
    """The cell on one position of any key, wherever the horn ends: for comparing names.

    ``clip`` is the position at which a clipped run turns back; 0 clips nothing.
    """
    layout = Layout(key, pattern)
    return layout.cell(Placed(start, direction, shape, clip), HOME_OCTAVE)


def steps_from(item: Digit, size: int) -> int:
    """Positions from the start in a scale of ``size`` notes.

    1 to 7 count its notes, 8 and above name the octave above (8 is 1').  A dotted digit
    counts down from the octave: 7. is the note below in every scale, 6. the one below
    that; in a scale of five or six notes those above its last are the last.
    """
    octaves, step = divmod(item.degree - 1, 7)
    marks = octaves + item.octave
    if step and not octaves and (item.octave < 0 or item.below) and size != 7:
        last = min(step, size - 1) - size if size < 7 else step - 7
        return last + size * (item.octave if item.below else marks + 1)
    return step + size * (marks - item.below)


def _turned(modifier: str) -> str:
    """A chromatic neighbour seen in the mirror: below becomes above."""
    return modifier.translate(str.maketrans("lu", "ul"))


def _folded(position: int, modifier: str, top: int) -> tuple[int, str]:
    """A position turned back at the octave, so that 7-9 becomes 7-7 and 2-7. becomes 2-2."""
    while not 0 <= position <= top:
        position = 2 * top - position if position > top else -position
        modifier = _turned(modifier)
    return position, modifier
