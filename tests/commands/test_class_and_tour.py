"""``drill class`` and ``drill tour``, through the real command line."""

from __future__ import annotations

import argparse
import csv
import json
from datetime import date, datetime, time, timedelta, timezone
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest
from desk_tools import NOW, ran

from drill.cli import main
from drill.commands import class_, deck, hand_in, tour
from drill.commands.giving import Out
from drill.commands.invented import STUDENTS, house_of, practise
from drill.commands.table import COMMANDS
from drill.errors import DataError, ExitCode, UsageError
from drill.opening.tools import Tools
from drill.reports.classroom import classroom
from drill.reports.gathering import When
from drill.reports.people import read_roster


@pytest.fixture(scope="module")
def toured(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The folder of a tour, and what it said."""
    folder = tmp_path_factory.mktemp("tour") / "demo"
    own = folder.parent / "own"
    got = ran(tour, ("--folder", str(folder), "--seed", "3"), own)
    assert got.code is ExitCode.OK
    assert not own.exists()  # the player's own home was not even made
    return folder, got.out


def test_the_tour_walks_through_all_of_it(toured: tuple[Path, str]) -> None:
    folder, said = toured
    stops = [line for line in said.splitlines() if line[:3] in {f"{n}. " for n in range(1, 10)}]
    assert [stop.partition(",")[0].partition(":")[0] for stop in stops] == [
        "1. One deck for every horn", "2. A roster", "3. Practice", "4. Handing in",
        "5. The report", "6. The plan", "7. The next deck", "8. The page",
    ]  # fmt: skip
    assert "Not started (1): Otto Ottava" in said
    assert "answers wrong" in said
    assert "concert Db major" in said
    started = [student for student in STUDENTS if student.practices]
    assert len(list((folder / "inbox").iterdir())) == len(started)
    assert len(list((folder / "pages").iterdir())) == len(STUDENTS) + 1
    assert (folder / "class.html").stat().st_size > 10_000
    assert "for 6 parts" in said
    assert max(len(line) for line in said.splitlines() if "#" not in line) < 160


def test_the_same_seed_gives_the_same_answers(toured: tuple[Path, str], tmp_path: Path) -> None:
    folder, _ = toured
    (given,) = [path for path in (folder / "week-1").iterdir() if path.name.startswith("03")]
    handed = []
    for number, seed in enumerate((3, 3, 4)):
        home = tmp_path / str(number)
        ran(deck, ("add", str(given), "--as", "warm-up"), home)
        mine = house_of(home).deck("warm-up")
        practise(STUDENTS[2], mine, home, NOW, seed, days=[1])
        out = tmp_path / f"{number}.drill-results"
        ran(hand_in, ("--deck", "warm-up", "--out", str(out)), home)
        handed.append(out.read_bytes())
    assert handed[0] == handed[1] != handed[2]


def test_the_tour_leaves_other_folders_alone(tmp_path: Path) -> None:
    (tmp_path / "thesis.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(UsageError, match="holds other files"):
        ran(tour, ("--folder", str(tmp_path)), tmp_path / "own")
    assert [path.name for path in tmp_path.iterdir()] == ["thesis.txt"]


def test_class_prints_writes_and_names_what_is_missing(
    toured: tuple[Path, str], tmp_path: Path
) -> None:
    folder, _ = toured
    page, table = tmp_path / "c.html", tmp_path / "c.csv"
    words = (str(folder / "inbox"), "--roster", str(folder / "roster.csv"))
    got = ran(class_, (*words, "--html", str(page), "--csv", str(table)), tmp_path)
    assert got.code is ExitCode.OK
    assert got.out.startswith("Class report: 2031-03-14\nstudents 9; started 8;")
    assert max(map(len, got.out.splitlines())) <= 80
    data = json.loads(ran(class_, (*words, "--json"), tmp_path).out)
    assert data["not_started"] == ["Otto Ottava"]
    rows = list(csv.DictReader(table.read_text(encoding="utf-8-sig").splitlines()))
    assert sum(int(row["asked"]) for row in rows) == data["asked"]
    assert [path.stat().st_mode & 0o777 for path in (page, table)] == [0o600, 0o600]
    assert "To teach next" in page.read_text(encoding="utf-8")


def test_a_bad_file_among_good_ones_is_named_and_the_code_says_so(
    toured: tuple[Path, str], tmp_path: Path
) -> None:
    folder, _ = toured
    good = next((folder / "inbox").iterdir())
    bad = tmp_path / "bad.drill-results"
    bad.write_bytes(good.read_bytes()[:-5])
    got = ran(class_, (str(good), str(bad)), tmp_path)
    assert got.code is ExitCode.BAD_DATA
    assert "Files to look at" in got.out
    assert "damaged" in got.out
    got = ran(class_, (str(good), str(bad), "--json"), tmp_path)
    assert "bad.drill-results: left out: damaged" in got.err
    assert len(json.loads(got.out)["files"]) == 1
    got = ran(class_, (str(good), str(bad), "--anonymous"), tmp_path)
    assert got.code is ExitCode.BAD_DATA
    assert "bad.drill-results: left out: damaged" in got.err
    assert "bad" not in got.out
    with pytest.raises(DataError, match="damaged"):
        ran(class_, (str(bad),), tmp_path)


def test_a_results_file_is_never_written_over(toured: tuple[Path, str], tmp_path: Path) -> None:
    folder, _ = toured
    good = next((folder / "inbox").iterdir())
    before = good.read_bytes()
    with pytest.raises(UsageError, match="is a results file"):
        ran(class_, (str(good), "--html", str(good)), tmp_path)
    assert good.read_bytes() == before


def test_a_roster_that_cannot_be_read(toured: tuple[Path, str], tmp_path: Path) -> None:
    folder, _ = toured
    roster = tmp_path / "names.txt"
    roster.write_bytes(b"Zo\xeb\n")
    with pytest.raises(DataError, match=r"names.txt:1:3: byte 0xEB .* \(save the roster as UTF-8"):
        ran(class_, (str(folder / "inbox"), "--roster", str(roster)), tmp_path)
    roster.write_bytes(b"a" * (8 * 1024 * 1024 + 1))
    with pytest.raises(DataError, match=r"names.txt: larger than a roster may be \(8 MiB\)"):
        ran(class_, (str(folder / "inbox"), "--roster", str(roster)), tmp_path)
    with pytest.raises(DataError, match="this is a folder, not a roster"):
        ran(class_, (str(folder / "inbox"), "--roster", str(tmp_path)), tmp_path)
    with pytest.raises(DataError, match="no such file"):
        ran(class_, (str(folder / "inbox"), "--roster", str(tmp_path / "no")), tmp_path)


def test_the_command_line_knows_the_desk(capsys: pytest.CaptureFixture[str]) -> None:
    """``class`` is a word of Python's own: its module is called otherwise."""
    for name in ("class", "hand-in", "deck", "tour", "merge", "backup", "restore"):
        assert name in COMMANDS
        assert main([name, "--help"]) == 0
        assert f"drill {name}" in capsys.readouterr().out
    assert main(["class", "nothing-there"]) == ExitCode.BAD_DATA
    assert "no such file" in capsys.readouterr().err


def test_every_student_has_a_page_of_their_own_whatever_the_names(tmp_path: Path) -> None:
    roster = tmp_path / "r.csv"
    roster.write_text("name,horn\nA,tuba\nA 3,tuba\nA!,tuba\n", encoding="utf-8")
    pages = tmp_path / "pages"
    places = SimpleNamespace(results=tmp_path)
    room = classroom((), NOW, roster=read_roster(roster.read_text(encoding="utf-8")))
    tools = cast("Tools", SimpleNamespace(house=SimpleNamespace(zone=None, places=places),
                                          say=lambda _: None))  # fmt: skip
    class_.student_files(pages, room, Out(tools))
    assert sorted(path.name for path in pages.iterdir()) == [
        "a-3.html", "a-4.html", "a.html", "all.html",
    ]  # fmt: skip


def test_now_is_not_read_from_the_air(toured: tuple[Path, str]) -> None:
    assert f"Class report: {NOW.date()}" in toured[1]


def test_a_day_of_a_report_ends_at_its_midnight_and_today_is_not_over() -> None:
    zone = timezone(timedelta(hours=-5))
    today = NOW.astimezone(zone).date()
    house = SimpleNamespace(zone=zone)
    tools = cast("Tools", SimpleNamespace(now=lambda: NOW, house=house, today=today))
    before, earlier = today - timedelta(days=3), today - timedelta(days=9)

    def when(until: date | None, since: date | None) -> When:
        return class_.when_of(argparse.Namespace(as_of=until, since=since), tools)

    found = when(before, earlier)
    midnight = datetime.combine(before + timedelta(days=1), time(), zone)
    assert (found.day, found.at) == (before, midnight)
    assert found.since == (earlier, midnight - timedelta(days=6))
    assert when(today, None).at == NOW
    assert (when(None, None).at, when(None, None).since) == (None, None)
    for until, since in ((today + timedelta(days=1), None), (before, before)):
        with pytest.raises(UsageError):
            when(until, since)
