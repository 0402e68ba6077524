"""Chords through the commands: a jazz teacher's turnaround spelled, shown and written as sound."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from desk_tools import ran

from drill.commands import deck, hear, spell
from drill.errors import DrillError


def spelled(home: Path, *words: str) -> list[tuple[str, str, str]]:
    """Symbol, function and notes of each chord."""
    got = ran(spell, (*words, "--json"), home)
    return [
        (cell["symbol"], cell["function"], " ".join(cell["notes"]))
        for run in json.loads(got.out)["runs"]
        for cell in run["cells"][:-1]
    ]


@pytest.mark.parametrize(
    ("words", "chords"),
    [
        (("Cm7",), [("Cm7", "", "C4 Eb4 G4 Bb4")]),
        (("F#ø7",), [("F#m7b5", "", "F#4 A4 C5 E5")]),
        (("V7", "--key", "G"), [("D7", "V7", "D4 F#4 A4 C5")]),
        (("V7/ii", "--key", "Bb"), [("G7", "V7/ii", "G4 B4 D5 F5")]),
        (("V65", "--key", "Bb"), [("F7/A", "V65", "A4 C5 Eb5 F5")]),
        (
            ("Gm7 C7 Fmaj7",),
            [("Gm7", "", "G4 Bb4 D5 F5"), ("C7", "", "C4 E4 G4 Bb4"), ("Fmaj7", "", "F4 A4 C5 E5")],
        ),
        (
            ("Dm7 G7 Cmaj7", "--lead", "--guide"),
            [("Dm7", "", "F4 C5"), ("G7", "", "F4 B4"), ("Cmaj7", "", "E4 B4")],
        ),
    ],
)
def test_chords_are_spelled(
    tmp_path: Path, words: tuple[str, ...], chords: list[tuple[str, str, str]]
) -> None:
    assert spelled(tmp_path, *words) == chords


def test_a_turnaround_in_all_keys(tmp_path: Path) -> None:
    found = spelled(tmp_path, "Cmaj7 A7 Dm7 G7", "--key", "all")
    assert len(found) == 15 * 4
    assert ("Abm7", "", "Ab4 Cb5 Eb5 Gb5") in found


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("C7alt",), "name what is altered"),
        (("Dm7 Gx9z",), "is not a chord symbol"),
        (("thirds", "--lead"), "--lead and --guide go with chords"),
        (("Dm7 G7", "--roots", "fourths"), "--roots goes with a cell"),
        (("Dm7 G7", "--begin", "3"), "go with patterns in a key"),
        (("Dm7 G7", "--step", "3"), "go with patterns in a key"),
        (("chord-m7", "--ending", "clipped"), "go with patterns in a key"),
        (("1-3-5", "--roots", "fourths", "--step", "2"), "go with patterns in a key"),
        (("chord-m7", "--span", "2"), "--span go with patterns in a key, not with 1-b3-5-b7"),
        (("1-3-5", "--roots", "fourths", "--span", "2"), "in a key, not with --roots"),
        (("1-3-5", "--roots", "fourths", "--descent", "mirror"), "with --roots, not mirror"),
        (("Dm7 G7", "--descent", "chord-tones"), "with ii7 V7, not chord-tones"),
    ],
)
def test_what_does_not_go_is_one_message(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    with pytest.raises(DrillError, match=said):
        ran(spell, words, tmp_path)


@pytest.mark.parametrize(
    "wish", [("--span", "2"), ("--begin", "3"), ("--step", "2"), ("--descent", "mirror")]
)
def test_an_option_that_one_pattern_of_a_deck_has_no_use_for_names_it(
    tmp_path: Path, wish: tuple[str, ...]
) -> None:
    file = tmp_path / "two.toml"
    file.write_text(
        'title = "Two"\ninstrument = "alto_sax"\npatterns = ["thirds", "chord-m7"]\nkeys = ["C"]\n'
    )
    out = tmp_path / "two.mid"
    with pytest.raises(DrillError, match="with 1-b3-5-b7"):
        ran(hear, (str(file), *wish, "--midi", str(out)), tmp_path)
    assert not out.exists()


def test_a_cell_on_moving_roots_comes_down_as_asked(tmp_path: Path) -> None:
    """Cells counted by hand: the same shape is 1-2-3-1 on each root, backwards 1-3-2-1."""
    words = ("1-2-3-1", "--roots", "fourths", "--down", "--descent")
    same = spelled(tmp_path, *words, "same-shape")
    assert [notes for *_, notes in same[:2]] == ["C4 D4 E4 C4", "F4 G4 A4 F4"]
    back = spelled(tmp_path, *words, "retrograde")
    assert [notes for *_, notes in back[:2]] == ["C4 E4 D4 C4", "F4 A4 G4 F4"]


def test_the_shipped_turnaround_is_shown_and_written_as_midi(tmp_path: Path) -> None:
    """Twelve keys of four chords; a tenor that reads C4 sounds B flat, MIDI 46."""
    import mido

    shown = ran(deck, ("show", "turnaround"), tmp_path).out
    for symbol in ("Cmaj7", "Ebm7", "F#7", "Gbmaj7"):
        assert f"{symbol}: " in shown
    file = tmp_path / "turnaround.mid"
    ran(hear, ("turnaround", "--midi", str(file)), tmp_path)
    notes = [m.note for m in mido.MidiFile(str(file)) if m.type == "note_on" and m.velocity]
    assert len(notes) == 12 * (4 * 4 + 1)
    assert notes[:8] == [46, 50, 53, 57, 55, 59, 62, 65]


def test_a_chord_alone_is_told_by_its_symbol(tmp_path: Path) -> None:
    head, *_ = ran(spell, ("Cm7",), tmp_path).out.splitlines()
    assert head.startswith("Cm7, ")
    assert head.endswith(", up")
    horn = ran(spell, ("Cm7", "--instrument", "alto_sax"), tmp_path).out.splitlines()[0]
    assert "Alto sax" in horn
