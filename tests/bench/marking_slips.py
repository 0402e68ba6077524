"""Slips injected for bench_marking.py, worked out without the program.

A name is plain ASCII text and a place on the line of fifths (F C G D A E B, flats before,
sharps after); scales are formulas counted from major by hand, chords fifths above the root
(common practice).  A *kind* is a way in which an answer goes wrong, with the slips that
name it; an answer is *unique* where no kind with other slips gives it too.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

Names = tuple[str, ...]
LETTERS = "FCGDAEB"
UP, DOWN = "up", "down"

SCALES: dict[str, dict[int, int]] = {
    "major": {},
    "natural_minor": {3: -1, 6: -1, 7: -1},
    "harmonic_minor": {3: -1, 6: -1},
    "melodic_minor_jazz": {3: -1},
    "dorian": {3: -1, 7: -1},
    "phrygian": {2: -1, 3: -1, 6: -1, 7: -1},
    "lydian": {4: 1},
    "mixolydian": {7: -1},
}
"""Degrees that differ from major on the same tonic, and by how many semitones."""
SHIFT = {"natural_minor": -3, "harmonic_minor": -3, "melodic_minor_jazz": -3, "dorian": -2,
         "phrygian": -4, "lydian": 1, "mixolydian": -1, "major": 0}  # fmt: skip
"""Fifths from the tonic's major signature to the scale's own."""
CHORDS = {
    "maj7": (0, 4, 1, 5), "7": (0, 4, 1, -2), "m7": (0, -3, 1, -2), "m7b5": (0, -3, -6, -2),
    "mM7": (0, -3, 1, 5), "6": (0, 4, 1, 3), "m6": (0, -3, 1, 3), "7b5": (0, 4, -6, -2),
}  # fmt: skip
"""Notes as fifths above the root: third 4, minor third -3, fifth 1, seventh 5, minor -2."""
HORNS = {"flute": 0, "alto_sax": -3, "tenor_sax": -2, "horn_f": -1}
"""Fifths from written to sounding."""


def fifths(name: str) -> int:
    """Place of a name on the line of fifths, C 0, G 1, F -1."""
    return LETTERS.index(name[0]) - 1 + 7 * (name.count("#") - name.count("b"))


def named(place: int) -> str:
    """The name on a place of the line of fifths."""
    alter, letter = divmod(place + 1, 7)
    return LETTERS[letter] + ("#" * alter if alter > 0 else "b" * -alter)


def sound(name: str) -> int:
    """Semitones above C, 0 to 11."""
    return fifths(name) * 7 % 12


def scale(tonic: str, kind: str) -> Names:
    """The seven names of a scale from its tonic."""
    steps = (0, 2, 4, -1, 1, 3, 5)  # major degrees as fifths above the tonic
    here = fifths(tonic)
    return tuple(
        named(here + step + 7 * SCALES[kind].get(degree, 0))
        for degree, step in enumerate(steps, start=1)
    )


def signature(count: int) -> dict[str, str]:
    """Every letter under a signature of so many sharps (flats when negative)."""
    names = [named(count + place) for place in range(-1, 6)]
    return {name[0]: name for name in names}


@dataclass(frozen=True)
class Asked:
    """One cell of a run, mirrored on the way down."""

    tonic: str
    kind: str
    digits: tuple[int, ...]
    direction: str
    start: int
    """0 to 6."""
    horn: str = "flute"
    before: Asked | None = field(default=None, compare=False)

    def on(self, start: int, direction: str = "", tonic: str = "", kind: str = "") -> Names:
        """The cell on another degree, the other way, in another key."""
        names = scale(tonic or self.tonic, kind or self.kind)
        way = 1 if (direction or self.direction) == UP else -1
        return tuple(names[(start + way * (digit - 1)) % 7] for digit in self.digits)

    @cached_property
    def cell(self) -> Names:
        return self.on(self.start)

    @property
    def own(self) -> int:
        """The signature of the key."""
        return fifths(self.tonic) + SHIFT[self.kind]


Inject = Callable[[Asked], Iterator[Names]]


def _put(cell: Names, place: int, *names: str) -> Names:
    return (*cell[:place], *names, *cell[place + 1 :])


def _each(asked: Asked, change: Callable[[str], str]) -> Names:
    return tuple(map(change, asked.cell))


def _with(asked: Asked, changes: Mapping[str, str]) -> Names:
    return tuple(changes.get(name, name) for name in asked.cell)


def _away(fifths_away: int) -> Callable[[str], str]:
    return lambda name: named(fifths(name) + fifths_away)


# What was typed.


def last_prompt(asked: Asked) -> Iterator[Names]:
    if asked.before:
        yield asked.before.cell


def respelled_one(asked: Asked) -> Iterator[Names]:
    for place, name in enumerate(asked.cell):
        for away in (12, -12):
            if len(other := named(fifths(name) + away)) <= 2:
                yield _put(asked.cell, place, other)


def respelled_all(asked: Asked) -> Iterator[Names]:
    for away in (12, -12):
        answer = _each(asked, _away(away))
        if max(map(len, answer)) <= 2:
            yield answer


_OVER = str.maketrans("#b", "b#")


def signs_all(asked: Asked) -> Iterator[Names]:
    if len({name[1] for name in asked.cell if len(name) == 2}) == 1:
        yield _each(asked, lambda name: name.translate(_OVER))


def signs_one(asked: Asked) -> Iterator[Names]:
    for chosen in {name for name in asked.cell if len(name) == 2}:
        yield _with(asked, {chosen: chosen.translate(_OVER)})


def concert(asked: Asked) -> Iterator[Names]:
    away = HORNS[asked.horn]
    if away and abs(asked.own + away) < 7:
        yield _each(asked, _away(away))


# Order and length.


def other_direction(asked: Asked) -> Iterator[Names]:
    yield asked.on(asked.start, DOWN if asked.direction == UP else UP)


def _degree(asked: Asked, *steps: int) -> Iterator[Names]:
    for step in steps:
        yield asked.on((asked.start + step) % 7)


def backwards(asked: Asked) -> Iterator[Names]:
    yield asked.cell[::-1]


def _swapped(asked: Asked, *, near: bool) -> Iterator[Names]:
    size = len(asked.cell)
    for one in range(size):
        for two in range(one + 1, size):
            if (two == one + 1) is near:
                notes = list(asked.cell)
                notes[one], notes[two] = notes[two], notes[one]
                yield tuple(notes)


def inversion(asked: Asked) -> Iterator[Names]:
    stacked = asked.digits == tuple(range(1, 2 * len(asked.digits), 2))
    if stacked and len(asked.digits) > 2 and asked.direction == UP:
        yield from (asked.cell[t:] + asked.cell[:t] for t in range(1, len(asked.cell)))


def stopped(asked: Asked, *, one: bool) -> Iterator[Names]:
    for size in range(1, len(asked.cell)):
        if (size == len(asked.cell) - 1) is one:
            yield asked.cell[:size]


def ran_on(asked: Asked, many: int) -> Iterator[Names]:
    way = 1 if asked.direction == UP else -1
    yield asked.cell + asked.on((asked.start + way) % 7)[:many]


def left_out(asked: Asked) -> Iterator[Names]:
    for place in range(len(asked.cell) - 1):
        yield _put(asked.cell, place)


def doubled(asked: Asked) -> Iterator[Names]:
    for place in range(1, len(asked.cell) - 1):
        yield _put(asked.cell, place, asked.cell[place], asked.cell[place])


# Accidentals and keys.


def _forgotten(asked: Asked, wanted: Callable[[int, int], bool]) -> Iterator[Names]:
    own = signature(asked.own)
    altered = sorted({name for name in asked.cell if len(name) > 1 and name == own[name[0]]})
    for mask in range(1, 1 << len(altered)):
        group = {name for bit, name in enumerate(altered) if mask >> bit & 1}
        if wanted(len(group), len(altered)):
            yield _with(asked, {name: name[0] for name in group})


def _in_key(asked: Asked, tonic: str, kind: str = "") -> Iterator[Names]:
    if abs(fifths(tonic) + SHIFT[kind or asked.kind]) <= 7:
        yield asked.on(asked.start, tonic=tonic, kind=kind)


def letter_of_tonic(asked: Asked) -> Iterator[Names]:
    """E for E flat, C sharp for C."""
    for away in (7, -7):
        yield from _in_key(asked, named(fifths(asked.tonic) + away))


def other_key(asked: Asked) -> Iterator[Names]:
    for away in (1, -1, 2, -2, 3, -3, 4, -4, 5, -5):
        yield from _in_key(asked, named(fifths(asked.tonic) + away))


def key_before(asked: Asked) -> Iterator[Names]:
    """The whole cell in the key of the prompt before."""
    if asked.before and asked.before.kind == asked.kind and asked.before.tonic != asked.tonic:
        yield from _in_key(asked, asked.before.tonic)


def sign_of_key_before(asked: Asked) -> Iterator[Names]:
    """One accidental that only the key before has."""
    if asked.before is None:
        return
    last = scale(asked.before.tonic, asked.before.kind)
    for name in set(asked.cell):
        stray = next(other for other in last if other[0] == name[0])
        if stray != name and len(stray) > 1:
            yield _with(asked, {name: stray})


def _signed(names: Mapping[str, str]) -> Callable[[str], str]:
    return lambda name: names[name[0]]


def _under(
    asked: Asked, wanted: Callable[[int, int], bool], *, major: bool = True
) -> Iterator[Names]:
    for count in range(-7, 8):
        names = signature(count)
        changed = sum(names[name[0]] != name for name in set(asked.cell))
        if (asked.kind == "major") is major and wanted(count - asked.own, changed):
            yield _each(asked, _signed(names))


def _mode(*pairs: tuple[str, str]) -> Inject:
    """A scale answered as another on the same tonic."""

    def inject(asked: Asked) -> Iterator[Names]:
        for own, other in pairs:
            if own == asked.kind:
                yield asked.on(asked.start, kind=other)

    return inject


def any_mode(asked: Asked) -> Iterator[Names]:
    """Outside major, another scale of the table on the same tonic."""
    if asked.kind != "major":
        yield from (asked.on(asked.start, kind=kind) for kind in SCALES)


def any_mode_of_major(asked: Asked) -> Iterator[Names]:
    if asked.kind == "major":
        yield from (asked.on(asked.start, kind=kind) for kind in SCALES)


# Shapes and single notes.

SHAPES = ((1, 2, 3, 1), (1, 3), (1, 2, 3, 4), (1, 2, 3, 4, 5), (1, 3, 5, 3), (1, 2, 3, 5),
          (1, 3, 5, 7), (1, 3, 5), (1, 2, 3, 2), (1, 5, 3, 5), (1, 3, 2, 1), (1, 3, 4, 5),
          (1, 3, 5, 4), (1, 3, 5, 7, 9), (1, 4), (1, 5), (1, 6), (1, 7), (1, 2, 1))  # fmt: skip


def other_shape(asked: Asked) -> Iterator[Names]:
    for digits in SHAPES:
        if digits != asked.digits and len(digits) >= min(3, len(asked.digits)):
            yield Asked(asked.tonic, asked.kind, digits, asked.direction, asked.start).cell


def other_descent(asked: Asked) -> Iterator[Names]:
    """The same shape, where the pattern comes down in mirror."""
    if asked.direction == DOWN:
        names = scale(asked.tonic, asked.kind)
        yield tuple(names[(asked.start + digit - 1) % 7] for digit in asked.digits)


def letter_off(asked: Asked) -> Iterator[Names]:
    names = scale(asked.tonic, asked.kind)
    for place, name in enumerate(asked.cell):
        for step in (1, -1):
            yield _put(asked.cell, place, names[(names.index(name) + step) % 7])


def semitone_off(asked: Asked) -> Iterator[Names]:
    """One note sharp or flat that nothing asks for."""
    for place, name in enumerate(asked.cell):
        for away in (7, -7):
            if len(other := named(fifths(name) + away)) == 2:
                yield _put(asked.cell, place, other)


S, A, M = "signature-forgotten", "accidental-forgotten", "other-mode"
KINDS: dict[str, tuple[Inject, frozenset[str]]] = {
    name: (inject, frozenset(slips.split()))
    for name, inject, slips in (
        ("the prompt before", last_prompt, "last-prompt"),
        ("one note respelled", respelled_one, "wrong-name"),
        ("every note respelled", respelled_all, "wrong-name"),
        ("every sign turned over", signs_all, "signs-turned"),
        ("one sign turned over", signs_one, "signs-turned"),
        ("concert pitch", concert, "concert-pitch"),
        ("the other direction", other_direction, "wrong-direction"),
        ("a degree higher", lambda a: _degree(a, 1), "wrong-degree"),
        ("a degree lower", lambda a: _degree(a, -1), "wrong-degree"),
        ("a far degree", lambda a: _degree(a, 2, -2, 3, -3), "wrong-degree"),
        ("backwards", backwards, "backwards"),
        ("next notes swapped", lambda a: _swapped(a, near=True), "swapped"),
        ("far notes swapped", lambda a: _swapped(a, near=False), "swapped"),
        ("a chord inverted", inversion, "inversion"),
        ("stopped one early", lambda a: stopped(a, one=True), "stopped-early"),
        ("stopped sooner", lambda a: stopped(a, one=False), "stopped-early"),
        ("ran on by one", lambda a: ran_on(a, 1), "ran-on"),
        ("ran on by two", lambda a: ran_on(a, 2), "ran-on"),
        ("a note left out", left_out, "note-left-out"),
        ("a note doubled", doubled, "note-too-many"),
        ("one accidental forgotten", lambda a: _forgotten(a, lambda n, of: n == 1 < of), S),
        ("some forgotten", lambda a: _forgotten(a, lambda n, of: 1 < n < of), S),
        ("all forgotten", lambda a: _forgotten(a, lambda n, of: n == of), S),
        ("E for E flat", letter_of_tonic, "other-key"),
        ("another key", other_key, "other-key"),
        ("the key before", key_before, "other-key key-before"),
        ("an accidental of the key before", sign_of_key_before, "key-before"),
        ("a signature a sharp more", lambda a: _under(a, lambda by, n: by == 1), "other-signature"),
        ("a signature a flat more", lambda a: _under(a, lambda by, n: by == -1), "other-signature"),
        ("a far signature", lambda a: _under(a, lambda by, n: abs(by) > 1 < n), "far-signature"),
        ("major as natural minor", _mode(("major", "natural_minor")), "parallel-mode"),
        ("major as harmonic minor", _mode(("major", "harmonic_minor")), "parallel-mode"),
        ("major as Lydian", _mode(("major", "lydian")), "parallel-mode other-signature"),
        ("major as Mixolydian", _mode(("major", "mixolydian")), "parallel-mode other-signature"),
        ("natural minor as harmonic", _mode(("natural_minor", "harmonic_minor")), M),
        ("natural minor as melodic", _mode(("natural_minor", "melodic_minor_jazz")), M),
        ("natural minor as Dorian", _mode(("natural_minor", "dorian")), M),
        ("harmonic minor as natural", _mode(("harmonic_minor", "natural_minor")), f"{A} {M}"),
        ("harmonic minor as melodic", _mode(("harmonic_minor", "melodic_minor_jazz")), M),
        ("melodic minor as natural", _mode(("melodic_minor_jazz", "natural_minor")), f"{A} {M}"),
        ("melodic minor as harmonic", _mode(("melodic_minor_jazz", "harmonic_minor")), f"{A} {M}"),
        ("Mixolydian as major", _mode(("mixolydian", "major")), M),
        ("Lydian as major", _mode(("lydian", "major")), M),
        ("Dorian as minor", _mode(("dorian", "natural_minor")), M),
        ("Phrygian as minor", _mode(("phrygian", "natural_minor")), M),
        ("another shape", other_shape, "other-shape"),
        ("another descent", other_descent, "other-shape wrong-direction"),
        ("one letter off", letter_off, "one-note-off"),
        ("one semitone off", semitone_off, "one-note-off"),
    )
}
"""The kinds of cells in keys, each with the slips that name it."""
RIVALS: dict[str, tuple[Inject, frozenset[str]]] = {
    "a neighbour's signature outside major": (
        lambda a: _under(a, lambda by, n: abs(by) == 1, major=False),
        frozenset({M, "other-signature"}),
    ),
    "any other mode of the tonic": (any_mode, frozenset({M})),
    "major as any other mode": (any_mode_of_major, frozenset({"parallel-mode"})),
}
"""What may explain an answer too, and is not counted itself."""


def everything(asked: Asked) -> dict[Names, set[str]]:
    """Every injected answer to a question with the kinds that give it."""
    found: dict[Names, set[str]] = {}
    for kind, (inject, _) in (KINDS | RIVALS).items():
        for answer in inject(asked):
            if answer and answer != asked.cell:
                found.setdefault(answer, set()).add(kind)
    return found


# Chords on moving roots.


def chord(root: str, kind: str) -> Names:
    return tuple(named(fifths(root) + step) for step in CHORDS[kind])


def chord_slips(root: str, kind: str, chance: random.Random) -> Iterator[tuple[str, str, Names]]:
    """Slips of one chord as (kind, slips that name it, answer)."""
    own = chord(root, kind)
    for other in CHORDS:
        if other != kind:
            yield "another quality", "chord-quality accidental-forgotten", chord(root, other)
    for away in (1, -1, 2, 3):
        there = named(fifths(root) + away)
        yield "the chord on another root", "wrong-degree wrong-root", chord(there, kind)
        other = chance.choice([each for each in CHORDS if each != kind])
        yield "another chord on another root", "chord-quality", chord(there, other)
    for turn in (1, 2, 3):
        yield f"inversion {turn}", "inversion", own[turn:] + own[:turn]
    yield "a chord backwards", "backwards", own[::-1]
    yield "a chord stopped early", "stopped-early", own[:-1]
    yield "chord notes swapped", "swapped", (own[0], own[2], own[1], own[3])
    over = tuple(name.translate(_OVER) for name in own)
    if len({name[1] for name in own if len(name) == 2}) == 1 and max(map(len, own)) < 3:
        yield "signs of a chord turned over", "signs-turned", over


GENERIC = frozenset({"one letter off", "one semitone off"})
"""What explains any single wrong note: no rival to a kind that says why it is wrong."""


def is_unique(kind: str, giving: set[str]) -> bool:
    """Whether no kind with other slips gives the answer; single wrong notes are no rivals."""
    rivals = giving if kind in GENERIC else giving - GENERIC
    slips, known = KINDS[kind][1], KINDS | RIVALS
    return all(known[other][1] <= slips or slips <= known[other][1] for other in rivals)


MODES = {
    "natural minor as harmonic": "harmonic_minor",
    "natural minor as Dorian": "dorian",
    "harmonic minor as melodic": "melodic_minor_classical",
    "Mixolydian as major": "major",
    "Lydian as major": "major",
    "Dorian as minor": "natural_minor",
    "Phrygian as minor": "natural_minor",
    "major as natural minor": "natural_minor",
    "major as harmonic minor": "harmonic_minor",
}
"""Which scale must be the one that is said and logged, where a kind is of one mode alone."""
