"""``drill hand-in``: the answers of one deck, and nothing else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from desk_tools import NOW, ran

from drill.cli import main
from drill.commands import deck, hand_in
from drill.commands.invented import STUDENTS, practise
from drill.decks.load import load
from drill.errors import ExitCode, UsageError
from drill.memory.store import Store
from drill.reports import reading

STUDENT = STUDENTS[0]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A student's home with a deck and three days of practice."""
    home = tmp_path / "home"
    path = tmp_path / "cells.toml"
    words = ("--title", "Cells", "--instrument", "alto_sax", "--patterns", "1-2-3-1")
    ran(deck, ("new", *words, "--keys", "G,Eb,Gb", "--prompts", "12", "--out", str(path)), home)
    ran(deck, ("add", str(path)), home)
    mine = load(home / "decks" / "cells.toml")
    practise(replace(STUDENT, practices=3), mine, home, NOW, 5)
    return home


def test_it_holds_every_answer_to_the_deck(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "mine.drill-results"
    got = ran(hand_in, ("--name", " Bo  Barline", "--out", str(out)), home)
    assert "the deck practised last is cells" in got.err
    value = reading.load(out, NOW)
    with Store.open(home / "answers.db") as store:
        log, items = tuple(store.answers()), store.items()
    assert value.student == "Bo Barline"
    assert value.deck.text == (home / "decks" / "cells.toml").read_text(encoding="utf-8")
    assert value.deck.cells == 42
    assert [each.uuid for each in value.answers] == [each.uuid for each in log]
    for mine, kept in zip(value.answers, log, strict=True):
        bare = replace(kept, typed="", hypotheses=(), details="")
        assert mine == replace(bare, seconds=round(bare.seconds or 0, 3))
    assert {each.id: each for each in value.items} == {each.item: items[each.item] for each in log}
    assert value.asked == {each.item for each in log}
    said = " ".join(got.err.replace("drill: ", "").split())
    assert f"{len(log)} answers to {len(value.items)} cells" in said
    assert "It is a record, not an examination" in said
    assert "What you typed, other decks" in said


def test_nothing_else_of_the_player_is_in_it(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "mine.drill-results"
    ran(hand_in, ("--name", "Bo", "--out", str(out)), home)
    data = out.read_bytes()
    with Store.open(home / "answers.db") as store:
        typed = {each.typed for each in store.answers() if each.typed}
    assert typed
    assert not [each for each in typed if each.encode() in data]
    assert str(home).encode() not in data


def test_the_name_comes_from_the_settings(home: Path, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="under which name"):
        ran(hand_in, ("--out", str(tmp_path / "x")), home)
    (home / "settings.toml").write_text('student = "Nia Natural"\n', encoding="utf-8")
    ran(hand_in, ("--out", str(tmp_path / "x")), home)
    assert reading.load(tmp_path / "x", NOW).student == "Nia Natural"
    (home / "settings.toml").unlink()
    ran(hand_in, ("--out", str(tmp_path / "y")), home, typed="Cy Codetta\n")
    assert reading.load(tmp_path / "y", NOW).student == "Cy Codetta"
    with pytest.raises(UsageError, match="cannot be shown"):
        ran(hand_in, ("--name", "a\x1bb"), home)


def test_an_edited_deck_s_answers_are_said_and_not_lost(home: Path, tmp_path: Path) -> None:
    path = home / "decks" / "cells.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('"Gb"', '"Db"'), encoding="utf-8")
    with pytest.raises(UsageError, match=r"given before it was edited: --earlier takes them"):
        ran(hand_in, ("--name", "Bo", "--out", str(tmp_path / "x")), home)
    ran(hand_in, ("--name", "Bo", "--earlier", "--out", str(tmp_path / "x")), home)
    value = reading.load(tmp_path / "x", NOW)
    assert {each.deck for each in value.answers} == {""}  # all were given to the deck as it was
    asked = {each.id for each in value.items if not each.id.startswith("Gb:")}
    assert value.asked == asked  # the cells in G flat are no longer the deck's
    mine = load(path)
    practise(replace(STUDENT, practices=1), mine, home, NOW, 6)
    got = ran(hand_in, ("--name", "Bo", "--out", str(tmp_path / "y")), home)
    assert "given before the deck was edited" in got.err
    now = reading.load(tmp_path / "y", NOW)
    assert {each.deck for each in now.answers} == {now.deck.fingerprint}


def test_a_corrected_note_is_no_edit(home: Path, tmp_path: Path) -> None:
    path = home / "decks" / "cells.toml"
    path.write_text('note = "slowly"\n' + path.read_text(encoding="utf-8"), encoding="utf-8")
    got = ran(hand_in, ("--name", "Bo", "--out", str(tmp_path / "x")), home)
    assert "edited" not in got.err


def test_the_file_gets_a_name_and_is_not_written_over(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ran(hand_in, ("--deck", "cells", "--name", "Bo Barline"), home)
    assert (tmp_path / "bo-barline-cells.drill-results").exists()
    with pytest.raises(UsageError, match="--replace"):
        ran(hand_in, ("--name", "Bo Barline"), home)
    ran(hand_in, ("--name", "Bo Barline", "--replace"), home)


def test_nothing_to_hand_in(tmp_path: Path, home: Path) -> None:
    with pytest.raises(UsageError, match="practise first"):
        ran(hand_in, ("--name", "Bo"), tmp_path / "empty")
    with pytest.raises(UsageError, match="no answers to the deck thirds"):
        ran(hand_in, ("--name", "Bo", "--deck", "thirds"), home)


def test_a_name_that_looks_like_an_option_is_told_how_to_write_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["hand-in", "--name", "-2+3"]) == ExitCode.USAGE
    assert "one that begins with - is written --name=VALUE" in capsys.readouterr().err
