"""Metres, and which of their beats a metronome clicks: what decks, options and sound share."""

from __future__ import annotations

import re
from dataclasses import dataclass

from drill.errors import UsageError
from drill.theory import faults

LONGEST_GAP = 8
"""A gap that grows is never longer, in bars."""


@dataclass(frozen=True, slots=True)
class Metre:
    """How beats lie in a bar."""

    text: str = "4/4"
    """As it stands on a page."""
    beats: int = 4
    """Beats that are clicked in a bar: two in 6/8."""
    compound: bool = False
    """True where a beat has three parts: 6/8, 9/8, 12/8."""
    accents: tuple[int, ...] = (1,)
    """The beats that begin a group, from 1: 1, 3 and 5 in 7/8 as two, two and three."""

    @property
    def parts(self) -> int:
        """The parts into which a beat falls by itself: 2, or 3 in compound metres."""
        return 3 if self.compound else 2

    @property
    def signature(self) -> tuple[int, int]:
        """The two numbers of the time signature: 7 and 8."""
        count, _, unit = self.text.partition(":")[0].partition("/")
        return int(count), int(unit)

    @property
    def quarters(self) -> float:
        """The quarter notes that a beat lasts: half a one in 7/8, one and a half in 6/8."""
        count, unit = self.signature
        return 4 * count / unit / self.beats


FOUR = Metre()
_GROUPS = {5: (3, 2), 7: (2, 2, 3)}
_METRE = re.compile(r"(\d{1,2})/([248])(?::(\d(?:\+\d)+))?")


def read_metre(text: str) -> Metre:
    """A metre from ``2/4`` to ``7/4``, ``2/2``, ``3/8``, ``6/8``, ``9/8``, ``12/8``, or 5/8 and
    7/8 with their groups: ``7/8:3+2+2``.

    Compound metres are clicked on the dotted beat.  Raises UsageError.
    """
    word = "".join(text.split())
    match = _METRE.fullmatch(word)
    if match:
        count, unit = int(match[1]), int(match[2])
        groups = tuple(int(each) for each in match[3].split("+")) if match[3] else ()
        plain = f"{count}/{unit}"
        if unit == 8 and count in (6, 9, 12) and not groups:
            return Metre(plain, count // 3, compound=True)
        fits = 2 <= count <= 7 and (unit != 8 or count in (3, 5, 7))
        if fits and (not groups or (sum(groups) == count and min(groups) > 1)):
            parts = groups or (_GROUPS.get(count, ()) if unit == 8 else ())
            starts = tuple(1 + sum(parts[:place]) for place in range(len(parts)))
            return Metre(word, count, accents=starts or (1,))
    raise faults.metre_unread(text)


@dataclass(frozen=True, slots=True)
class Metronome:
    """How the metronome clicks under the music."""

    accent: bool = True
    """The first beat of a bar stands out."""
    division: int = 1
    """Clicks a beat: 1 the beat alone, 2 eighths, 3 triplets, 4 sixteenths."""
    beats: tuple[int, ...] = ()
    """The beats that click, from 1: ``(2, 4)`` for two and four; empty: all of them."""
    sounding_bars: int = 0
    """Bars of click before a gap; 0: no gaps."""
    silent_bars: int = 0
    """Bars of silence in each gap, to test inner time."""
    growing: bool = False
    """True makes each gap a bar longer than the one before, up to ``LONGEST_GAP``."""

    def __post_init__(self) -> None:
        if not 1 <= self.division <= 4:
            raise faults.clicks_out(self.division)
        if min(self.sounding_bars, self.silent_bars) < 0:
            raise UsageError(faults.GAPS_IN_BARS)
        if self.silent_bars and not self.sounding_bars:
            raise UsageError(faults.GAP_AFTER_CLICK)

    def silent(self, bar: int) -> bool:
        """Whether bar number ``bar`` of the music, from 0, lies in a gap."""
        if self.growing and self.silent_bars:
            gap = self.silent_bars
            while bar >= self.sounding_bars + gap:
                bar -= self.sounding_bars + gap
                gap = min(LONGEST_GAP, gap + 1)
            return bar >= self.sounding_bars
        period = self.sounding_bars + self.silent_bars
        return bool(self.silent_bars) and bar % period >= self.sounding_bars


def read_click(text: str, division: int = 1) -> Metronome:
    """A metronome from ``all``, ``2-and-4``, ``gaps:2:1`` (bars of click, bars of silence) or
    ``growing:2`` (each silence a bar longer).  Raises UsageError."""
    word, *numbers = text.strip().lower().split(":")
    if word == "all" and not numbers:
        return Metronome(division=division)
    if word in ("2-and-4", "2+4") and not numbers:
        return Metronome(division=division, beats=(2, 4))
    bars = [int(each) for each in numbers if each.isdecimal() and 1 <= int(each) <= 16]
    if len(bars) == len(numbers):
        if word == "gaps" and len(bars) in (0, 2):
            sounding, silent = bars or (2, 1)
            return Metronome(division=division, sounding_bars=sounding, silent_bars=silent)
        if word == "growing" and len(bars) in (0, 1):
            return Metronome(
                division=division, sounding_bars=(bars or [2])[0], silent_bars=1, growing=True
            )
    raise faults.click_unread(text)
