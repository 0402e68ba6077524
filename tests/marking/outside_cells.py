"""Cells and wrong answers worked out without the program: names are plain ASCII text.

Major scales are mingus's (an open-source library with its own key tables), degrees of
the runs are those of ``reference/patterns.csv``, horns those of
``reference/instruments.csv``, accidentals counted on the line of fifths by hand.
The classes of slips and their exact tests are common practice, from memory; no source
counts how often players make them.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import chain, combinations, pairwise
from pathlib import Path

from mingus.core import keys as mingus_keys

REFERENCE = Path(__file__).resolve().parents[1] / "reference"
FIFTEEN = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
"""The major keys from seven flats to seven sharps, one fifth apart."""
UP, DOWN = "up", "down"

Names = tuple[str, ...]


def fifths(name: str) -> int:
    """Place of a name on the line of fifths, C 0, G 1, F -1."""
    return "FCGDAEB".index(name[0]) - 1 + 7 * (name.count("#") - name.count("b"))


def named(place: int) -> str:
    """The name on a place of the line of fifths."""
    alter, letter = divmod(place + 1, 7)
    return "FCGDAEB"[letter] + ("#" * alter if alter > 0 else "b" * -alter)


def pitch(name: str) -> int:
    """Semitones above C, 0 to 11."""
    return fifths(name) * 7 % 12


def bent(name: str, semitones: int) -> str:
    """The same letter, so many semitones higher."""
    return named(fifths(name) + 7 * semitones)


@cache
def major(tonic: str) -> Names:
    """The major scale as mingus spells it."""
    return tuple(mingus_keys.get_notes(tonic))


def signature(count: int) -> dict[str, str]:
    """Every letter under a signature of so many sharps (flats when negative)."""
    names = [named(count + place) for place in range(-1, 6)]
    return {name[0]: name for name in names}


@cache
def patterns() -> tuple[str, ...]:
    """The catalogue's patterns of two notes or more."""
    return tuple(row["id"] for row in _rows("patterns") if row["id"] != "scale")


@cache
def horns() -> dict[str, int]:
    """Fifths from written to sounding for each instrument: a major sixth down is -3."""
    sizes = {"M2": 2, "m3": -3, "M3": 4, "P4": -1, "P5": 1, "M6": 3, "M9": 2, "M13": 3, "P8": 0}
    found = {}
    for row in _rows("instruments"):
        size, _, way = row["written_to_sounding"].partition(" ")
        if row["semitones"] == "0":
            found[row["id"]] = 0
        elif size in sizes:
            found[row["id"]] = sizes[size] * (-1 if way == "down" else 1)
    return found


