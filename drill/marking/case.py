"""One wrong answer with all that its diagnosis asks about: names and places."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from drill.marking.forms import Form, Names, agree, fits, form_of, is_keyed
from drill.marking.question import Question
from drill.marking.typed import Typed
from drill.marking.verdict import Marked, Outcome
from drill.terms import (
    Cell,
    Descent,
    Direction,
    Ending,
    Key,
    Name,
    Scale,
    Shape,
    Span,
    shape_text,
)
from drill.theory.language import Language
from drill.theory.scales import SCALES, scale_of, signature, signature_names


class Case:
    """A wrong answer beside the question.

    ``answer`` and ``expected`` are names without octaves; a *place* is an index
    into them, a *start* a position of the scale.
    """

    def __init__(
        self,
        language: Language,
        question: Question,
        typed: tuple[Typed, ...],
        marked: tuple[Marked, ...],
    ) -> None:
        self.language = language
        self.question = question
        self.typed = typed
        self.marked = marked
        self.cell = question.cell
        self.answer: Names = tuple(note.name for note in typed)
        self.expected: Names = tuple(note.name for note in self.cell.notes)
        self.by_sound = self.cell.by_sound or (False,) * len(self.expected)
        self.key = question.run.key
        self.pattern = question.run.pattern
        self.keyed = is_keyed(self.pattern)
        self.size = len(SCALES[self.key.scale].up)
        self.scale_by_sound = self.keyed and SCALES[self.key.scale].by_sound
        self.start = self.cell.degree - 1
        self.same_length = len(self.answer) == len(self.expected)
        self.off: tuple[int, ...] = ()
        """The places that are not right, where the answer has as many notes as the cell."""
        if self.same_length:
            self.off = tuple(
                place for place, mark in enumerate(marked) if mark.outcome is not Outcome.RIGHT
            )
        self.shape: Shape = next(
            (shape for shape in self.pattern.cells if shape_text(shape) == self.cell.shape),
            self.pattern.cells[0],
        )

    @cached_property
    def scale(self) -> Scale:
        """The key's scale; not for root mode, where its tonic need not have one."""
        return scale_of(self.key)

    @property
    def before(self) -> Key | None:
        """The key of the prompt before."""
        return self.question.before.key if self.question.before else None

    @property
    def top(self) -> int:
        """The position of the run's upper tonic; -1 where the run has the whole horn."""
        run = self.question.run
        if run.span is Span.FULL or not self.keyed:
            return -1
        highest = max(cell.degree for cell in run.cells) - 1
        return max(1, -(-highest // self.size)) * self.size

    @property
    def clip(self) -> int:
        """The position at which a clipped run turns back; 0 where it is not clipped."""
        return max(0, self.top) if self.pattern.ending is Ending.CLIPPED else 0

    def same_letters(self) -> bool:
        """Whether every note typed has the letter of the note expected."""
        return self.same_length and all(
            got.letter == want.letter for got, want in zip(self.answer, self.expected, strict=True)
        )

    def agrees_with(self, wanted: Names) -> bool:
        """Whether the answer is the cell expected but for its order: by name, or by sound."""
        return len(wanted) == len(self.answer) and agree(self.answer, wanted, self.by_sound)

    def is_cell(self, cell: Cell) -> bool:
        """Whether the answer is another spelled cell."""
        notes, flags = cell.notes, cell.by_sound or (False,) * len(cell.notes)
        return len(notes) == len(self.answer) and agree(
            self.answer, (note.name for note in notes), flags
        )

    def form(self, direction: Direction, start: int, shape: Shape | None = None) -> Form:
        """The form of a shape, the cell's own when None, as this run would have it there."""
        return self.form_by(self.pattern.descent, direction, start, shape, self.clip)

    def form_by(
        self,
        descent: Descent,
        direction: Direction,
        start: int,
        shape: Shape | None = None,
        clip: int = 0,
    ) -> Form:
        """The form of a shape under any descent, turned back at ``clip``."""
        shape = self.shape if shape is None else shape
        return form_of(self.size, shape, descent, direction, start if clip else 0, clip)

    def fits(self, form: Form, start: int, direction: Direction, key: Key | None = None) -> bool:
        """Whether the answer is that form on a position of this or another key."""
        if len(form) != len(self.answer):  # the commonest reason, and the cheapest to find
            return False
        scale, by_sound = self.scale, self.scale_by_sound
        if key is not None:
            scale, by_sound = scale_of(key), SCALES[key.scale].by_sound
        return fits(self.answer, scale.names(direction), form, start, by_sound=by_sound)

    def signature_name(self, letter: str) -> Name:
        """What the signature makes of a letter; natural letters in root mode."""
        if self.keyed:
            for name in signature_names(signature(self.key)):
                if name.letter == letter:
                    return name
        return Name(letter)

    def scale_formula(self) -> tuple[str, ...]:
        """The degrees of the key's scale in the form in use."""
        kind = SCALES[self.key.scale]
        return kind.up if self.cell.direction is Direction.UP else kind.down

    def degree_at(self, place: int) -> int:
        """Which degree of the key, 1 to 7, the note expected at a place is."""
        offset, _ = self.form(self.cell.direction, self.start)[place]
        up = self.cell.direction is Direction.UP
        degrees = self.scale.degrees if up else self.scale.degrees_down
        return degrees[(self.start + offset) % len(degrees)]

    def start_label(self, start: int, direction: Direction) -> str:
        """A degree of one octave: 8 for the tonic a run comes down from."""
        place = start % self.size
        top = place == 0 and direction is Direction.DOWN
        return str(self.size + 1 if top else place + 1)

    def pairs(self, places: Iterator[int]) -> tuple[tuple[Name, Name], ...]:
        """What was typed and what was expected at some places, each pair once."""
        return tuple(dict.fromkeys((self.answer[at], self.expected[at]) for at in places))
