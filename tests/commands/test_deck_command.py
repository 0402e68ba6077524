"""``drill deck``: new, tricky, show, add."""

from __future__ import annotations

import datetime as dt
import json
import re
from pathlib import Path

import pytest
from desk_tools import NOW, ran

from drill.commands import check, deck
from drill.commands.invented import STUDENTS, practise
from drill.decks.load import load, loads
from drill.errors import DataError, DrillError, ExitCode, FaultsError, UsageError
from drill.files import file_name
from drill.memory.store import Store
from drill.terms import Direction

OPTIONS = (
    "new", "--title", "Flat keys", "--instrument", "trumpet_bb", "--patterns", "1-2-3-1,thirds",
    "--keys", "up to 4 flats",
)  # fmt: skip


# -- new


def test_options_alone_print_a_deck_with_comments(tmp_path: Path) -> None:
    more = (
        "--directions", "down", "--degrees", "4,7", "--span", "2", "--tempo", "60",
        "--goal-tempo", "90", "--right", "85", "--ask", "degree,run", "--prompts", "20",
        "--due", "2031-06-14", "--note", "slowly",
    )  # fmt: skip
    out = ran(deck, (*OPTIONS, *more), tmp_path).out
    made = loads(out, "x.toml")
    assert [str(key) for key in made.keys] == [
        "C major", "F major", "Bb major", "Eb major", "Ab major",
    ]  # fmt: skip
    assert [pattern.id for pattern in made.patterns] == ["return3", "thirds"]
    assert (made.directions, made.degrees, made.tempo) == ((Direction.DOWN,), (4, 7), 60)
    assert (made.goal.tempo, made.goal.right, made.practice.prompts) == (90, 0.85, 20)
    assert (made.due, made.note) == (dt.date(2031, 6, 14), "slowly")
    assert out.count("#") > 10


def test_it_never_asks_where_there_is_no_terminal(tmp_path: Path) -> None:
    with pytest.raises(FaultsError) as refused:
        ran(deck, ("new", "--title", "x"), tmp_path)
    said = str(refused.value)
    assert "instrument is missing" in said
    with pytest.raises(FaultsError, match="did you mean trumpet"):
        ran(deck, (*OPTIONS[:4], "trumpett", *OPTIONS[5:]), tmp_path)


def test_a_person_is_asked_and_asked_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    typed = "\nEvening keys\nkazoo\nalto_sax\n\n\nDb, Hx\nDb, Gb\nsoon\n2031-06-14\n\n\n"
    got = ran(deck, ("new",), tmp_path, typed)
    made = load(tmp_path / "evening-keys.toml")
    assert (made.title, made.instrument, made.due) == (
        "Evening keys", "alto_sax", dt.date(2031, 6, 14),
    )  # fmt: skip
    assert [str(key.tonic) for key in made.keys] == ["Db", "Gb"]
    assert [pattern.id for pattern in made.patterns] == ["return3"]
    assert "title is empty" in got.err
    assert "no instrument" in got.err
    assert '"Hx" is not a tonic' in got.err
    assert "'soon' is not a day" in got.err
    assert "written" in got.err


def test_only_what_the_options_leave_open_is_asked(tmp_path: Path) -> None:
    got = ran(deck, OPTIONS, tmp_path, typed="")  # complete: nothing is asked
    assert loads(got.out, "x.toml").title == "Flat keys"
    typed = "\nall\n\n\n-\n"  # scales, keys, due, note, file
    got = ran(deck, ("new", "--title", "T", "--instrument", "flute"), tmp_path, "1-3\n" + typed)
    assert "called" not in got.err
    assert len(loads(got.out, "x.toml").keys) == 15


def test_questions_broken_off_write_nothing(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="broken off"):
        ran(deck, ("new",), tmp_path, "Title\n")
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "flat.toml"
    got = ran(deck, (*OPTIONS, "--out", str(tmp_path / "flat")), tmp_path)
    assert (got.code, load(path).title) == (ExitCode.OK, "Flat keys")
    before = path.read_bytes()
    with pytest.raises(UsageError, match="--replace"):
        ran(deck, ("new", "--title", "Other", *OPTIONS[3:], "--out", str(path)), tmp_path)
    assert path.read_bytes() == before
    ran(deck, ("new", "--title", "Other", *OPTIONS[3:], "--out", str(path), "--replace"), tmp_path)
    assert load(path).title == "Other"