@cache
def _rows(table: str) -> list[dict[str, str]]:
    with (REFERENCE / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def degrees(pattern: str, direction: str) -> tuple[tuple[str, ...], ...]:
    """The cells of a run in degree tokens, without the closing tonic."""
    row = next(row for row in _rows("patterns") if row["id"] == pattern)
    column = row["ascending_degrees" if direction == UP else "descending_degrees"]
    return tuple(tuple(cell.split("-")) for cell in column.split(" | ")[:-1])


def _sound(token: str, scale: Names) -> str:
    """The name of a degree token; l and u take the adjacent letter (the open textbook's rule)."""
    bare = token.lstrip("lu")
    name = scale[(int(bare.rstrip(".'")) - 1) % 7]
    signs = token[: -len(bare)]
    if not signs:
        return name
    step = -1 if signs[0] == "l" else 1
    letter = "CDEFGAB"[("CDEFGAB".index(name[0]) + step) % 7]
    wanted = (pitch(name) + step * len(signs)) % 12
    return next(
        found for alter in (0, 1, -1, 2, -2, 3, -3) if pitch(found := bent(letter, alter)) == wanted
    )


@cache
def run(pattern: str, tonic: str, direction: str) -> tuple[Names, ...]:
    """The names of every cell of a run."""
    scale = major(tonic)
    return tuple(
        tuple(_sound(token, scale) for token in cell) for cell in degrees(pattern, direction)
    )


@cache
def chromatic(pattern: str) -> bool:
    """Whether a cell has chromatic neighbours, whose spelling no one agrees on."""
    return any(token[0] in "lu" for cell in degrees(pattern, UP) for token in cell)


@dataclass(frozen=True)
class Asked:
    """One cell of a run in a major key."""

    pattern: str
    tonic: str
    direction: str
    place: int
    """Which cell of the run, from 0."""
    horn: str = "flute"

    @property
    def cell(self) -> Names:
        return run(self.pattern, self.tonic, self.direction)[self.place]

    @property
    def cells(self) -> tuple[Names, ...]:
        return run(self.pattern, self.tonic, self.direction)

    @property
    def start(self) -> int:
        """Degree of the start, 0 to 6, the upper tonic 0."""
        step = 2 if self.pattern in ("thirds_alt", "sevenths_alt") else 1
        return (self.place * step if self.direction == UP else -self.place * step) % 7

    def here(self, pattern: str, direction: str, tonic: str = "") -> Names | None:
        """The cell of another run begun on the same degree; None where it has none there."""
        step = 2 if pattern in ("thirds_alt", "sevenths_alt") else 1
        place = self.start if direction == UP else -self.start % 7
        cells = run(pattern, tonic or self.tonic, direction)
        if place % step:
            return None
        return cells[place // step] if place // step < len(cells) else None


# Each slip as the answers that show it, worked out from the question alone.


def respelled(asked: Asked) -> Iterator[Names]:
    """One note under the nearest other name of its sound."""
    for place, name in enumerate(asked.cell):
        for away in (12, -12):
            other = named(fifths(name) + away)
            if len(other) <= 3:
                yield _put(asked.cell, place, other)


def sounding(asked: Asked) -> Iterator[Names]:
    """The notes that sound."""
    away = horns()[asked.horn]
    if away:
        yield tuple(named(fifths(name) + away) for name in asked.cell)


def overturned(asked: Asked) -> Iterator[Names]:
    """Flats for sharps, or sharps for flats: on every note, and on one name at a time."""
    altered = [name for name in dict.fromkeys(asked.cell) if len(name) > 1]
    if len({name[1] for name in altered}) > 1:
        return
    for group in (altered, *([name] for name in altered)):
        yield tuple(
            name.translate(str.maketrans("#b", "b#")) if name in group else name
            for name in asked.cell
        )


def inverted(asked: Asked) -> Iterator[Names]:
    """A chord in thirds begun on another of its notes."""
    tokens = degrees(asked.pattern, asked.direction)[asked.place]
    if asked.direction != UP or chromatic(asked.pattern) or len(tokens) < 3:
        return
    scale = major(asked.tonic)
    places = [scale.index(name) for name in asked.cell]
    if all((b - a) % 7 == 2 for a, b in pairwise(places)):
        yield from (asked.cell[turn:] + asked.cell[:turn] for turn in range(1, len(tokens)))


def turned(asked: Asked) -> Iterator[Names]:
    """The cell on the same degree, the other way."""
    found = asked.here(asked.pattern, DOWN if asked.direction == UP else UP)
    if found:
        yield found


def displaced(asked: Asked) -> Iterator[Names]:
    """The cell on another degree, the nearest first; also where the pattern has no start."""
    scale, cell = major(asked.tonic), degrees(asked.pattern, asked.direction)[asked.place]
    for steps in (1, -1, 2, -2, 3, -3):
        yield tuple(_sound(_moved(token, steps), scale) for token in cell)


def _moved(token: str, steps: int) -> str:
    """A degree token some steps on, octaves left aside."""
    bare = token.lstrip("lu")
    return token[: -len(bare)] + str((int(bare.rstrip(".'")) - 1 + steps) % 7 + 1)


def reversed_(asked: Asked) -> Iterator[Names]:
    yield asked.cell[::-1]


def swapped(asked: Asked) -> Iterator[Names]:
    """Two notes in each other's place, neighbours first; then every other order they may have."""
    size = len(asked.cell)
    for one, two in sorted(combinations(range(size), 2), key=lambda pair: pair[1] - pair[0]):
        notes = list(asked.cell)
        notes[one], notes[two] = notes[two], notes[one]
        yield tuple(notes)


def stopped(asked: Asked) -> Iterator[Names]:
    """The beginning of the cell."""
    yield from (asked.cell[:size] for size in range(len(asked.cell) - 1, 0, -1))


def overrun(asked: Asked) -> Iterator[Names]:
    """The cell and the beginning of the one after it."""
    after = _after(asked)
    yield from (asked.cell + after[:size] for size in (1, 2) if size <= len(after))


def _after(asked: Asked) -> Names:
    """The next cell of the run, or the tonic on which it ends."""
    following = asked.cells[asked.place + 1 :]
    return following[0] if following else (asked.tonic,)


def shortened(asked: Asked) -> Iterator[Names]:
    """The cell without one of its notes."""
    yield from (asked.cell[:at] + asked.cell[at + 1 :] for at in range(len(asked.cell)))


def padded(asked: Asked) -> Iterator[Names]:
    """The cell with a note of the scale put in."""
    for at in range(1, len(asked.cell)):
        yield from ((*asked.cell[:at], name, *asked.cell[at:]) for name in major(asked.tonic))


def _within(some: Names, every: Names) -> bool:
    """Whether names stand among others in the same order."""
    rest = iter(every)
    return all(name in rest for name in some)


def unsigned(asked: Asked) -> Iterator[Names]:
    """Naturals for some of the notes that the signature alters; one note name at a time first."""
    own = signature(fifths(asked.tonic))
    altered = [name for name in dict.fromkeys(asked.cell) if name == own[name[0]] != name[0]]
    groups = chain.from_iterable(combinations(altered, size) for size in range(1, len(altered) + 1))
    for group in groups:
        yield tuple(name[0] if name in group else name for name in asked.cell)


def unaltered(asked: Asked) -> Iterator[Names]:
    """A chromatic neighbour as the signature has its letter, or natural; or every note natural."""
    own = signature(fifths(asked.tonic))
    for place, token in enumerate(degrees(asked.pattern, asked.direction)[asked.place]):
        name = asked.cell[place]
        if token[0] in "lu" and name != own[name[0]]:
            yield _put(asked.cell, place, own[name[0]])
            if len(name) > 1:
                yield _put(asked.cell, place, name[0])
                yield tuple(each[0] for each in asked.cell)


def neighbours(asked: Asked) -> Iterator[Names]:
    """The same letters under a neighbour's signature, a fifth away."""
    yield from _signed(asked, lambda away, _: abs(away) == 1)


def far_signatures(asked: Asked) -> Iterator[Names]:
    """The same letters under a signature further away that changes two notes or more."""
    yield from _signed(asked, lambda away, changed: abs(away) > 1 and changed > 1)


def _signed(asked: Asked, wanted: Callable[[int, int], bool]) -> Iterator[Names]:
    own = fifths(asked.tonic)
    if chromatic(asked.pattern):
        return
    for count in sorted(range(-7, 8), key=lambda count: (abs(count - own), count)):
        names = signature(count)
        changed = sum(names[name[0]] != name for name in set(asked.cell))
        if count != own and wanted(count - own, changed):
            yield tuple(names[name[0]] for name in asked.cell)


def elsewhere(asked: Asked) -> Iterator[Names]:
    """The cell on the same degree of another key, near keys first."""
    own = fifths(asked.tonic)
    for tonic in sorted(FIFTEEN, key=lambda tonic: abs(fifths(tonic) - own)):
        if tonic != asked.tonic:
            yield run(asked.pattern, tonic, asked.direction)[asked.place]


def reshaped(asked: Asked) -> Iterator[Names]:
    """Another cell of the catalogue on the same degree, begun on the same note; two notes are
    no shape where more were asked for."""
    for other in patterns():
        if other != asked.pattern:
            cell = asked.here(other, asked.direction)
            enough = cell is not None and len(cell) >= min(3, len(asked.cell))
            if cell and enough and cell[0] == asked.cell[0]:
                yield cell


def mislettered(asked: Asked) -> Iterator[Names]:
    """One note a step of the scale too high or too low."""
    scale = major(asked.tonic)
    for place, name in enumerate(asked.cell):
        if name in scale:
            for step in (1, -1):
                yield _put(asked.cell, place, scale[(scale.index(name) + step) % 7])


MODES = {
    "natural minor": {2: -1, 5: -1, 6: -1},
    "harmonic minor": {2: -1, 5: -1},
    "jazz melodic minor": {2: -1},
    "Dorian": {2: -1, 6: -1},
    "Mixolydian": {6: -1},
    "Lydian": {3: 1},
}
"""Degrees, counted from 0, that differ from major, and by how many semitones."""


def mixed(asked: Asked) -> Iterator[Names]:
    """The same cell in another mode of the tonic."""
    scale = major(asked.tonic)
    if chromatic(asked.pattern):
        return
    for changes in MODES.values():
        mode = {name: bent(name, changes.get(place, 0)) for place, name in enumerate(scale)}
        yield tuple(mode[name] for name in asked.cell)


def _put(cell: Names, place: int, name: str) -> Names:
    return (*cell[:place], name, *cell[place + 1 :])


INJECTIONS = {
    "wrong-name": respelled,
    "signs-turned": overturned,
    "concert-pitch": sounding,
    "wrong-direction": turned,
    "wrong-degree": displaced,
    "backwards": reversed_,
    "inversion": inverted,
    "swapped": swapped,
    "stopped-early": stopped,
    "ran-on": overrun,
    "signature-forgotten": unsigned,
    "accidental-forgotten": unaltered,
    "other-key": elsewhere,
    "other-signature": neighbours,
    "parallel-mode": mixed,
    "far-signature": far_signatures,
    "note-left-out": shortened,
    "other-shape": reshaped,
    "note-too-many": padded,
    "one-note-off": mislettered,
}
"""The slips by name in the teacher's order, each with the answers that show it."""


def injected(slip: str, asked: Asked) -> list[Names]:
    """The wrong answers of a slip: none that is right, by name or (neighbours) by sound."""
    free = chromatic(asked.pattern)
    found = []
    for answer in dict.fromkeys(INJECTIONS[slip](asked)):
        sounds = [pitch(name) for name in answer] == [pitch(name) for name in asked.cell]
        if answer != asked.cell and not (free and sounds):
            found.append(answer)
    return found


def explanations(asked: Asked, answer: Names) -> tuple[str, ...]:
    """Every slip that gives a wrong answer, in the teacher's order."""
    return tuple(slip for slip in INJECTIONS if _shows(slip, asked, answer))


def _shows(slip: str, asked: Asked, answer: Names) -> bool:
    cell = asked.cell
    level = len(answer) == len(cell)
    match slip:
        case "wrong-name":
            return [pitch(name) for name in answer] == [pitch(name) for name in cell]
        case "signs-turned":
            off = [(a, b) for a, b in zip(answer, cell, strict=False) if a != b]
            turned_over = all(
                a == b.translate(str.maketrans("#b", "b#")) and len(b) > 1 for a, b in off
            )
            return level and bool(off) and turned_over and len({b[1] for _, b in off}) == 1
        case "concert-pitch":
            return level and _sounds(asked, answer)
        case "swapped":
            return sorted(answer) == sorted(cell)
        case "ran-on":
            after = _after(asked)
            extra = answer[len(cell) :]
            return answer[: len(cell)] == cell and len(extra) > 0 and extra == after[: len(extra)]
        case "note-left-out":
            return len(answer) < len(cell) and _within(answer, cell)
        case "note-too-many":
            return len(answer) > len(cell) and _within(cell, answer)
        case "one-note-off":
            return level and sum(a != b for a, b in zip(answer, cell, strict=True)) == 1
    return answer in _answers(slip, asked)


def _sounds(asked: Asked, answer: Names) -> bool:
    """Whether an answer is what sounds, by the concert key's letters: strictly, as the key is
    usually written (7 accidentals or more go to the other side), or on either side from 5 on."""
    away = horns()[asked.horn]
    if not away:
        return False
    strict = fifths(asked.tonic) + away
    usual = strict - 12 * (strict >= 7) + 12 * (strict <= -7)
    sides = {0, usual - strict} | ({-12, 12} if abs(usual) >= 5 else set())
    tokens = degrees(asked.pattern, asked.direction)[asked.place]
    off = [
        (token[0] in "lu", fifths(got) - fifths(want) - away)
        for token, got, want in zip(tokens, answer, asked.cell, strict=True)
    ]
    shown = {by for free, by in off if not free}
    return all(by % 12 == 0 for _, by in off) and (
        shown <= {0} or (len(shown) == 1 and shown <= sides)
    )


@cache
def _answers(slip: str, asked: Asked) -> frozenset[Names]:
    return frozenset(INJECTIONS[slip](asked))
