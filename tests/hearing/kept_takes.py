"""The small takes that are kept beside the tests, and their truth.

They were made by tests/bench/made_takes.py (sampled winds of General MIDI sound fonts, spliced,
put in a room) and stored as Ogg Vorbis: none was made by drill's own tones.
Run this file to make them anew; it needs what made_takes needs, and ffmpeg.
"""

from __future__ import annotations

import json
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from drill.sound.capture import Samples, decoded, regular

FOLDER = Path(__file__).parent / "takes"
ALTO_E = ([55, 57, 59, 55, 57, 59, 60, 57, 59, 60, 62, 59, 60, 62, 64, 60,
           62, 64, 66, 62, 64, 66, 67, 64, 66, 67, 69, 66, 67], 4)  # fmt: skip
"""1-2-3-1 up in written E on alto saxophone, as it sounds: concert G major."""
FIVE = {5: "accidental", 11: "neighbour", 16: "missing", 21: "restart", 26: "accidental"}


@dataclass(frozen=True)
class Kept:
    """A kept take."""

    name: str
    path: Path
    asked: tuple[int, ...]
    group: int
    note_s: float
    swing: float
    truth: tuple[str, ...]
    notes: tuple[dict[str, Any], ...]
    errors: dict[int, str]
    horn: str


def read_recording(path: Path) -> Samples:
    """The samples of a sound file.  Raises UsageError and DataError with one clear line."""
    regular(path)
    return decoded(path.read_bytes(), str(path))


def kept() -> list[Kept]:
    """Every kept take, by name."""
    return [_read(path) for path in sorted(FOLDER.glob("*.json"))]


def one(name: str) -> Kept:
    return _read(FOLDER / f"{name}.json")


def _read(path: Path) -> Kept:
    facts = json.loads(path.read_text("utf-8"))
    errors = {int(at): kind for at, kind in facts["errors"].items()}
    return Kept(
        path.stem, path.with_suffix(".ogg"), tuple(facts["asked"]), facts["group"],
        facts["note_s"], facts["swing"], tuple(facts["truth"]), tuple(facts["notes"]), errors,
        facts["horn"],
    )  # fmt: skip


def _make() -> None:
    import made_takes as maker

    bank = maker.bank()
    plain: dict[str, Any] = {
        "bpm": 100.0,
        "swing": 1.0,
        "whole": False,
        "drift": 0.0,
        "tune": 12.0,
        "mp3": False,
    }
    plain |= {"jitter": 0.01, "font": "fluid", "click": False}
    made = {
        "alto-slips": maker.make(42, bank, "alto_sax", line=ALTO_E, errors=FIVE, art="tongued",
                                 **plain),
        "alto-clean": maker.make(43, bank, "alto_sax", line=ALTO_E, errors={}, art="slurred",
                                 **plain),
        "alto-swung": maker.make(44, bank, "alto_sax", line=ALTO_E, errors={}, art="tongued",
                                 **(plain | {"swing": 2.0})),
        "alto-cell": maker.make(45, bank, "alto_sax", line=(ALTO_E[0][:4], 4), errors={},
                                art="tongued", **plain),
    }  # fmt: skip
    for seed, horn in enumerate(("tuba", "trumpet", "flute", "clarinet", "horn", "oboe"), 8000):
        made[horn] = maker.make(seed, bank, horn, bpm=170.0, mp3=False)
    FOLDER.mkdir(exist_ok=True)
    for name, take in made.items():
        facts = {
            "asked": take.asked, "group": take.group, "note_s": take.note_s,
            "swing": take.spec.swing, "truth": take.truth, "errors": take.errors,
            "horn": take.spec.horn,
            "notes": [
                {"midi": note.midi, "onset": round(note.onset, 4), "slur": note.slur,
                 "asked": note.asked, "kind": note.kind}
                for note in take.notes
            ],
        }  # fmt: skip
        (FOLDER / f"{name}.json").write_text(json.dumps(facts) + "\n")
        pcm = (take.samples * 32767).clip(-32768, 32767).astype("<i2").tobytes()
        source = ["-f", "s16le", "-ar", str(maker.KEPT_RATE), "-ac", "1", "-i", "-"]
        target = ["-c:a", "libvorbis", "-q:a", "3", "-y", str(FOLDER / f"{name}.ogg")]
        subprocess.run(["ffmpeg", "-v", "error", *source, *target], input=pcm, check=True)


if __name__ == "__main__":
    _make()
