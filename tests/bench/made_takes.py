"""Makes takes of which everything is known: sampled winds, a player's errors, a room, a microphone.

Single notes come from General MIDI sound fonts through libfluidsynth (Debian packages
``fluidsynth fluid-soundfont-gm timgm6mb-soundfont musescore-general-soundfont-small``, and
``pyfluidsynth``); a font that is not installed is left out.  Notes are laid together with a
moving read pointer (tuning, vibrato, scoops) and cross-fades (slurs), so that each onset, cent
and decibel is known; one take in five is played by the synthesiser itself.  Nothing of drill
is used: the project's own tones never judge the project's own ear.
"""

from __future__ import annotations

import ctypes.util
import functools
import json
import shutil
import subprocess
import warnings
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

RATE = 44100
"""Samples a second while a take is made; it is kept at half of that."""
KEPT_RATE = RATE // 2
FONTS = {
    "fluid": "/usr/share/sounds/sf2/FluidR3_GM.sf2",
    "tim": "/usr/share/sounds/sf2/TimGM6mb.sf2",
    "general": "/usr/share/sounds/sf3/MuseScore_General_Lite.sf3",
}
HORNS = {  # General MIDI program, lowest and highest sounding MIDI number
    "tuba": (58, 28, 53),
    "trombone": (57, 40, 70),
    "bassoon": (70, 34, 70),
    "baritone_sax": (67, 36, 69),
    "tenor_sax": (66, 44, 75),
    "alto_sax": (65, 49, 80),
    "horn": (60, 42, 77),
    "clarinet": (71, 50, 89),
    "trumpet": (56, 52, 82),
    "oboe": (68, 58, 88),
    "flute": (73, 60, 96),
    "piccolo": (72, 74, 105),
}
Event = tuple[float, str, int, int]
Sounded = tuple[np.ndarray, np.ndarray, float]
T = TypeVar("T")
SCALES = ((0, 2, 4, 5, 7, 9, 11),) * 3 + ((0, 2, 3, 5, 7, 8, 11),)
CELLS = ((0, 1, 2, 0), (0, 1, 2, 0), (0, 2, 1, 3), (0, 1, 2, 3), (0, 2), (0, 1, 2, 4), (0, 2, 4, 2))
ERRORS: tuple[str, ...] = (
    "accidental",
    "accidental",
    "neighbour",
    "extra",
    "missing",
    "repeat",
    "restart",
)
ERRORS += ("hesitation", "squeak", "octave")
LEAD_S = 0.6
"""Silence before the first note."""
SHORTEST_S = 0.03
FOOT = 200
"""Samples kept before a note's onset, which is where it has a tenth of its level."""


def lacking() -> str | None:
    """What must be installed before takes can be made; None where nothing is missing."""
    if not any(Path(path).exists() for path in FONTS.values()):
        return "no sound font (fluid-soundfont-gm, timgm6mb-soundfont)"
    if ctypes.util.find_library("fluidsynth") is None:
        return "no libfluidsynth (fluidsynth)"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import fluidsynth  # noqa: F401
            import scipy.signal  # noqa: F401
    except ImportError as fault:
        return f"no {fault.name}"
    return None


@dataclass
class Played:
    """A note as played."""

    midi: int
    onset: float
    end: float
    slur: bool
    asked: int | None
    kind: str
    db: float | None
    cents: float = 0.0


@dataclass
class Spec:
    """How a take is played, and where."""

    horn: str
    font: str
    bpm: float
    swing: float
    art: str
    shape: bool
    jitter: float
    drift: float
    tune: float
    stretch: float
    vibrato: float
    scoop: float
    room_s: float
    wet: float
    snr: int
    highpass: float | None
    mp3: bool
    click: bool
    whole: bool
    """Played by the synthesiser from end to end."""