# -- show


def test_show_spells_the_runs(tmp_path: Path) -> None:
    """G A B G up and G F# E G down from the top: the returning cell in G (common practice)."""
    path = tmp_path / "g.toml"
    words = ("new", "--title", "G", "--instrument", "alto_sax", "--patterns", "1-2-3-1")
    ran(deck, (*words, "--keys", "G", "--note", "aloud", "--out", str(path)), tmp_path)
    out = ran(deck, ("show", str(path)), tmp_path).out
    assert out.splitlines()[0] == "G"
    assert "  aloud" in out
    assert "G major, 1-2-3-1 up (sounds Bb major)" in out
    assert re.search(r"1: G4 A4 B4 G4 \| 2: A4 B4 C5 A4", out)
    assert re.search(r"8: G5 F#5 E5 G5 \| 7: F#5 E5 D5 F#5", out)
    assert max(map(len, out.splitlines())) <= 80
    data = json.loads(ran(deck, ("show", str(path), "--json"), tmp_path).out)
    assert [run["direction"] for run in data["runs"]] == ["up", "down"]
    assert data["runs"][0]["cells"][0] == {"degree": "1", "notes": ["G4", "A4", "B4", "G4"]}


# -- add


def given(folder: Path, name: str, title: str) -> Path:
    path = folder / name
    text = ran(deck, ("new", "--title", title, *OPTIONS[3:]), folder).out
    path.write_text(text, encoding="utf-8")
    return path


def test_add_copies_the_file_byte_for_byte(tmp_path: Path) -> None:
    home = tmp_path / "home"
    path = given(tmp_path, "Flat Keys (week 3).toml", "Flat keys")
    got = ran(deck, ("add", str(path)), home)
    target = home / "decks" / "flat-keys-week-3.toml"
    assert target.read_bytes() == path.read_bytes()
    assert "drill --deck flat-keys-week-3" in got.err
    again = ran(deck, ("add", str(path)), home)
    assert "already" in again.err
    assert len(list(target.parent.iterdir())) == 1


def test_add_never_replaces_another_deck_unasked(tmp_path: Path) -> None:
    home = tmp_path / "home"
    one, other = given(tmp_path, "a.toml", "One"), given(tmp_path, "b.toml", "Other")
    ran(deck, ("add", str(one)), home)
    with pytest.raises(UsageError, match="another deck is called a already"):
        ran(deck, ("add", str(other), "--as", "A"), home)
    assert load(home / "decks" / "a.toml").title == "One"
    ran(deck, ("add", str(other), "--as", "A", "--replace"), home)
    assert load(home / "decks" / "a.toml").title == "Other"


