"""What each kind of horn sounds like: the levels of its harmonics, by pitch and loudness.

A colour is an *envelope over frequency* (where the horn radiates well and how steeply it
falls above), with weak even harmonics where a closed cylindrical pipe has them.  The
figures follow published measurements, all cited from memory:

* cut-offs and slopes of brass, flat below and falling above, less steeply when loud:
  D. Luce and M. Clark, "Physical correlates of brass-instrument tones", J. Acoust. Soc.
  Am. 42 (1967);
* formants of horns, oboe and bassoon: J. Meyer, "Acoustics and the Performance of Music"
  (Springer, 5th ed. 2009): trumpet 1200 to 1500 Hz, trombone 520 to 600, horn 340, tuba
  210 to 250; oboe 1100 and 2700, bassoon 440 to 500 and 1150;
* clarinet: A. Benade, "Fundamentals of Musical Acoustics" (1976): even harmonics weak in
  the low register, up to the tone-hole cut-off near 1500 Hz;
* saxophone: A. Benade and S. Lutgen, "The saxophone spectrum", J. Acoust. Soc. Am. 83
  (1988): flat to a break below 1 kHz, falling above;
* flute: N. Fletcher and T. Rossing, "The Physics of Musical Instruments" (2nd ed. 1998):
  few harmonics, the fundamental alone strong in the high register.

Loudness is that of ITU-R BS.1770-4: every note of every colour is as loud as any other of
its velocity.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from drill.terms import hertz

TOP_HERTZ = 16000.0
"""No harmonic is sounded above this; well under half of the sample rate."""
MOST_HARMONICS = 96
LOUDNESS = 0.12
"""K-weighted root mean square of a note at velocity 127 and full volume, 0 to 1."""
_SHRILL_HERTZ = 3500.0
"""From here up every colour falls by a further 12 dB an octave, so that no register hurts."""


class Colour(StrEnum):
    """A kind of horn, as it sounds."""

    SAX = "sax"
    CLARINET = "clarinet"
    FLUTE = "flute"
    OBOE = "oboe"
    BASSOON = "bassoon"
    TRUMPET = "trumpet"
    TROMBONE = "trombone"
    HORN = "horn"
    TUBA = "tuba"


@dataclass(frozen=True, slots=True)
class Spectrum:
    """How the harmonics of a colour lie."""

    knee_hz: float
    """Flat below, falling above."""
    soft_slope: float
    """Decibels an octave above the knee at the softest."""
    loud_slope: float
    """The same at the loudest."""
    formants: tuple[tuple[float, float, float], ...] = ()
    """Centre in hertz, width in octaves, and decibels added there."""
    even_db: float = 0.0
    """Decibels by which the second harmonic of the lowest notes is weaker; less for higher
    even harmonics, and none from the cut-off on."""
    even_top_midi: float = 0.0
    """Sounding MIDI number above which even harmonics are weak no more."""
    vibrato_cents: float = 0.0
    """Depth of the vibrato of a long note; 0 for horns that play without."""
    bite_s: float = 0.03
    """How long the upper harmonics take to come in."""


_EVEN_CUTOFF_HZ = 1500.0

SPECTRA: dict[Colour, Spectrum] = {
    Colour.SAX: Spectrum(
        700, -16, -9, ((1300, 0.5, 3), (500, 0.7, 2)), vibrato_cents=7, bite_s=0.035
    ),
    Colour.CLARINET: Spectrum(1400, -18, -12, even_db=-30, even_top_midi=69, bite_s=0.03),
    Colour.FLUTE: Spectrum(500, -24, -15, vibrato_cents=7, bite_s=0.05),
    Colour.OBOE: Spectrum(
        1500, -16, -12, ((1100, 0.5, 9), (2700, 0.35, 5)), vibrato_cents=6, bite_s=0.02
    ),
    Colour.BASSOON: Spectrum(
        700, -16, -11, ((470, 0.5, 10), (1150, 0.35, 5)), vibrato_cents=5, bite_s=0.025
    ),
    Colour.TRUMPET: Spectrum(1300, -20, -8, ((1300, 0.8, 10),), vibrato_cents=5, bite_s=0.04),
    Colour.TROMBONE: Spectrum(600, -20, -9, ((560, 0.8, 9),), vibrato_cents=4, bite_s=0.045),
    Colour.HORN: Spectrum(420, -20, -10, ((340, 0.6, 9),), bite_s=0.05),
    Colour.TUBA: Spectrum(300, -20, -12, ((235, 0.7, 10),), bite_s=0.055),
}

_PROGRAMS: dict[int, Colour] = {
    56: Colour.TRUMPET, 57: Colour.TROMBONE, 58: Colour.TUBA, 60: Colour.HORN,
    64: Colour.SAX, 65: Colour.SAX, 66: Colour.SAX, 67: Colour.SAX,
    68: Colour.OBOE, 69: Colour.OBOE, 70: Colour.BASSOON, 71: Colour.CLARINET,
    72: Colour.FLUTE, 73: Colour.FLUTE, 74: Colour.FLUTE,
}  # fmt: skip


def colour_of(program: int) -> Colour:
    """The colour of a General MIDI program, counted from 0; the saxophone's for any other."""
    return _PROGRAMS.get(program, Colour.SAX)