@dataclass
class Made:
    """A take and the truth about it."""

    spec: Spec
    asked: list[int]
    group: int
    """Notes in a cell."""
    truth: list[str]
    """For each asked note ``right`` or the error made on it."""
    notes: list[Played]
    errors: dict[int, str]
    samples: np.ndarray = field(default_factory=lambda: np.zeros(0, np.float32), repr=False)

    @property
    def note_s(self) -> float:
        return 30 / self.spec.bpm


class Bank:
    """Single notes of the fonts, levelled, with where they begin and how they are tuned."""

    def __init__(self) -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import fluidsynth

        self._library = fluidsynth
        self._synths: dict[str, Any] = {}
        self._notes: dict[tuple[str, int, int, int], Sounded | None] = {}
        self.fonts = [name for name, path in FONTS.items() if Path(path).exists()]

    def play(self, font: str, program: int, events: list[Event], length_s: float) -> np.ndarray:
        """The mono sound of events (seconds, on | off | bend, number, velocity)."""
        if font not in self._synths:
            synth = self._library.Synth(gain=0.4, samplerate=float(RATE))
            synth.setting("synth.reverb.active", 0)
            synth.setting("synth.chorus.active", 0)
            self._synths[font] = synth, synth.sfload(FONTS[font])
        synth, number = self._synths[font]
        synth.system_reset()
        synth.program_select(0, number, 0, program)
        for control in (91, 93):
            synth.cc(0, control, 0)
        synth.pitch_bend(0, 0)
        parts, at = [], 0
        for when, kind, number, velocity in [*sorted(events), (length_s, "end", 0, 0)]:
            count = int(when * RATE) - at
            if count > 0:
                block = np.asarray(synth.get_samples(count), float).reshape(-1, 2)
                parts.append(block.mean(1))
                at += count
            if kind == "on":
                synth.noteon(0, number, velocity)
            elif kind == "off":
                synth.noteoff(0, number)
            elif kind == "bend":
                synth.pitch_bend(0, number)
        return np.concatenate(parts) / 32768

    def note(self, font: str, program: int, midi: int, velocity: int) -> Sounded | None:
        """Samples from ``FOOT`` before the onset, cents along it (a value each 50 ms), and
        seconds from the key to the onset.

        None where the font has no such note or one out of tune.
        """
        key = font, program, midi, velocity
        if key not in self._notes:
            # The release of the note before must die first, or onsets are read too early.
            self.play(font, program, [(0, "off", each, 0) for each in range(128)], 1.2)
            sound = self.play(
                font, program, [(0.05, "on", midi, velocity), (1.5, "off", midi, 0)], 1.55
            )
            self._notes[key] = _fitted(sound, midi)
        return self._notes[key]


def _fitted(sound: np.ndarray, midi: int) -> Sounded | None:
    level = np.sqrt(np.convolve(sound**2, np.ones(220) / 220, "same"))
    steady = np.median(level[int(0.25 * RATE) : int(1.2 * RATE)])
    if steady < 1e-4:
        return None
    onset = int(np.argmax(level > 0.1 * steady))
    sound = sound[max(0, onset - FOOT) :] / steady * 0.1
    hertz = 440 * 2 ** ((midi - 69) / 12)
    whole = _cents(sound[int(0.2 * RATE) : int(1.2 * RATE)], hertz)
    half = _line(sound[int(0.2 * RATE) : int(1.2 * RATE)], hertz / 2)
    if abs(whole) > 45 or half > 0.5 * max(
        _line(sound[int(0.2 * RATE) : int(1.2 * RATE)], hertz * k) for k in (1, 2)
    ):
        return None
    width = int(0.25 * RATE)
    along = [
        _cents(sound[at : at + width], hertz)
        for at in range(FOOT, len(sound) - width, int(0.05 * RATE))
    ]
    return sound.astype(np.float32), np.array(along), onset / RATE - 0.05


