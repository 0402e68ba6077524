"""Which slip an answer shows: exact tests on note names, in a fixed order, every fit kept.

The order is a teacher's: the simpler sentence first.  Cells are short, so that
several slips often fit; the first is named, and a slip of its own class that
points at the key of the prompt before is preferred within the class.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from drill.marking.question import Question
from drill.marking.read import Typed
from drill.marking.verdict import Hypothesis, Marked, Outcome, Slip
from drill.terms import Descent, Direction, Ending, Key, Mode, Name, Pattern, Shape, shape_text
from drill.theory.engine import Engine
from drill.theory.names import Language, say_name, show_name
from drill.theory.patterns import PATTERNS
from drill.theory.runs import cell_on
from drill.theory.scales import (
    SCALES,
    fifths_of,
    key_label,
    name_of_fifths,
    signature,
    signature_names,
    tonics,
)
from drill.theory.spelling import moved

Names = tuple[Name, ...]

_MIXTURES = (
    "natural_minor", "harmonic_minor", "melodic_minor_jazz", "dorian", "mixolydian", "lydian",
    "major",
)  # fmt: skip


class Diagnoser:
    """Names the slip in a wrong answer.  It keeps the cells it has spelled, so that no answer
    waits for the same spelling twice."""

    def __init__(self, engine: Engine, language: Language = Language.ENGLISH) -> None:
        self._engine = engine
        self._language = language
        self._cells: dict[tuple[Key, str, Descent, Direction, int, Shape, int], Names] = {}

    def warm(self, scale: str) -> None:
        """Spell the scales that a slip in this scale may be compared with."""
        for tonic in tonics(scale):
            self._engine.scale(Key(tonic, scale))
            for other in _MIXTURES:
                self._engine.scale(Key(tonic, other))

    def hypotheses(
        self, question: Question, typed: tuple[Typed, ...], marked: tuple[Marked, ...]
    ) -> tuple[Hypothesis, ...]:
        """Every slip that explains the answer, the one to name first; never empty.

        ``typed`` is an answer with at least one fault in ``marked``.
        """
        case = _Case(self, question, typed, marked)
        found: list[Hypothesis] = []
        for test in case.tests():
            found.extend(test())
        if not found:
            found.append(Hypothesis(Slip.UNEXPLAINED, f"the cell is {case.shown(case.expected)}"))
        return tuple(found)

    def names(
        self,
        key: Key,
        pattern: Pattern,
        direction: Direction,
        start: int,
        shape: Shape,
        clip: int = 0,
    ) -> Names:
        """The names of the cell on a position of a key, from memory where it is known."""
        place = (key, pattern.text, pattern.descent, direction, start, shape, clip)
        found = self._cells.get(place)
        if found is None:
            cell = cell_on(self._engine, key, pattern, direction, start, shape, clip=clip)
            found = self._cells[place] = tuple(note.name for note in cell.notes)
        return found

    def say(self, name: Name) -> str:
        """A name in a sentence: in words in English, else as it is written."""
        if self._language is Language.ENGLISH:
            return say_name(name, self._language)
        return show_name(name, self._language)

    def show(self, names: Names) -> str:
        """Names as the player types them."""
        return " ".join(show_name(name, self._language) for name in names)

    @property
    def language(self) -> Language:
        return self._language


class _Case:
    """One wrong answer and the tests it is put to."""

    def __init__(
        self,
        desk: Diagnoser,
        question: Question,
        typed: tuple[Typed, ...],
        marked: tuple[Marked, ...],
    ) -> None:
        self.desk = desk
        self.question = question
        self.typed = typed
        self.marked = marked
        self.answer: Names = tuple(note.name for note in typed)
        self.expected: Names = tuple(note.name for note in question.cell.notes)
        self.key = question.run.key
        self.pattern = question.run.pattern
        self.keyed = self.pattern.mode is Mode.KEY
        self.size = len(SCALES[self.key.scale].up)
        self.start = question.cell.degree - 1
        self.shape = next(
            (shape for shape in self.pattern.cells if shape_text(shape) == question.cell.shape),
            self.pattern.cells[0],
        )

    def tests(self) -> tuple[Callable[[], Iterator[Hypothesis]], ...]:
        """The tests in order."""
        everywhere = (
            self._name, self._concert, self._octave, self._direction, self._degree,
            self._backwards, self._swapped, self._length,
        )  # fmt: skip
        if not self.keyed:
            return (*everywhere, self._alteration, self._letter, self._b_or_h)
        return (
            *everywhere, self._signature, self._alteration, self._neighbour, self._other_key,
            self._shape, self._letter, self._mixture, self._b_or_h,
        )  # fmt: skip

    # Each test yields the hypotheses of its class, the best first.

    def _name(self) -> Iterator[Hypothesis]:
        outcomes = {mark.outcome for mark in self.marked}
        if outcomes <= {Outcome.RIGHT, Outcome.NAME}:
            place = next(i for i, mark in enumerate(self.marked) if mark.outcome is Outcome.NAME)
            want, got = self.expected[place], self.answer[place]
            where = f"in {key_label(self.key)}" if self.keyed else "here"
            yield Hypothesis(
                Slip.NAME,
                f"right sound, wrong name: {where} it is written {self._say(want)}, "
                f"not {self._say(got)}",
            )

    def _concert(self) -> Iterator[Hypothesis]:
        horn = self.question.horn
        if horn is None or horn.semitones % 12 == 0:
            return
        strict = tuple(moved(name, horn.steps, horn.semitones) for name in self.expected)
        sounds = tuple(name.pitch_class for name in strict)
        if self.answer == strict or tuple(name.pitch_class for name in self.answer) == sounds:
            yield Hypothesis(
                Slip.CONCERT,
                f"those are the sounding notes: write what you read, {self.shown(self.expected)}",
            )

    def _octave(self) -> Iterator[Hypothesis]:
        if self.answer != self.expected:
            return
        for note, want in zip(self.typed, self.question.cell.notes, strict=True):
            if note.octave is not None and note.octave != want.octave:
                yield Hypothesis(Slip.OCTAVE, f"right names, wrong octave: the note is {want}")
                return

    def _direction(self) -> Iterator[Hypothesis]:
        cell = self.question.cell
        if not self.keyed:
            return
        other = Direction.DOWN if cell.direction is Direction.UP else Direction.UP
        # The upper tonic and the lower have the same cell by name.
        if self.answer == self._names(self.key, self.pattern, other, self.start, self.shape):
            way = "coming down" if other is Direction.DOWN else "going up"
            yield Hypothesis(
                Slip.DIRECTION,
                f"that is the cell on {cell.label} {way}; this one goes {cell.direction.value}",
            )

    def _degree(self) -> Iterator[Hypothesis]:
        own = self.question.cell
        if not self.keyed:
            for cell in self.question.run.cells:
                names = tuple(note.name for note in cell.notes)
                if cell is not own and names == self.answer:
                    yield Hypothesis(
                        Slip.DEGREE, f"that is the cell on {cell.label}; asked was {own.label}"
                    )
                    return
            return
        places = sorted(
            (place for place in range(self.start - self.size + 1, self.start + self.size)),
            key=lambda place: (abs(place - self.start), -place),
        )
        seen: set[int] = set()
        for place in places:
            if (place - self.start) % self.size == 0 or place % self.size in seen:
                continue
            if self.answer == self._names(self.key, self.pattern, own.direction, place, self.shape):
                seen.add(place % self.size)
                label = place % self.size + 1
                yield Hypothesis(
                    Slip.DEGREE, f"that is the cell on {label}; asked was the one on {own.label}"
                )

    def _backwards(self) -> Iterator[Hypothesis]:
        if self.answer == self.expected[::-1]:
            yield Hypothesis(
                Slip.BACKWARDS, f"read backwards: the cell is {self.shown(self.expected)}"
            )

    def _swapped(self) -> Iterator[Hypothesis]:
        if Counter(self.answer) != Counter(self.expected):
            return
        off = [
            place
            for place, (got, want) in enumerate(zip(self.answer, self.expected, strict=True))
            if got != want
        ]
        if len(off) == 2:
            first, second = (self._say(self.expected[place]) for place in off)
            yield Hypothesis(Slip.SWAPPED, f"two notes swapped: {first} comes before {second}")
        elif off:
            yield Hypothesis(
                Slip.SWAPPED, f"the right notes in another order: {self.shown(self.expected)}"
            )

    def _length(self) -> Iterator[Hypothesis]:
        got, want = len(self.answer), len(self.expected)
        if got < want and self.answer == self.expected[:got]:
            rest = self.shown(self.expected[got:])
            yield Hypothesis(Slip.STOPPED, f"stopped early: {rest} is still to come")
        elif got > want and self.answer[:want] == self.expected:
            yield Hypothesis(
                Slip.RAN_ON, f"ran on: the cell ends on {self._say(self.expected[-1])}"
            )

    def _signature(self) -> Iterator[Hypothesis]:
        printed = signature_names(signature(self.key))
        wrong = self._plainly_natural()
        if not wrong or any(self.expected[place] not in printed for place in wrong):
            return
        place = wrong[0]
        want = self.expected[place]
        newest = printed[-1] == want and len({self.expected[p] for p in wrong}) == 1
        also = ""
        if newest and abs(signature(self.key)) <= 7:
            fewer = signature(self.key) - (1 if signature(self.key) > 0 else -1)
            also = f" (the signature of {self._tonic_with(fewer)} lacks it)"
        yield Hypothesis(
            Slip.SIGNATURE,
            f"{self._say(self.answer[place])} natural: the signature of {self._spoken_key()} "
            f"has {self._say(want)}{also}",
        )

    def _alteration(self) -> Iterator[Hypothesis]:
        printed = signature_names(signature(self.key)) if self.keyed else ()
        wrong = self._plainly_natural()
        if not wrong or all(self.expected[place] in printed for place in wrong):
            return
        place = next(place for place in wrong if self.expected[place] not in printed)
        cell = self.question.cell
        where = key_label(self.key) if self.keyed else f"{cell.shape} on {cell.label}"
        yield Hypothesis(
            Slip.ALTERATION,
            f"{self._say(self.answer[place])} natural: {where} has "
            f"{self._say(self.expected[place])}",
        )

    def _neighbour(self) -> Iterator[Hypothesis]:
        if not self._same_letters():
            return
        own = signature(self.key)
        fits = [
            fifths
            for fifths in range(-7, 8)
            if fifths != own and all(_in_signature(name, fifths) for name in self.answer)
        ]
        before = signature(self.question.before) if self.question.before else None
        parallel = own - 3 if SCALES[self.key.scale].shift == 0 else own + 3

        def nearness(fifths: int) -> tuple[int, int]:
            if abs(fifths - own) == 1:
                return (0, abs(fifths))
            if fifths == before:
                return (1, 0)
            return (2 if fifths == parallel else 3, abs(fifths - own))

        for fifths in sorted(fits, key=nearness)[:1]:
            yield Hypothesis(
                Slip.NEIGHBOUR,
                f"that is the signature of {self._tonic_with(fifths)}, not of {key_label(self.key)}",
            )

    def _other_key(self) -> Iterator[Hypothesis]:
        direction = self.question.cell.direction
        fits = [
            tonic
            for tonic in tonics(self.key.scale)
            if tonic != self.key.tonic
            and self.answer
            == self._names(
                Key(tonic, self.key.scale), self.pattern, direction, self.start, self.shape
            )
        ]
        before = self.question.before
        fits.sort(
            key=lambda tonic: (
                before is None or tonic != before.tonic,
                abs(fifths_of(tonic) - fifths_of(self.key.tonic)),
            )
        )
        for tonic in fits[:1]:
            yield Hypothesis(
                Slip.OTHER_KEY,
                f"that is the cell on {self.question.cell.label} of "
                f"{key_label(Key(tonic, self.key.scale))}",
            )

    def _shape(self) -> Iterator[Hypothesis]:
        if not self.answer or self.answer[0] != self.expected[0]:
            return
        direction = self.question.cell.direction
        for other in PATTERNS.values():
            shape = other.cells[0]
            if shape == self.shape or len(shape) != len(self.answer):
                continue
            if self.answer == self._names(self.key, other, direction, self.start, shape):
                yield Hypothesis(
                    Slip.SHAPE, f"that is {other.text}, {other.name}; asked was {self.pattern.text}"
                )
                return

    def _letter(self) -> Iterator[Hypothesis]:
        if len(self.answer) != len(self.expected):
            return
        off = [
            place
            for place, mark in enumerate(self.marked)
            if mark.outcome in (Outcome.WRONG, Outcome.NAME)
        ]
        if len(off) == 1:
            got, want = self.answer[off[0]], self.expected[off[0]]
            yield Hypothesis(Slip.LETTER, f"one note off: {self._say(got)} for {self._say(want)}")

    def _mixture(self) -> Iterator[Hypothesis]:
        if not self._same_letters() or self.size != 7:
            return
        direction = self.question.cell.direction
        for scale in _MIXTURES:
            if scale == self.key.scale or len(SCALES[scale].up) != self.size:
                continue
            other = Key(self.key.tonic, scale)
            if self.answer == self._names(other, self.pattern, direction, self.start, self.shape):
                yield Hypothesis(Slip.MIXTURE, f"those notes are in {key_label(other)}")
                return

    def _b_or_h(self) -> Iterator[Hypothesis]:
        english = self.desk.language is Language.ENGLISH
        natural, flat = Name("B"), Name("B", -1)
        take, give = (flat, natural) if english else (natural, flat)
        if (
            take in self.answer
            and tuple(give if name == take else name for name in self.answer) == self.expected
        ):
            said = "the German names are a setting" if english else "B is B flat in German, H is B"
            yield Hypothesis(Slip.B_OR_H, f"with B and H taken the other way it is right: {said}")

    # What the tests share.

    def _names(
        self, key: Key, pattern: Pattern, direction: Direction, start: int, shape: Shape
    ) -> Names:
        clip = self.size if self.pattern.ending is Ending.CLIPPED else 0
        return self.desk.names(key, pattern, direction, start, shape, clip)

    def _same_letters(self) -> bool:
        return tuple(n.letter for n in self.answer) == tuple(n.letter for n in self.expected)

    def _plainly_natural(self) -> list[int]:
        """The places that are wrong, where each is a natural for an altered note; else none."""
        if not self._same_letters():
            return []
        off = [i for i, got in enumerate(self.answer) if got != self.expected[i]]
        if all(self.answer[i].alter == 0 and self.expected[i].alter != 0 for i in off):
            return off
        return []

    def _tonic_with(self, fifths: int) -> str:
        shift = SCALES[self.key.scale].shift
        return key_label(Key(name_of_fifths(fifths - shift), self.key.scale))

    def _spoken_key(self) -> str:
        return str(self.key.tonic) if self.key.scale == "major" else key_label(self.key)

    def _say(self, name: Name) -> str:
        return self.desk.say(name)

    def shown(self, names: Names) -> str:
        return self.desk.show(names)


def _in_signature(name: Name, fifths: int) -> bool:
    """Whether a name stands unaltered under a signature."""
    altered = {other.letter: other.alter for other in signature_names(fifths)}
    return altered.get(name.letter, 0) == name.alter
