"""From keys to notes in time: strokes are gathered into notes, and notes laid on beats.

Conventions: instants are seconds on the monotonic clock, stamped where the key was
read; a note begins with its first stroke, so an accidental typed after its letter
moves nothing.  Where a letter can be both a note and an accidental (``b`` in English,
``e`` of ``es`` in German), its time decides: soon after a letter it belongs to it,
near the next note it is one.  Capitals always begin a note.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from drill.theory.language import Language

SOON = 0.45
"""Share of the distance between two notes within which a doubtful letter is an accidental."""
TAP = "."
"""How a note that was only tapped stands."""
SIGNS = frozenset("#♯♭♮+xX×↑↓")
"""Characters that are always part of the note before."""
_STOPS = frozenset(" ,;-\t")
_ALPHABETS = frozenset(
    {
        Language.GERMAN,
        Language.DUTCH,
        Language.FLEMISH,
        Language.SWEDISH,
        Language.NORWEGIAN,
        Language.FINNISH,
    }
)
"""Languages whose notes are letters with -is and -es."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One key of the player's."""

    text: str
    """The character; in line mode the line."""
    at: float
    """When it was read."""


@dataclass(frozen=True, slots=True)
class Sung:
    """One note as it came: what was typed, and when its first key was."""

    text: str
    at: float


@dataclass(slots=True)
class Gatherer:
    """Takes strokes one by one and keeps the notes so far."""

    language: Language
    interval_s: float
    """Seconds between two notes as written."""
    letters: bool = False
    """True where letters alone are asked: then a letter always begins a note."""
    tapped: bool = False
    """True where every key is a note, whatever it says."""
    _parts: list[tuple[str, float, float]] = field(default_factory=list)
    """Text, first stroke and last stroke of each note."""
    _closed: bool = True
    """Whether the last note can take no more."""

    @property
    def notes(self) -> tuple[Sung, ...]:
        """The notes so far, in the order played."""
        return tuple(Sung(text, first) for text, first, _ in self._parts)

    def take(self, stroke: Stroke) -> None:
        """One more stroke."""
        if self.tapped:
            self._parts.append((TAP, stroke.at, stroke.at))
            return
        if len(stroke.text) > 1:  # a line: all of it came at once
            words = stroke.text.replace(",", " ").split()
            self._parts.extend((word, stroke.at, stroke.at) for word in words)
            self._closed = True
            return
        char = stroke.text
        if char in _STOPS:
            self._closed = True
        elif self._goes_on(stroke):
            text, first, _ = self._parts[-1]
            self._parts[-1] = (text + char, first, stroke.at)
        elif char.isalpha():
            self._parts.append((char, stroke.at, stroke.at))
            self._closed = False

    def take_line(self, line: Stroke) -> None:
        """A whole note, or several that came at once."""
        if self.tapped:
            self._parts.append((TAP, line.at, line.at))
        elif line.text.strip():
            self._parts.append((line.text.strip(), line.at, line.at))
            self._closed = True

    def take_back(self) -> None:
        """Forget the last key of the last note: a slip of the finger that was seen."""
        if self._parts:
            text, first, last = self._parts.pop()
            if len(text) > 1:
                self._parts.append((text[:-1], first, last))

    def _goes_on(self, stroke: Stroke) -> bool:
        """Whether a stroke belongs to the note before it."""
        char = stroke.text
        if self._closed or not self._parts:
            return False
        if char in SIGNS:
            return True
        text, first, last = self._parts[-1]
        if not char.isalpha() or char.isupper():
            return False
        if self.language in (Language.ENGLISH, Language.ENGLISH_SF):
            sf = self.language is Language.ENGLISH_SF
            flat, always = ("f", "s") if sf else ("b", "")
            if char in always:
                return True
            plain = set(text[1:].casefold()) <= {flat, "♭"} and len(text) < 3
            soon = stroke.at - first < SOON * self.interval_s
            return char == flat and plain and soon and not self.letters
        if self.language in _ALPHABETS:
            soon = stroke.at - first < SOON * self.interval_s
            return char in "is" or (char == "e" and soon and not self.letters)
        # Syllables: one note while the keys come close together.
        return stroke.at - last < SOON * self.interval_s


WRONG = 0.9
"""What a wrong name costs when notes are laid on beats; a right one costs nothing."""
ABSENT = 0.7
"""What a note left out costs, and a note too many."""
FAR = 0.5
"""What a distance of one interval costs; never more than one and a half times as much."""


def laid(
    notes: Sequence[Sung],
    due: Sequence[float],
    interval_s: float,
    right: Callable[[int, int], bool],
) -> tuple[tuple[int | None, ...], tuple[int, ...]]:
    """Which note was meant for which beat: the cheapest way to lay them in order.

    ``right(i, j)`` says whether note i is the one that beat j asks for.  Gives, for
    each beat, the note's place or None, and the places of the notes too many.  Names
    count for more than time, so that a player who is a whole beat late is late, and
    not wrong.
    """
    rows, columns = len(notes), len(due)
    cost = [[ABSENT * (i + j) for j in range(columns + 1)] for i in range(rows + 1)]
    for i in range(1, rows + 1):
        for j in range(1, columns + 1):
            cost[i][j] = min(
                cost[i - 1][j - 1] + _cost(notes, due, interval_s, right, i - 1, j - 1),
                cost[i - 1][j] + ABSENT,
                cost[i][j - 1] + ABSENT,
            )
    found: list[int | None] = [None] * columns
    extra: list[int] = []
    i, j = rows, columns
    while i or j:
        here = cost[i][j]
        if i and j:
            step = _cost(notes, due, interval_s, right, i - 1, j - 1)
            if abs(here - cost[i - 1][j - 1] - step) < 1e-9:
                i, j = i - 1, j - 1
                found[j] = i
                continue
        if i and abs(here - cost[i - 1][j] - ABSENT) < 1e-9:
            i -= 1
            extra.append(i)
        else:
            j -= 1
    return tuple(found), tuple(reversed(extra))


def _cost(
    notes: Sequence[Sung],
    due: Sequence[float],
    interval_s: float,
    right: Callable[[int, int], bool],
    i: int,
    j: int,
) -> float:
    far = abs(notes[i].at - due[j]) / interval_s
    return (0.0 if right(i, j) else WRONG) + min(1.5 * FAR, FAR * far)
