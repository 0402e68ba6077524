"""The one door to music21: spellings by interval, kept as frozen values of ours.

music21 moves a name by an interval; everything else (octaves, ranges, runs) is
counted by us.  Its import takes about half a second, so it is imported at the
first spelling that is not yet known, and what it said is kept in a small file
whose name holds the versions of both: a warm start never imports it.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

from drill.errors import TheoryError
from drill.terms import Key, Name, Scale
from drill.theory.scales import SCALES
from drill.theory.spelling import degree_interval, parse_name

ENGINE_VERSION = 1
"""Raised whenever a spelling kept by an older engine may no longer be used."""


def music21_version() -> str:
    """The installed version of music21, found without importing it; "none" where there is none."""
    for folder in sys.path:
        try:
            names = os.listdir(folder or ".")
        except OSError:
            continue
        for name in names:
            if name.startswith("music21-") and name.endswith(".dist-info"):
                return name[len("music21-") : -len(".dist-info")]
    return "none"


class Engine:
    """Spells names, scales and chords; each answer is worked out once.

    ``cache`` is the folder in which spellings are kept between starts; None
    keeps them for this process only.  A damaged or foreign file is ignored.
    """

    def __init__(self, cache: Path | None = None) -> None:
        self._names: dict[str, str] = {}
        self._scales: dict[Key, Scale] = {}
        self._moved: dict[tuple[Name, int, int], Name] = {}
        self._dirty = False
        self._file: Path | None = None
        if cache is not None:
            self._file = cache / f"spellings-{ENGINE_VERSION}-{music21_version()}.json"
            self._names = _read(self._file)

    def moved(self, name: Name, steps: int, semitones: int) -> Name:
        """The name an interval of ``steps`` letters and ``semitones`` away, by music21.

        Raises TheoryError where it needs more than four accidentals.
        """
        key = (name, steps, semitones)
        found = self._moved.get(key)
        if found is None:
            text = f"{name} {steps} {semitones}"
            kept = self._names.get(text)
            if kept is None:
                kept = self._names[text] = _transposed(name, steps, semitones)
                self._dirty = True
            found = self._moved[key] = _name(kept)
        return found

    def degree(self, tonic: Name, token: str) -> Name:
        """The name on a degree token such as ``b3`` above a tonic or root."""
        steps, semitones = degree_interval(token)
        octaves = steps // 7
        return self.moved(tonic, steps - 7 * octaves, semitones - 12 * octaves)

    def scale(self, key: Key) -> Scale:
        """The scale spelled by interval from its degree formula.

        Raises TheoryError where the spelling needs a triple accidental.
        """
        found = self._scales.get(key)
        if found is None:
            kind = SCALES[key.scale]
            up = tuple(self.degree(key.tonic, token) for token in kind.up)
            down = up
            if kind.down != kind.up:
                down = tuple(self.degree(key.tonic, token) for token in kind.down)
            if any(abs(name.alter) > 2 for name in (*up, *down)):
                raise TheoryError(
                    f"{key.tonic} {kind.label} needs a triple accidental: choose another tonic"
                )
            found = self._scales[key] = Scale(key, up, down, _degrees(kind.up), _degrees(kind.down))
        return found

    def save(self) -> None:
        """Keep what was worked out since the last start; a folder that cannot be written is
        left alone, for a spelling lost costs half a second and no answer."""
        if self._file is None or not self._dirty:
            return
        merged = {**_read(self._file), **self._names}
        text = json.dumps({"names": merged, "sum": _checksum(merged)})
        try:
            self._file.parent.mkdir(parents=True, exist_ok=True)
            handle, temporary = tempfile.mkstemp(dir=self._file.parent, suffix=".tmp")
            with os.fdopen(handle, "w", encoding="ascii") as out:
                out.write(text)
            os.replace(temporary, self._file)
        except OSError:
            return
        self._dirty = False


def _degrees(formula: tuple[str, ...]) -> tuple[int, ...]:
    return tuple(int(token.lstrip("b#")) for token in formula)


def _transposed(name: Name, steps: int, semitones: int) -> str:
    """What music21 says: its interval of that generic and chromatic size, applied to a pitch."""
    from music21 import exceptions21, interval, pitch

    try:
        # The octave keeps a descending interval off music21's negative octaves.
        start: Any = pitch.Pitch(_music21_spelling(name) + "5")
        generic = steps + 1 if steps >= 0 else steps - 1
        step = interval.intervalFromGenericAndChromatic(generic, semitones)
        end: Any = step.transposePitch(start, maxAccidental=None)
    except exceptions21.Music21Exception as error:
        raise TheoryError(f"{name} has no name {steps} letters and {semitones} semitones on") from (
            error
        )
    alter = int(end.alter)
    return str(end.step) + ("#" * alter if alter > 0 else "b" * -alter)


def _music21_spelling(name: Name) -> str:
    """music21 writes flats as ``-``."""
    return name.letter + ("#" * name.alter if name.alter > 0 else "-" * -name.alter)


def _name(text: str) -> Name:
    """A kept spelling; unlike typed names it may hold three or four accidentals."""
    if len(text) <= 3:
        return parse_name(text)
    return Name(text[0], text.count("#") - text.count("b"))


def _checksum(names: dict[str, str]) -> str:
    return hashlib.sha256(json.dumps(names, sort_keys=True).encode()).hexdigest()


def _read(file: Path) -> dict[str, str]:
    """The spellings kept in a file; empty where it is missing, damaged or foreign."""
    try:
        found = json.loads(file.read_text(encoding="ascii"))
        names = found["names"]
        if found["sum"] == _checksum(names):
            return dict(names)
    except (OSError, ValueError, KeyError, TypeError):
        pass
    return {}