def level_db(colour: Colour, midi: float, number: int, velocity: int) -> float:
    """The level of a harmonic, from 1, in decibels against an arbitrary zero."""
    kind = SPECTRA[colour]
    frequency = number * hertz(midi)
    slope = kind.soft_slope + (kind.loud_slope - kind.soft_slope) * velocity / 127
    octaves = math.log2(frequency / kind.knee_hz)
    # A bend as smooth as that of a filter: flat below, the whole slope from an octave above.
    level = slope * math.log2(1 + 2.0 ** (2 * octaves)) / 2
    for centre, width, gain_db in kind.formants:
        level += gain_db * math.exp(-((math.log2(frequency / centre) / width) ** 2))
    if number % 2 == 0 and kind.even_db and midi < kind.even_top_midi:
        below = max(0.0, 1 - frequency / _EVEN_CUTOFF_HZ)
        fade = min(1.0, (kind.even_top_midi - midi) / 5)
        level += kind.even_db * below * fade
    if frequency > _SHRILL_HERTZ:
        level -= 12 * math.log2(frequency / _SHRILL_HERTZ)
    return level


@lru_cache(maxsize=2048)
def harmonics(colour: Colour, midi: int, velocity: int) -> tuple[float, ...]:
    """Amplitudes of the harmonics of a note, from the fundamental, so that its loudness is that
    of its velocity whatever the colour and the register."""
    count = max(1, min(MOST_HARMONICS, int(TOP_HERTZ / hertz(midi))))
    plain = [10 ** (level_db(colour, midi, n, velocity) / 20) for n in range(1, count + 1)]
    # Half the square of each amplitude is its power.
    heard = math.sqrt(
        sum((each * weighting(n * hertz(midi))) ** 2 / 2 for n, each in enumerate(plain, 1))
    )
    scale = LOUDNESS * gain(velocity) / heard
    return tuple(each * scale for each in plain)


def gain(velocity: int) -> float:
    """Amplitude of a velocity, 1 at 127: the square of velocity / 127.

    Source: the velocity curve recommended for sound modules by General MIDI 2
    (from memory).
    """
    return (velocity / 127) ** 2


_STANDARD_RATE = 48000.0
_SHELF = (
    (1.53512485958697, -2.69169618940638, 1.19839281085285),
    (1.0, -1.69065929318241, 0.73248077421585),
)
_HIGH_PASS = ((1.0, -2.0, 1.0), (1.0, -1.99004745483398, 0.99007225036621))
"""The two filters of ITU-R BS.1770-4, annex 1, at 48 kHz: numerators and denominators."""


@lru_cache(maxsize=4096)
def weighting(frequency: float) -> float:
    """How much a sine of that frequency counts for loudness, as an amplitude (ITU-R BS.1770-4)."""
    turn = cmath.exp(-2j * math.pi * frequency / _STANDARD_RATE)
    found = 1.0
    for above, below in (_SHELF, _HIGH_PASS):
        upper, lower = (sum(b * turn**n for n, b in enumerate(part)) for part in (above, below))
        found *= abs(upper / lower)
    return found
