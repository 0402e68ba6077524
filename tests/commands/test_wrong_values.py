"""What a teacher's commands say of values that cannot be, and that nothing is lost by them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from desk_tools import NOW, ran

from drill.commands import assign, class_, deck, hand_in, hear, plan, sheet, take_in
from drill.commands.invented import Invented, house_of, practise
from drill.commands.table import module_of, parser_of
from drill.errors import DataError, DrillError, TakenError, UsageError
from drill.files import make_folder, write_all, write_whole

OWN = """\
title = "Own keys"
instrument = "own"
patterns = ["return3"]
concert_keys = ["Bb", "F"]
"""
ROSTER = "id,name,group,horn,level\n1,Ada Finch,winds,flute,1\n2,Bo Lark,brass,tuba,2\n"
HANDED = ("Ada Finch", "Bo Lark")


@pytest.fixture(scope="module")
def inbox(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What two students handed in."""
    folder = tmp_path_factory.mktemp("handed")
    file, home = folder / "keys.toml", folder / "home"
    file.write_text(OWN.replace('"own"', '"alto_sax"'), encoding="utf-8")
    ran(deck, ["add", str(file)], home)
    practise(Invented("x", 0.4, 1, "natural"), house_of(home).deck("keys"), home, NOW, 3)
    (folder / "inbox").mkdir()
    for name in HANDED:
        out = folder / "inbox" / f"{name[:2]}.drill-results"
        ran(hand_in, ["--deck", "keys", "--name", name, "--line", name, "--out", str(out)], home)
    return folder / "inbox"