def test_add_refuses_what_is_no_deck(tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("title = 3\n", encoding="utf-8")
    with pytest.raises(FaultsError, match="bad.toml:1"):
        ran(deck, ("add", str(bad)), tmp_path / "home")
    assert not (tmp_path / "home").exists()
    good = given(tmp_path, "x.toml", "X")
    for name in ("..", "///", "\x07"):
        with pytest.raises(UsageError, match="no letter"):
            ran(deck, ("add", str(good), "--as", name), tmp_path / "home")
    ran(deck, ("add", str(good), "--as", "../../etc/passwd"), tmp_path / "home")
    assert [path.name for path in (tmp_path / "home" / "decks").iterdir()] == ["etc-passwd.toml"]


def test_add_says_when_it_stands_before_a_shipped_deck(tmp_path: Path) -> None:
    path = given(tmp_path, "thirds.toml", "My thirds")
    assert "comes with the program" in ran(deck, ("add", str(path)), tmp_path / "home").err


# -- tricky


def test_tricky_from_one_s_own_log(tmp_path: Path, checkout: Path) -> None:
    with pytest.raises(UsageError, match="no answers yet"):
        ran(deck, ("tricky",), tmp_path)
    assigned = load(checkout / "decks" / "major-returning-cells.toml")
    student = next(each for each in STUDENTS if each.aptitude < 0.4)
    practise(student, assigned, tmp_path, NOW, 1)
    out = ran(deck, ("tricky", "--worst", "3", "--due", "2031-04-01"), tmp_path).out
    made = loads(out, "t.toml")
    assert (made.instrument, len(made.keys)) == ("alto_sax", 3)
    assert made.due == dt.date(2031, 4, 1)
    with Store.open(tmp_path / "answers.db") as store:
        counted = [each for each in store.answers() if each.teaches]
    for key in made.keys:
        mine = [each for each in counted if each.item.startswith(f"{key.tonic}:{key.scale}:")]
        wrong = len([each for each in mine if not each.right])
        assert f"{wrong} of {len(mine)} answers wrong" in out
    assert f"{len(counted):,} answers of your own" in out


def test_one_s_own_log_makes_one_deck(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="--by goes with results files"):
        ran(deck, ("tricky", "--by", "horn", "--out-dir", str(tmp_path / "x")), tmp_path)


def test_tricky_needs_results(tmp_path: Path) -> None:
    with pytest.raises(DataError, match="expected results files"):
        ran(deck, ("tricky", str(tmp_path)), tmp_path)


# -- saving


def test_names_are_safe_on_every_system() -> None:
    names = {
        "Flat keys!": "flat-keys",
        "../../x": "x",
        ".hidden": "hidden",
        "CON": "con-1",
        "lpt1": "lpt1-1",
        "a" * 200: "a" * 60,
        "\x00\x1b": "",
        "Übung 3": "übung-3",
        "a/b\\c:d": "a-b-c-d",
    }
    assert {name: file_name(name) for name in names} == names


PLAIN = ("new", "--title", "T", "--instrument", "alto_sax", "--patterns", "thirds")


@pytest.mark.parametrize(
    ("right", "share"), [("0.9", 0.9), ("90", 0.9), ("85%", 0.85), ("1.0", 1.0)]
)
def test_a_share_is_written_as_a_deck_has_it(right: str, share: float, tmp_path: Path) -> None:
    got = ran(deck, (*PLAIN, "--right", right), tmp_path)
    assert loads(got.out, "d.toml").goal.right == share


def test_every_fault_of_the_options_at_once(tmp_path: Path) -> None:
    words = (*PLAIN, "--right", "850", "--due", "soon", "--degrees", "4,x", "--keys", "H")
    with pytest.raises(FaultsError) as caught:
        ran(deck, words, tmp_path)
    said = str(caught.value)
    for word in ("right:", "due:", "degrees:", "keys:"):
        assert word in said


def test_a_deck_with_nothing_to_ask_is_not_written(tmp_path: Path) -> None:
    with pytest.raises(FaultsError, match="nothing to ask"):
        ran(deck, (*PLAIN, "--degrees", "9"), tmp_path)
    late = ran(deck, (*PLAIN, "--due", "2020-01-01"), tmp_path)
    assert "which has passed" in late.err


def test_check_calls_nothing_good_that_has_nothing_to_ask(tmp_path: Path) -> None:
    path = tmp_path / "n.toml"
    text = 'title = "T"\ninstrument = "alto_sax"\npatterns = ["thirds"]\n'
    path.write_text(text + "degrees = [9]\n", encoding="utf-8")
    got = ran(check, (str(path),), tmp_path)
    assert got.code is ExitCode.BAD_DATA
    assert "nothing to ask" in got.err
    assert not got.out
    path.write_text(text + "due = 2020-01-01\n", encoding="utf-8")
    got = ran(check, (str(path),), tmp_path)
    assert "good; T, 30 runs; its due date has passed" in got.out


def test_no_folder_is_made_of_a_mistyped_path(tmp_path: Path) -> None:
    with pytest.raises(DrillError, match="no folder"):
        ran(deck, (*PLAIN, "--out", str(tmp_path / "none" / "b.toml")), tmp_path)
    assert not (tmp_path / "none").exists()


def test_a_deck_is_found_as_its_file_was_called(tmp_path: Path) -> None:
    path = tmp_path / "band-tenor_sax.toml"
    ran(deck, (*PLAIN, "--out", str(path)), tmp_path)
    got = ran(deck, ("add", str(path)), tmp_path / "home")
    assert "band-tenor-sax" in got.err
    assert str(path) in ran(deck, (*PLAIN, "--out", str(path), "--replace"), tmp_path).err
    shown = ran(deck, ("show", "band-tenor_sax"), tmp_path / "home")
    assert shown.out.startswith("T\n")