def _line(sound: np.ndarray, hertz: float) -> float:
    """The strongest line within 3 % of a frequency."""
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    low, high = (int(hertz * (1 + s) * len(sound) / RATE) for s in (-0.03, 0.03))
    return float(spectrum[low : high + 2].max())


def _cents(sound: np.ndarray, hertz: float) -> float:
    """How far the partials lie off, in cents: their median, weighed by strength."""
    count = 4 * len(sound)
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), count))
    found, weight = [], []
    for partial in range(1, 9):
        if partial * hertz > 9000:
            break
        low = int(hertz * partial * 0.966 * count / RATE)
        high = int(hertz * partial * 1.035 * count / RATE) + 2
        at = low + int(spectrum[low:high].argmax())
        left, mid, right = np.log(spectrum[at - 1 : at + 2] + 1e-9)
        peak = at + 0.5 * (left - right) / (left - 2 * mid + right - 1e-12)
        found.append(1200 * np.log2(peak * RATE / count / (hertz * partial)))
        weight.append(spectrum[at])
    order = np.argsort(found)
    total = np.cumsum(np.array(weight)[order])
    return float(np.array(found)[order][np.searchsorted(total, total[-1] / 2)])


# What is asked, and what the player makes of it.


def _asked(rng: np.random.Generator, low: int, high: int) -> tuple[list[int], int, list[int]]:
    scale, cell = SCALES[rng.integers(4)], CELLS[rng.integers(len(CELLS))]
    octaves, tonic = int(rng.integers(1, 4)), int(rng.integers(low, low + 12))

    def pitch(place: int) -> int:
        return tonic + 12 * (place // 7) + scale[place % 7]

    while octaves > 1 and pitch(7 * octaves + max(cell) - 1) > high:
        octaves -= 1
    top = 7 * octaves
    up = [at + step for at in range(top) for step in cell] + [top]
    down = [at - step for at in range(top, 0, -1) for step in cell] + [0]
    drawn = rng.random()
    places = up if drawn < 0.4 else down if drawn < 0.55 else up + down[1:]
    if len(places) < 29:
        places = up + down[1:]
    ladder = sorted({tonic + 12 * octave + step for octave in range(-3, 6) for step in scale})
    return [pitch(place) for place in places[:150]], len(cell), ladder


def _errors(rng: np.random.Generator, count: int, kinds: tuple[str, ...]) -> dict[int, str]:
    made: dict[int, str] = {}
    if rng.random() < 0.35:
        return made
    many = int(rng.integers(1, 2 + count // 20))
    last = count - 2 if count > 8 else count
    for at in rng.choice(np.arange(2, last), size=min(many, last - 2), replace=False):
        if not any(abs(int(at) - other) < 4 for other in made):
            made[int(at)] = str(rng.choice(kinds))
    return made


class _Player:
    """Plays what is asked, with errors; times in seconds."""

    def __init__(
        self,
        rng: np.random.Generator,
        spec: Spec,
        asked: list[int],
        ladder: list[int],
        errors: dict[int, str],
    ) -> None:
        self.rng, self.spec, self.asked, self.ladder = rng, spec, asked, ladder
        self.errors = errors
        self.notes: list[Played] = []
        self.truth = ["right"] * len(asked)
        self.shift = 0.0

    def when(self, at: int) -> float:
        beat = 60 / self.spec.bpm
        whole, odd = divmod(at, 2)
        plain = whole * beat + (beat * self.spec.swing / (1 + self.spec.swing) if odd else 0)
        total = len(self.asked) * beat / 2
        return plain * (1 + self.spec.drift * plain / total)

    def add(
        self, midi: int, on: float, end: float, kind: str, slur: bool, asked: int | None
    ) -> None:
        low, high = min(self.asked), max(self.asked)
        span = 12 if self.spec.shape else 1.6
        # A slip out of the line is about as loud as the line's ends, not 30 dB off.
        part = float(np.clip((midi - low) / max(1, high - low), -0.2, 1.2))
        level = span * (part - 0.5) + self.rng.normal(0, 0.7)
        self.notes.append(Played(int(midi), on, end, bool(slur), asked, kind, float(level)))

    def play(self) -> list[Played]:
        at, again = 0, False
        while at < len(self.asked):
            error = self.errors.get(at)
            if error == "restart" and not again:
                at, again = self._restart(at), True
                continue
            self._note(at, "" if error == "restart" else error or "")
            again = again and error != "restart"
            at += 1
        for one, after in zip(self.notes, self.notes[1:], strict=False):
            gap = 0 if after.slur else min(0.035, 0.2 * (after.onset - one.onset))
            one.end = after.onset if after.slur else min(one.end, after.onset - gap)
        return self.notes

    def _slur(self, at: int) -> bool:
        wished = {"slurred": at > 0, "tongued": False, "mixed": at % 4 in (1, 3)}[self.spec.art]
        return wished and bool(self.notes)

    def _restart(self, at: int) -> int:
        on = self.when(at) + self.shift
        self.add(self.asked[at], on, self.when(at + 1) + self.shift, "right", self._slur(at), at)
        self.shift += float(self.rng.uniform(0.3, 1.0))
        back = at // 4 * 4 if at % 4 else max(0, at - 4)
        self.shift += self.when(at + 1) - self.when(back)
        for note in self.notes:
            if note.asked is not None and note.asked >= back:
                note.kind, note.asked = "restart", None
        return back

    def _note(self, at: int, error: str) -> None:
        rng, pitch, slur = self.rng, self.asked[at], self._slur(at)
        half = 30 / self.spec.bpm
        on = self.when(at) + self.shift + rng.normal(0, self.spec.jitter)
        after = self.when(at + 1) + self.shift
        if error in ("accidental", "neighbour", "octave", "missing"):
            self.truth[at] = error
        if error == "accidental":
            self.add(pitch + int(rng.choice([-1, 1])), on, after, error, slur, at)
        elif error == "neighbour":
            near = min(range(len(self.ladder)), key=lambda k: abs(self.ladder[k] - pitch))
            self.add(self.ladder[near + int(rng.choice([-1, 1]))], on, after, error, slur, at)
        elif error == "octave":
            self.add(pitch + int(rng.choice([-12, 12])), on, after, error, slur, at)
        elif error == "missing":
            if rng.random() < 0.5:
                self.shift -= after - self.when(at) - self.shift
        elif error in ("extra", "squeak"):
            steps = [12, 19] if error == "squeak" else [-3, -2, -1, 1, 2, 3]
            steps = [s for s in steps if pitch + s != self.notes[-1].midi]
            last = min(float(rng.uniform(0.05, 0.09)), half * 0.45)
            self.add(pitch + int(rng.choice(steps)), on, on + last, error, slur, None)
            self.add(pitch, on + last, after, "right", True, at)
        elif error == "repeat":
            self.add(pitch, on, after, "right", slur, at)
            more = after - self.when(at) - self.shift
            self.shift += more
            self.add(pitch, on + more, after + more, error, False, None)
        elif error == "hesitation":
            late = float(rng.uniform(0.25, 0.8))
            self.shift += late
            self.add(pitch, on + late, after + late, "right", False, at)
        else:
            self.add(pitch, on, after, "right", slur, at)


# Sound.


def _spliced(
    rng: np.random.Generator, bank: Bank, spec: Spec, notes: list[Played], middle: float
) -> np.ndarray | None:
    program = HORNS[spec.horn][0]
    sound = np.zeros(int((notes[-1].end + LEAD_S + 0.8) * RATE))
    for note, after in zip(notes, [*notes[1:], None], strict=True):
        assert note.db is not None  # _Player gives each note one
        found = bank.note(spec.font, program, note.midi, 70 if note.db < 0 else 100)
        if found is None:
            return None
        _lay(rng, spec, sound, found, note, after is not None and after.slur, middle)
    return sound


def _lay(
    rng: np.random.Generator,
    spec: Spec,
    sound: np.ndarray,
    found: Sounded,
    note: Played,
    goes_on: bool,
    middle: float,
) -> None:
    samples, along, _ = found
    assert note.db is not None
    fade_in = float(rng.uniform(0.012, 0.03)) if note.slur else 0.0
    begin = note.onset + LEAD_S - fade_in / 2
    end = note.end + LEAD_S + (0.01 if goes_on else 0.025)
    foot = 0 if note.slur else FOOT  # what is laid before the onset
    count = max(200, int((end - begin) * RATE) + foot)
    time = np.arange(count) / RATE
    off = spec.tune + spec.stretch * (note.midi - middle) / 12 + float(rng.normal(0, 5))
    bend = np.full(count, off)
    if spec.vibrato and note.end - note.onset > 0.25:
        swell = np.clip((time - 0.1) / 0.1, 0, 1)
        bend += spec.vibrato * np.sin(2 * np.pi * 5.2 * time) * swell
    if spec.scoop and not note.slur:
        bend -= spec.scoop * np.exp(-time / 0.03)
    start = int(0.12 * RATE) if note.slur else 0
    read = np.minimum(np.cumsum(2 ** (bend / 1200)) + start, len(samples) - 3)
    whole = read.astype(int)
    part = samples[whole] * (1 - read + whole) + samples[whole + 1] * (read - whole)
    gain = np.ones(count)
    if fade_in:
        rise = int(fade_in * RATE)
        gain[:rise] = np.sin(np.linspace(0, np.pi / 2, rise))
    fall = min(int(0.02 * RATE), count // 3)
    gain[-fall:] = np.cos(np.linspace(0, np.pi / 2, fall))
    at = max(0, int(begin * RATE) - foot)
    count = min(count, len(sound) - at)
    sound[at : at + count] += (part * gain)[:count] * 10 ** (note.db / 20)
    first, last = (max(0, (start - FOOT) / RATE + s) / 0.05 for s in (0, note.end - note.onset))
    reach = along[int(first) : max(int(first) + 1, int(last) - 4)]
    note.cents = off + float(np.mean(reach if len(reach) else along[-1:]))
    note.onset, note.end = note.onset + LEAD_S, note.end + LEAD_S


def _synthesised(
    rng: np.random.Generator, bank: Bank, spec: Spec, notes: list[Played], middle: float
) -> np.ndarray | None:
    """By the synthesiser itself; the label is where the sound is, not where the key went down."""
    program = HORNS[spec.horn][0]
    events = [(0.0, "bend", int(8192 * spec.tune / 200), 0)]
    for note in notes:
        found = bank.note(spec.font, program, note.midi, 100)
        if found is None:
            return None
        note.cents, note.slur = spec.tune + float(np.median(found[1][:4])), False
        assert note.db is not None
        velocity = int(np.clip(80 * 10 ** (note.db / 40), 25, 120))
        note.onset, note.end = note.onset + LEAD_S, note.end + LEAD_S
        last = max(note.onset + 0.04, note.end - 0.02)
        events += [(note.onset, "on", note.midi, velocity), (last, "off", note.midi, 0)]
        note.onset += found[2]
    sound = bank.play(spec.font, program, events, notes[-1].end + 0.8)
    sound *= 0.1 / (np.sqrt(np.mean(sound**2)) + 1e-9)
    for note in notes:
        steady = sound[int((note.onset + 0.04) * RATE) : int((note.end - 0.02) * RATE)]
        loud = np.sqrt(np.mean(steady**2)) if len(steady) else 0
        note.db = float(20 * np.log10(loud + 1e-9)) if len(steady) else None
    return sound


def _in_a_room(rng: np.random.Generator, sound: np.ndarray, spec: Spec) -> np.ndarray:
    from scipy.signal import butter, fftconvolve, lfilter, sosfilt

    loud = np.sqrt(np.mean(sound**2))
    if spec.room_s:
        count = int(spec.room_s * RATE)
        answer = rng.normal(size=count) * np.exp(-6.9 * np.arange(count) / count)
        answer[: int(0.004 * RATE)] = 0
        answer *= spec.wet / np.sqrt(np.sum(answer**2))
        answer[0] = 1
        sound = fftconvolve(sound, answer)[: len(sound)]
    if spec.click:
        time = np.arange(int(0.03 * RATE)) / RATE
        click = np.sin(2 * np.pi * 1500 * time) * np.exp(-time / 0.006)
        click *= 0.1 * np.abs(sound).max()
        beat = 60 / spec.bpm
        for when in np.arange(LEAD_S % beat, len(sound) / RATE - 0.05, beat):
            at = int(when * RATE)
            sound[at : at + len(click)] += click
    if spec.snr < 60:
        white = rng.normal(size=len(sound))
        pole, zero = [1, -2.494956, 2.017265, -0.522189], [0.049922, -0.095993, 0.050612, -0.004408]
        pink = lfilter(zero, pole, white)
        noise = pink / pink.std() + 0.5 * white
        sound = sound + noise * loud / noise.std() * 10 ** (-spec.snr / 20)
    if spec.highpass:
        band = butter(2, [spec.highpass, 9000], "band", fs=RATE, output="sos")
        sound = sosfilt(band, sound)
    sound = sound / (np.abs(sound).max() + 1e-9) * 0.5
    return _as_mp3(sound) if spec.mp3 and shutil.which("ffmpeg") else sound


def _as_mp3(sound: np.ndarray) -> np.ndarray:
    """Through MP3 at 96 kbit/s; its delay is taken out by correlation."""
    from scipy.signal import fftconvolve

    base = ["ffmpeg", "-v", "error", "-f"]
    raw = ["s16le", "-ar", str(RATE), "-ac", "1"]
    pcm = (sound * 32767).astype("<i2").tobytes()
    coded = subprocess.run(
        [*base, *raw, "-i", "-", "-b:a", "96k", "-f", "mp3", "-"],
        input=pcm, capture_output=True, check=True,
    ).stdout  # fmt: skip
    back = subprocess.run(
        [*base, "mp3", "-i", "-", "-f", *raw, "-"], input=coded, capture_output=True, check=True
    ).stdout
    found = np.frombuffer(back, "<i2") / 32768
    one, other = sound[: 8 * RATE], found[: 8 * RATE + 4000]
    lags = fftconvolve(other, one[::-1])[len(one) - 3001 : len(one) + 4000]
    lag = int(np.argmax(lags)) - 3000
    return found[lag:] if lag >= 0 else np.concatenate([np.zeros(-lag), found])


def _spec(rng: np.random.Generator, bank: Bank, horn: str) -> Spec:
    def pick(*values: T) -> T:
        return values[int(rng.integers(len(values)))]

    whole = bool(rng.random() < 0.2)
    return Spec(
        horn=horn,
        font=pick(*bank.fonts),
        bpm=float(rng.integers(60, 201)),
        swing=pick(1.0, 1.0, 1.5, 2.0),
        art="tongued" if whole else pick("slurred", "tongued", "mixed"),
        shape=bool(rng.random() < 0.6),
        jitter=pick(0.004, 0.010, 0.020),
        drift=pick(0.0, 0.0, 0.03, -0.03),
        tune=float(rng.normal(0, 12)),
        stretch=float(rng.normal(0, 3)),
        vibrato=pick(0.0, 0.0, 8.0, 15.0),
        scoop=pick(0.0, 0.0, 25.0),
        room_s=pick(0.0, 0.3, 0.5, 0.8),
        wet=pick(0.2, 0.4),
        snr=pick(60, 20, 20, 10),
        highpass=pick(80.0, 150.0) if rng.random() < 0.7 else None,
        mp3=bool(rng.random() < 0.25),
        click=bool(rng.random() < 0.3),
        whole=whole,
    )


def make(
    seed: int,
    bank: Bank,
    horn: str | None = None,
    *,
    cell_of: int = 0,
    kinds: tuple[str, ...] = ERRORS,
    line: tuple[list[int], int] | None = None,
    errors: dict[int, str] | None = None,
    **manner: Any,
) -> Made:
    """The take of a seed; ``cell_of`` N asks for a cell of N notes in place of a run.

    ``line`` (pitches, notes in a cell), ``errors`` (place to kind) and fields of ``Spec`` stand
    in the place of what is drawn.
    """
    from scipy.signal import resample_poly

    rng = np.random.default_rng(seed)
    while True:
        name = horn or list(HORNS)[int(rng.integers(len(HORNS)))]
        _, low, high = HORNS[name]
        spec = replace(_spec(rng, bank, name), **manner)
        asked, group, ladder = _asked(rng, low, high)
        if line is not None:
            asked, group = list(line[0]), line[1]
            ladder = sorted({12 * octave + pitch % 12 for octave in range(11) for pitch in asked})
        if cell_of:
            first = int(rng.integers(0, max(1, len(asked) - cell_of)))
            asked, group = asked[first : first + cell_of], cell_of
        made = errors if errors is not None else _errors(rng, len(asked), kinds)
        player = _Player(rng, spec, asked, ladder, dict(made))
        notes = player.play()
        middle = (low + high) / 2
        sound = (_synthesised if spec.whole else _spliced)(rng, bank, spec, notes, middle)
        if sound is not None:
            break
    for note in notes:
        if note.asked is not None and note.end - note.onset < SHORTEST_S:
            player.truth[note.asked] = "missing"  # it was let go before it spoke
    samples = resample_poly(_in_a_room(rng, sound, spec), 1, 2).astype(np.float32)
    return Made(spec, asked, group, player.truth, notes, player.errors, samples)


def long_note(spec: Spec, bank: Bank) -> tuple[np.ndarray, int, int] | None:
    """A note of the horn's middle held for 1.4 s at the take's own tuning, in a quiet room, with
    the horn's lowest and highest; None where the font has none."""
    from scipy.signal import resample_poly

    program, low, high = HORNS[spec.horn]
    found = bank.note(spec.font, program, (low + high) // 2, 100)
    if found is None:
        return None
    read = np.arange(int(1.4 * RATE)) * 2 ** (spec.tune / 1200)
    sound = np.interp(read, np.arange(len(found[0])), found[0])
    quiet = np.zeros(RATE // 2)
    sound = np.concatenate([quiet, sound, quiet]) + np.random.default_rng(1).normal(
        0, 1e-4, len(sound) + RATE // 2 * 2
    )
    return resample_poly(sound, 1, 2).astype(np.float32), low, high


@functools.cache
def bank() -> Bank:
    return Bank()


def keep(made: Made, stem: Path) -> None:
    """``stem.npy`` (16-bit) and ``stem.json``."""
    np.save(stem.with_suffix(".npy"), (np.clip(made.samples, -1, 1) * 32767).astype(np.int16))
    facts = asdict(made)
    del facts["samples"]
    stem.with_suffix(".json").write_text(json.dumps(facts))


def kept(stem: Path) -> Made:
    """A take that ``keep`` wrote."""
    facts = json.loads(stem.with_suffix(".json").read_text())
    facts["spec"] = Spec(**facts["spec"])
    facts["notes"] = [Played(**note) for note in facts["notes"]]
    facts["errors"] = {int(at): kind for at, kind in facts["errors"].items()}
    samples = np.load(stem.with_suffix(".npy")).astype(np.float32) / 32767
    return Made(**facts, samples=samples)