class Desk:
    """A teacher's folder with a deck and a roster."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.deck, self.roster, self.out = (folder / each for each in ("own.toml", "r.csv", "out"))
        self.deck.write_text(OWN, encoding="utf-8")
        self.roster.write_text(ROSTER, encoding="utf-8")

    def run(self, module: ModuleType, *words: object) -> str:
        return ran(module, [str(word) for word in words], self.folder / "home").out

    def refused(self, module: ModuleType, *words: object, said: str) -> None:
        """The command says so and leaves every file as it was."""
        before = self.files()
        with pytest.raises(DrillError, match=said):
            self.run(module, *words)
        assert self.files() == before

    def files(self) -> dict[Path, bytes]:
        return {path: path.read_bytes() for path in self.folder.rglob("*") if path.is_file()}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--id", "x" * 61), "^id: at most 60 characters, found 61$"),
        (("--line", "x" * 301), "^line: at most 300 characters, found 301$"),
        (("--line", "a\x1b[2J"), "^--line has a control character, U.001B$"),
        (("--line", "na\udcffme"), "^--line has a control character, U.DCFF$"),
        (("--id", "a\nb"), "^--id has a control character, U.000A$"),
    ],
)
def test_an_option_that_no_deck_may_have_is_no_fault_of_a_file(
    desk: Desk, words: tuple[str, ...], said: str
) -> None:
    given = (assign, desk.deck, "--roster", desk.roster, "--out-dir", desk.out)
    desk.refused(*given, *words, said=said)
    assert not desk.out.exists()


def test_a_title_that_is_too_long_is_told_without_a_place(desk: Desk, inbox: Path) -> None:
    words = (deck, "tricky", inbox, "--title", "x" * 101)
    desk.refused(*words, said="^title: at most 100 characters, found 101$")
    with pytest.raises(UsageError):
        desk.run(*words)
    desk.refused(*words[:-1], "na\udcffme", said="^--title has a control character, U.DCFF$")


def test_one_deck_for_each_has_no_single_file(desk: Desk, inbox: Path) -> None:
    words = ("tricky", inbox, "--by", "student", "--out-dir", desk.out, "--out", "x.toml")
    desk.refused(deck, *words, said="--out is for one deck")


@pytest.mark.parametrize("name", [".", ".."])
def test_a_folder_is_no_file_for_a_deck(desk: Desk, name: str) -> None:
    words = ("new", "--title", "T", "--instrument", "tuba", "--patterns", "thirds")
    desk.refused(deck, *words, "--out", name, said="it is a folder")


def test_what_cannot_be_made_again_is_not_written_over(desk: Desk, inbox: Path) -> None:
    results = inbox / "Ad.drill-results"
    for module, words, file, said in (
        (class_, (inbox, "--html"), desk.deck, "is a deck"),
        (class_, (inbox, "--roster", desk.roster, "--csv"), desk.roster, "what this is made from"),
        (class_, (inbox, "--csv-cells"), results, "is a results file"),
        (plan, (desk.folder, "--roster", desk.roster, "--html"), desk.roster, "made from"),
        (sheet, (desk.deck, "--instrument", "tuba", "--midi"), desk.deck, "is a deck"),
        (sheet, (desk.deck, "--roster", desk.roster, "--horns", "students", "--pdf"),
         desk.roster, "made from"),
        (hear, (desk.deck, "--instrument", "tuba", "--midi"), desk.deck, "is a deck"),
    ):  # fmt: skip
        before = file.read_bytes()
        desk.refused(module, *words, file, said=f"{said}.*: name another file")
        assert file.read_bytes() == before


def test_the_roster_of_a_plan_s_own_folder_is_not_written_over(desk: Desk) -> None:
    own = desk.folder / "roster.csv"
    shutil.copy(desk.roster, own)
    desk.refused(plan, desk.folder, "--html", own, said="what this is made from")


def test_two_options_never_write_one_file(desk: Desk, inbox: Path) -> None:
    file = desk.folder / "x"
    for module, words in (
        (class_, (inbox, "--html", file, "--csv", file)),
        (sheet, ("thirds", "--musicxml", file, "--midi", desk.folder / "." / "x")),
        (hear, ("thirds", "--wav", file, "--midi", file)),
    ):
        desk.refused(module, *words, said="is named twice: name a file for each")


def test_quiet_without_a_file_would_say_nothing(desk: Desk, inbox: Path) -> None:
    desk.refused(class_, inbox, "--quiet", said="--quiet prints nothing: name a file")
    assert json.loads(desk.run(class_, inbox, "--quiet", "--json"))


@pytest.mark.parametrize("begin", ["0", "-1", "13", "99"])
def test_a_degree_that_no_scale_has_is_told_once(desk: Desk, begin: str) -> None:
    words = (desk.deck, "--instrument", "tuba", f"--begin={begin}", "--midi", desk.out)
    desk.refused(sheet, *words, said=f"^a run begins on degree 1 to 12, not {begin}$")


@pytest.mark.parametrize("option", ["--key", "--concert-key"])
@pytest.mark.parametrize("what", ["own.toml", "thirds"])
def test_no_key_is_not_the_usual_one(desk: Desk, what: str, option: str) -> None:
    named = desk.deck if what == "own.toml" else what
    words = (named, "--instrument", "tuba", option, "", "--midi", desk.out)
    desk.refused(sheet, *words, said="'' is not a note name")


@pytest.mark.parametrize(
    "words",
    [
        ("assign", "own.toml", "--roster", "r.csv", "--out-dir", ""),
        ("assign", "own.toml", "--roster=", "--out-dir", "out"),
        ("class", "--html", ""),
        ("class", "inbox", ""),
        ("take-in", ""),
        ("plan", ""),
        ("deck", "tricky", "inbox", "--by", "student", "--out-dir", ""),
        ("hand-in", "--out="),
    ],
)
def test_a_file_without_a_name_is_no_folder_where_one_stands(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    """A script whose variable is empty names it so."""
    with pytest.raises(SystemExit) as stop:
        parser_of(words[0], module_of(words[0])).parse_args(words[1:])
    assert stop.value.code == 2
    assert "expected a name, found nothing" in capsys.readouterr().err


def test_a_number_is_asked_for_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        parser_of("spell", module_of("spell")).parse_args(["thirds", "--begin", "x"])
    assert "--begin: expected a whole number, found 'x'" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        parser_of("hear", module_of("hear")).parse_args(["thirds", "--tempo", "x"])
    assert "--tempo: expected a number, found 'x'" in capsys.readouterr().err


@pytest.mark.parametrize("degree", ["-1", "0", "99999999999"])
def test_a_degree_is_called_by_its_number(desk: Desk, degree: str) -> None:
    words = ("new", "--title", "T", "--instrument", "tuba", "--patterns", "thirds")
    desk.refused(deck, *words, f"--degrees={degree}", said="1 to 13, found (-1|0|a whole number) ")


def test_a_name_that_is_no_folder_is_told_where_it_stands(desk: Desk) -> None:
    """Not at the folder that was to be made below it."""
    for below in (desk.roster, desk.roster / "x" / "y"):
        with pytest.raises(DrillError, match=r"r\.csv: cannot be made: there is something"):
            make_folder(below)


def test_a_folder_is_not_a_file_that_can_be_replaced(desk: Desk) -> None:
    with pytest.raises(DrillError, match="it is a folder") as refused:
        write_whole(desk.folder, b"x", replace=False)
    assert not isinstance(refused.value, TakenError)


def test_files_are_written_all_or_none(desk: Desk) -> None:
    desk.out.mkdir()
    files = [(desk.roster, b"new"), (desk.folder / "a", b"new"), (desk.out, b"new")]
    before = desk.files()
    with pytest.raises(DrillError, match="it is a folder"):
        write_all(files)
    assert desk.files() == before


def test_the_pages_of_a_class_are_written_all_or_none(desk: Desk, inbox: Path) -> None:
    (desk.out / "all.html").mkdir(parents=True)
    desk.refused(class_, inbox, "--pages", desk.out, said="it is a folder")


def test_what_was_taken_in_before_the_disk_was_full_is_told(
    desk: Desk, inbox: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    written: list[Path] = []

    def full(path: Path, data: bytes, **how: Any) -> None:
        if written:
            raise DrillError(f"{path}: cannot be written: no space left on device")
        written.append(path)
        write_whole(path, data, **how)

    monkeypatch.setattr(take_in, "write_whole", full)
    monkeypatch.setattr(take_in, "_say", lambda new, *_: print(*(e.results.student for e in new)))
    with pytest.raises(DrillError, match="no space left"):
        desk.run(take_in, inbox)
    assert capsys.readouterr().out.strip() == HANDED[0]
    assert len(list(written[0].parent.iterdir())) == 1


def test_values_under_one_column_are_counted_in_words(desk: Desk) -> None:
    desk.roster.write_text("name\nAda,flute\n", encoding="utf-8")
    words = (desk.deck, "--roster", desk.roster, "--out-dir", desk.out)
    with pytest.raises(DataError, match="2 values under 1 column$"):
        desk.run(assign, *words)
