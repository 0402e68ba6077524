"""The one door to music21: when it loads, what is kept on disk, and what is not believed."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

import pytest

from drill.errors import TheoryError
from drill.terms import Key, Name
from drill.theory import engine as door
from drill.theory.engine import ENGINE_VERSION, Engine, music21_version
from drill.theory.scales import SCALES, parse_key, tonics

ROOT = Path(__file__).resolve().parents[2]

SPELL = """
import sys
from pathlib import Path
from drill.theory.engine import Engine
from drill.theory.scales import parse_key
engine = Engine(Path(sys.argv[1]))
names = engine.scale(parse_key(sys.argv[2])).up
engine.save()
print(" ".join(map(str, names)), "music21" in sys.modules)
"""


def spell(cache: Path, key: str) -> str:
    """What a fresh interpreter spells, and whether it loaded music21."""
    done = subprocess.run(
        [sys.executable, "-c", SPELL, str(cache), key],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def test_a_warm_start_does_not_import_music21(tmp_path: Path) -> None:
    assert spell(tmp_path, "Eb harmonic minor") == "Eb F Gb Ab Bb Cb D True"
    assert spell(tmp_path, "Eb harmonic minor") == "Eb F Gb Ab Bb Cb D False"
    assert spell(tmp_path, "Gb major") == "Gb Ab Bb Cb Db Eb F True"
    # The second answer was added to the first, and both are warm now.
    assert spell(tmp_path, "Eb harmonic minor") == "Eb F Gb Ab Bb Cb D False"


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """The file of an engine that has spelled G major."""
    engine = Engine(tmp_path)
    engine.scale(parse_key("G"))
    engine.save()
    (file,) = tmp_path.iterdir()
    return file


def asked(monkeypatch: pytest.MonkeyPatch, folder: Path, key: str = "G") -> int:
    """How many names an engine on that folder asks music21 for."""
    calls = 0
    real = door._transposed

    def counted(name: Name, steps: int, semitones: int) -> str:
        nonlocal calls
        calls += 1
        return real(name, steps, semitones)

    with monkeypatch.context() as patch:
        patch.setattr(door, "_transposed", counted)
        made = Engine(folder).scale(parse_key(key)).up
    assert " ".join(map(str, made)) == "G A B C D E F#"
    return calls


def test_the_file_holds_both_versions_in_its_name(kept: Path) -> None:
    assert kept.name == f"spellings-{ENGINE_VERSION}-{version('music21')}.json"
    assert music21_version() == version("music21")


def test_what_is_kept_is_not_asked_again(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(monkeypatch, kept.parent) == 0


@pytest.mark.parametrize(
    "damage",
    [
        lambda text: text[: len(text) // 2],
        lambda text: "",
        lambda text: "[]",
        lambda text: "null",
        lambda text: '{"names": 3, "sum": "x"}',
        lambda text: text.replace("F#", "F", 1),  # a name changed by hand or by the disk
        lambda text: json.dumps({"names": json.loads(text)["names"]}),
        lambda text: "\ufeff" + text,
    ],
    ids=["half", "empty", "list", "null", "number", "name", "no sum", "mark"],
)
def test_a_damaged_file_is_ignored_and_written_anew(
    kept: Path, monkeypatch: pytest.MonkeyPatch, damage: Callable[[str], str]
) -> None:
    kept.write_text(damage(kept.read_text("ascii")), encoding="utf-8")
    assert asked(monkeypatch, kept.parent) == 7
    engine = Engine(kept.parent)
    engine.scale(parse_key("G"))
    engine.save()
    assert asked(monkeypatch, kept.parent) == 0


def test_a_file_of_bytes_that_are_no_text_is_ignored(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept.write_bytes(bytes(range(256)))
    assert asked(monkeypatch, kept.parent) == 7


def test_spellings_of_another_version_are_ignored(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept.rename(kept.with_name(f"spellings-{ENGINE_VERSION}-9.9.9.json"))
    assert asked(monkeypatch, kept.parent) == 7
    kept.with_name(f"spellings-{ENGINE_VERSION}-9.9.9.json").rename(
        kept.with_name(f"spellings-{ENGINE_VERSION + 1}-{version('music21')}.json")
    )
    assert asked(monkeypatch, kept.parent) == 7


def test_two_engines_on_one_folder_keep_both_answers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = Engine(tmp_path), Engine(tmp_path)
    first.scale(parse_key("G"))
    second.scale(parse_key("Db"))
    first.save()
    second.save()
    assert asked(monkeypatch, tmp_path) == 0
    assert [file.suffix for file in tmp_path.iterdir()] == [".json"]


def test_a_folder_that_cannot_be_written_costs_no_answer(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    engine = Engine(blocked)
    assert str(engine.scale(parse_key("F")).up[3]) == "Bb"
    engine.save()
    assert blocked.read_text() == "not a folder"


def test_an_engine_without_a_folder_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    engine = Engine()
    engine.scale(parse_key("F"))
    engine.save()
    assert list(tmp_path.iterdir()) == []


def test_a_warm_engine_answers_as_a_cold_one(tmp_path: Path) -> None:
    """All 525 scales through the file and back, three and four accidentals included."""
    cold = Engine(tmp_path)
    keys = [Key(tonic, scale) for scale in SCALES for tonic in tonics(scale)]
    made = [cold.scale(key) for key in keys]
    far = cold.degree(Name("C", -1), "bb7")
    cold.save()
    warm = Engine(tmp_path)
    assert [warm.scale(key) for key in keys] == made
    assert str(far) == "Bbbb"
    assert warm.degree(Name("C", -1), "bb7") == far


def test_a_scale_is_worked_out_once() -> None:
    engine = Engine()
    key = parse_key("A dorian")
    assert engine.scale(key) is engine.scale(key)


def test_what_music21_cannot_spell_is_an_error_of_ours() -> None:
    with pytest.raises(TheoryError, match="no name"):
        Engine().moved(Name("B", 2), 0, 4)


def test_theory_imports_without_music21() -> None:
    """The rooms above load theory before the first screen: no music21 then."""
    code = (
        "import sys, importlib, pkgutil, drill.theory as room\n"
        "for found in pkgutil.iter_modules(room.__path__):\n"
        "    importlib.import_module('drill.theory.' + found.name)\n"
        "print('music21' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "False"
