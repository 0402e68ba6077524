"""A band of several horns through the commands: assign, hand in, take in, report, plan, next deck.

The logs are made by the program itself; what the report says is counted once more from the
results files with json alone.
"""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from desk_tools import NOW, Ran, ran

from drill.commands import assign, class_, hand_in, plan, sheet, take_in
from drill.commands import deck as deck_command
from drill.commands.invented import Invented, house_of, practise
from drill.decks.load import load, loads
from drill.errors import DataError, DrillError, ExitCode, FaultsError, TakenError, UsageError
from drill.memory.items import Item, practice_day
from drill.memory.levels import ByHeart, Level, level
from drill.memory.model import learn
from drill.memory.state import State
from drill.reports import reading
from drill.reports.people import read_roster
from drill.reports.results import clean_line
from drill.reports.rosterfile import roster_of
from drill.reports.study import Study
from drill.theory.instruments import INSTRUMENTS
from drill.theory.keys import written_key
from drill.theory.scales import parse_key

DECK = """\
title = "{title}"
instrument = "own"
patterns = {patterns}
concert_keys = {keys}
[goal]
right = 0.5
days = 2
[practice]
prompts = {prompts}
"""


@dataclass(frozen=True, slots=True)
class Band:
    """What the students handed in, and where."""

    folder: Path
    players: tuple[Invented, ...]
    weeks: tuple[str, ...]

    @property
    def roster(self) -> Path:
        return self.folder / "roster.csv"

    @property
    def inbox(self) -> Path:
        return self.folder / "inbox"

    def run(self, module: Any, *words: object, home: str = "teacher") -> Ran:
        return ran(module, [str(word) for word in words], self.folder / home)

    def report(self, *words: object) -> dict[str, Any]:
        said = self.run(class_, self.inbox, "--roster", self.roster, "--json", *words)
        value = json.loads(said.out)
        assert isinstance(value, dict)
        return value


def made(
    folder: Path, players: tuple[Invented, ...], decks: dict[str, str], days: list[list[int]]
) -> Band:
    """A band that was given decks and practised each on some days before now."""
    rows = (f"{p.id},{p.name},{p.group},{p.horn}\n" for p in players)
    (folder / "inbox").mkdir(parents=True)
    (folder / "roster.csv").write_text("id,name,group,horn\n" + "".join(rows), encoding="utf-8")
    band = Band(folder, players, tuple(decks))
    for week, (name, text) in enumerate(decks.items()):
        deck = folder / f"{name}.toml"
        deck.write_text(text, encoding="utf-8")
        given = (NOW - timedelta(days=max(days[week]) + 1)).date()
        due = (NOW - timedelta(days=min(days[week]) - 1)).date()
        got = band.run(assign, deck, "--roster", band.roster, "--id", name, "--given", given,
                       "--due", due, "--out-dir", folder / name)  # fmt: skip
        assert got.code is ExitCode.OK
        assert len(list((folder / name).iterdir())) == len(players)
    for player in players:
        hand_in_all(band, player, days)
    return band


def hand_in_all(band: Band, player: Invented, days: list[list[int]]) -> None:
    """One player takes each assignment in, practises it, and hands in."""
    home = band.folder / "students" / player.id
    for week, name in enumerate(band.weeks):
        (given,) = [
            each for each in (band.folder / name).iterdir() if each.name.startswith(player.id)
        ]
        added = ran(deck_command, ["add", str(given), "--as", name], home)
        assert added.code is ExitCode.OK
        if not player.practices:
            continue
        some = days[week][: player.practices]
        practise(player, house_of(home).deck(name), home, NOW, 5, days=some)
        out = band.inbox / f"{player.id}-{name}.drill-results"
        got = ran(hand_in, ["--deck", name, "--out", str(out)], home)
        assert "Nothing was sent." in got.err
        assert "drill take-in" in got.err


PLAYERS = (
    Invented("Anna Smith", 0.9, 4, "swap", "11", "one", "trumpet_bb"),
    Invented("anna smith", 0.7, 4, "natural", "12", "one", "alto_sax"),
    Invented("Anna  Smith", 0.5, 3, "natural", "13", "two", "tuba"),
    Invented("Bo Barline", 0.8, 4, "extra", "14", "two", "horn_f"),
    Invented("Otto Ottava", 0.5, 0, "natural", "15", "two", "alto_sax"),
)


@pytest.fixture(scope="module")
def band(tmp_path_factory: pytest.TempPathFactory) -> Band:
    text = DECK.format(title="Warm-up", patterns='["1-2-3-1"]', keys='["Bb", "F"]', prompts=45)
    decks = {"week-1": text}
    return made(tmp_path_factory.mktemp("band"), PLAYERS, decks, [[9, 7, 5, 3]])


# -- a recount from the raw files


def lines_of(path: Path) -> tuple[dict[str, Any], list[list[Any]], list[list[Any]]]:
    """Head, cells and answers of a results file, by json alone."""
    _, first, *rest = path.read_text(encoding="utf-8").splitlines()
    head = json.loads(first)
    rows = [json.loads(line) for line in rest]
    return head, rows[: head["items"]], rows[head["items"] :]


def counting(answers: list[list[Any]]) -> Iterator[list[Any]]:
    """Answers that count: not typed once more, not broken off, not of the closing round."""
    for row in answers:
        if not row[11] & 3 and row[5] != "closing":
            yield row


def recount_by_heart(paths: list[Path], now: datetime) -> tuple[int, dict[str, str]]:
    """Cells by heart now, and the day on which each file's goal was met, from replaying the log
    answer by answer and asking the level of every cell of the deck after each day."""
    read = [reading.load(path, now) for path in paths]
    answers = sorted({a.uuid: a for r in read for a in r.answers}.values(), key=lambda a: a.order)
    items: dict[str, Item] = {item.id: item for r in read for item in r.items}
    state, met = State(), dict[str, str]()

    def known(of: Any, at: datetime) -> int:
        deck = loads(of.deck.text, "deck")
        goal = ByHeart(deck.goal.right, deck.goal.days)
        levels = [level(state, items[name], at, goal) for name in of.asked]
        return sum(each in (Level.BY_HEART, Level.FADING) for each in levels)

    for number, answer in enumerate(answers):
        learn(state, items[answer.item], answer)
        last = number + 1 == len(answers) or answers[number + 1].day != answer.day
        for path, of in zip(paths, read, strict=True) if last else ():
            right = loads(of.deck.text, "deck").goal.right
            if path.name not in met and known(of, answer.at) >= right * of.deck.cells:
                met[path.name] = answer.day
    return sum(known(of, now) for of in read), met


def check_recount(band: Band) -> None:
    """Every number of the report that can be counted from the files is what they say."""
    data = band.report()
    files = sorted(band.inbox.iterdir())
    by_id: dict[str, list[Path]] = defaultdict(list)
    squares: Counter[tuple[str, str, str, str, str]] = Counter()
    asked_by: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    total, right = 0, 0
    for path in files:
        head, cells, answers = lines_of(path)
        by_id[head["id"]].append(path)
        concert = dict(head["concert"])
        for row in counting(answers):
            key, shape = cells[row[4]][1:3]
            total, right = total + 1, right + row[6]
            squares[head["horn"], key, concert[key], shape, "asked"] += 1
            squares[head["horn"], key, concert[key], shape, "right"] += row[6]
            asked_by[head["horn"], key, shape].add(head["id"])
    assert (data["asked"], data["right"]) == (total, right)
    assert len(data["squares"]) == len({where[:4] for where in squares})
    for each in data["squares"]:
        tonics = [each[name].replace(" ", ":") for name in ("written_key", "concert_key")]
        (shape,) = {
            where[3]
            for where in squares
            if re.split("[~/]", where[3])[0] == each["pattern"]
            and where[3].endswith(f"/{each['direction']}")
        }
        where = (each["horn"], *tonics, shape)
        assert each["asked"] == squares[(*where, "asked")]
        assert each["right"] == squares[(*where, "right")]
        assert each["students"] == len(asked_by[each["horn"], tonics[0], shape])
    in_concert: Counter[tuple[str, str]] = Counter()
    for (_, _, concert_key, shape, what), times in squares.items():
        in_concert[f"{concert_key}/{shape}", what] += times
    assert sum(each["asked"] for each in data["keys"]) == total
    assert {each["counted"] for each in data["keys"]} == {"concert"}
    check_students(band, data, by_id)


def check_students(band: Band, data: dict[str, Any], by_id: dict[str, list[Path]]) -> None:
    due = {row["deck"]: row["due"] for row in data["assignments"]}
    assert [each["id"] for each in sorted(data["students"], key=lambda e: e["id"])] == sorted(
        player.id for player in band.players
    )
    met_by_row = {(row["id"], row["deck"]): row for row in data["assignments"]}
    for each in data["students"]:
        paths = by_id.get(each["id"], [])
        if not paths:
            assert (each["by_heart"], each["goal_met_on"], each["days"]) == (0, None, 0)
            continue
        heads = [lines_of(path)[0] for path in paths]
        answers = [row for path in paths for row in lines_of(path)[2]]
        assert each["name"] in {head["student"] for head in heads}
        assert each["horn"] == heads[0]["horn"]
        assert each["of"] == sum(head["deck"]["cells"] for head in heads)
        assert each["days"] == len({row[3] for row in answers})
        assert each["seconds"] == pytest.approx(sum(min(row[9], 120.0) for row in answers))
        counted = list(counting(answers))
        assert (each["asked"], each["right"]) == (len(counted), sum(row[6] for row in counted))
        by_heart, met = recount_by_heart(paths, NOW)
        assert each["by_heart"] == by_heart
        for path, head in zip(paths, heads, strict=True):
            row = met_by_row[each["id"], head["deck"]["name"]]
            assert row["goal_met_on"] == met.get(path.name)
            day = due[head["deck"]["name"]]
            assert row["on_time"] == (met[path.name] <= day if path.name in met else False)
        assert each["goal_met_on"] == (max(met.values()) if len(met) == len(paths) else None)


def test_every_number_is_a_recount_of_the_raw_files(band: Band) -> None:
    check_recount(band)


@pytest.mark.slow
def test_thirty_four_players_on_twelve_horns_over_six_weeks(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Three assignments in concert keys, two weeks each: assigned, practised, handed in, taken
    in, reported, planned and printed with one command a step."""
    horns = (
        "flute", "oboe", "bassoon", "clarinet_bb", "bass_clarinet", "alto_sax", "baritone_sax",
        "trumpet_bb", "horn_f", "trombone", "euphonium_tc", "tuba",
    )  # fmt: skip
    habits = ("natural", "extra", "swap", "degree", "short")
    players = tuple(
        Invented(f"Player {n:02}", 0.2 + 0.022 * n, (n * 7) % 5, habits[n % 5], f"{n:02}",
                 f"band {1 + n % 2}", horns[n % len(horns)])
        for n in range(34)
    )  # fmt: skip
    decks = {
        f"weeks-{number}": DECK.format(
            title=f"Weeks {number}", patterns=patterns, keys=keys, prompts=40
        )
        for number, (patterns, keys) in enumerate(
            [('["1-2-3-1"]', '["Bb", "F"]'), ('["thirds"]', '["Eb", "Ab"]'),
             ('["1-3-5-3"]', '["Db", "C"]')], start=1)
    }  # fmt: skip
    days = [[41, 38, 34, 30], [27, 24, 20, 16], [13, 10, 6, 2]]
    big = made(tmp_path_factory.mktemp("big"), players, decks, days)
    check_recount(big)
    took = big.run(take_in, big.inbox, "--roster", big.roster)
    assert f"{len(list(big.inbox.iterdir()))} new files" in took.out
    planned = big.run(plan, big.folder, "--roster", big.roster, "--json")
    rows = json.loads(planned.out)["weeks"]
    assert {row["id"]: row["for"] for row in rows} == dict.fromkeys(decks, 34)
    pdf = big.folder / "band.pdf"
    printed = big.run(sheet, big.folder / "weeks-1.toml", "--horns", "roster", "--roster",
                      big.roster, "--pdf", pdf)  # fmt: skip
    assert "for 12 parts" in printed.err
    assert pdf.stat().st_size > 100_000


# -- who is who


def test_people_of_one_name_are_told_apart_by_id(band: Band) -> None:
    data = band.report()
    named = [each for each in data["students"] if each["name"].casefold().startswith("anna")]
    assert [(each["id"], each["horn"]) for each in sorted(named, key=lambda e: e["id"])] == [
        ("11", "trumpet_bb"), ("12", "alto_sax"), ("13", "tuba"),
    ]  # fmt: skip
    assert all(each["asked"] for each in named)


def test_without_ids_three_horns_under_one_name_are_said(band: Band, tmp_path: Path) -> None:
    for path in band.inbox.iterdir():
        head, _, _ = lines_of(path)
        if head["student"].casefold().startswith("anna"):
            value = replace(reading.load(path, NOW), id="")
            from drill.reports.results import encode

            (tmp_path / path.name).write_bytes(encode(value))
    data = json.loads(ran(class_, [str(tmp_path), "--json"], tmp_path / "home").out)
    assert len(data["students"]) == 1
    assert any("several horns" in each["reason"] for each in data["files"])
    # A roster without ids for the files, but with horns, tells them apart.
    roster = tmp_path / "r.csv"
    roster.write_text(band.roster.read_text(encoding="utf-8"), encoding="utf-8")
    words = [str(tmp_path), "--roster", str(roster), "--json"]
    data = json.loads(ran(class_, words, tmp_path / "home").out)
    assert len([each for each in data["students"] if each["asked"]]) == 3


def test_one_person_on_two_laptops_or_two_horns_is_one(band: Band, tmp_path: Path) -> None:
    from drill.reports.results import encode

    mine = [path for path in sorted(band.inbox.iterdir()) if path.name.startswith("11")]
    other = [path for path in sorted(band.inbox.iterdir()) if path.name.startswith("12")]
    (tmp_path / "a.drill-results").write_bytes(mine[0].read_bytes())
    second = replace(reading.load(other[0], NOW), id="11", student="Anna Smith")
    (tmp_path / "b.drill-results").write_bytes(encode(second))
    data = json.loads(ran(class_, [str(tmp_path), "--json"], tmp_path / "home").out)
    (one,) = data["students"]
    assert sorted(one["horn"].split("; ")) == ["alto_sax", "trumpet_bb"]
    assert {row["horn"] for row in data["assignments"]} == {"trumpet_bb", "alto_sax"}


# -- concert and written keys


def test_keys_of_several_horns_are_added_up_in_concert(band: Band) -> None:
    """Concert B flat is written C on a trumpet, G on an alto, F on a horn (handbooks)."""
    data = band.report()
    written = {(each["horn"], each["concert_key"]): each["written_key"] for each in data["squares"]}
    for horn, key in (("trumpet_bb", "C major"), ("alto_sax", "G major"), ("horn_f", "F major"),
                      ("tuba", "Bb major")):  # fmt: skip
        assert written[horn, "Bb major"] == key
    said = band.run(class_, band.inbox, "--roster", band.roster).out
    assert "Keys are concert keys, over all horns." in said
    assert "concert Bb major" in said
    assert {each["key"] for each in data["keys"]} == {"Bb major", "F major"}
    html = band.folder / "c.html"
    band.run(class_, band.inbox, "--roster", band.roster, "--html", html)
    assert "by heart" in html.read_text(encoding="utf-8").casefold()
    assert "concert keys" in html.read_text(encoding="utf-8")


def test_tricky_never_gives_one_horn_s_written_keys_to_another(band: Band, tmp_path: Path) -> None:
    out = tmp_path / "next.toml"
    got = band.run(deck_command, "tricky", band.inbox, "--worst", 2, "--out", out)
    assert got.code is ExitCode.OK
    deck = load(out)
    assert deck.own
    assert {str(key) for key in deck.concert_keys} <= {"Bb major", "F major"}
    text = out.read_text(encoding="utf-8")
    assert "4 students" in text
    data = band.report()
    for key in deck.concert_keys:
        rows = [each for each in data["keys"] if each["key"] == str(key)]
        asked = sum(each["asked"] for each in rows)
        wrong = asked - sum(each["right"] for each in rows)
        assert f"{key}: {wrong} of {asked} answers wrong" in text
    tuba = band.run(deck_command, "tricky", band.inbox, "--instrument", "tuba").out
    made_for = loads(tuba, "t.toml")
    asked_tuba = {each["written_key"] for each in data["squares"] if each["horn"] == "tuba"}
    assert {str(key) for key in made_for.keys} <= asked_tuba


def test_tricky_of_written_decks_for_several_horns_refuses_to_guess(tmp_path: Path) -> None:
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    for horn in ("tuba", "alto_sax"):
        player = Invented("Bo Barline", 0.3, 1, "natural", horn, "", horn)
        home = tmp_path / horn
        deck = tmp_path / f"{horn}.toml"
        deck.write_text(
            f'title = "W"\ninstrument = "{horn}"\npatterns = ["1-2-3-1"]\nkeys = ["D", "Ab"]\n',
            encoding="utf-8",
        )
        ran(deck_command, ["add", str(deck), "--as", "w"], home)
        practise(player, house_of(home).deck("w"), home, NOW, 3)
        words = ["--deck", "w", "--name", "Bo", "--id", horn, "--out",
                 str(inbox / f"{horn}.drill-results")]  # fmt: skip
        ran(hand_in, words, home)
    desk = tmp_path / "desk"
    with pytest.raises(UsageError, match="2 horns"):
        ran(deck_command, ["tricky", str(inbox)], desk)
    parts = tmp_path / "parts"
    ran(deck_command, ["tricky", str(inbox), "--by", "horn", "--out-dir", str(parts)], desk)
    found = {load(path).instrument for path in parts.iterdir()}
    assert found <= {"tuba", "alto_sax"}
    assert found
    said = ran(class_, [str(inbox)], desk).out
    assert "Keys are written keys" in said
    concert = loads(ran(deck_command, ["tricky", str(inbox), "--concert"], desk).out, "c.toml")
    # Written D on an alto sounds F, written A flat sounds C flat, that is B (handbooks).
    sounding = {"F major", "B major", "Cb major", "D major", "Ab major"}
    assert {str(key) for key in concert.concert_keys} <= sounding


# -- days


def test_a_day_in_the_past_and_two_days_compared(band: Band) -> None:
    day = (NOW - timedelta(days=6)).date()
    data = band.report("--as-of", day)
    assert data["day"] == day.isoformat()
    for path in sorted(band.inbox.iterdir()):
        head, _, answers = lines_of(path)
        (each,) = [e for e in data["students"] if e["id"] == head["id"]]
        until = [row for row in answers if row[3] <= day.isoformat()]
        assert each["days"] == len({row[3] for row in until})
        assert each["asked"] == len(list(counting(until)))
    compared = band.report("--since", day)
    by_id = {each["id"]: each["by_heart"] for each in data["students"]}
    assert {each["id"]: each["by_heart_then"] for each in compared["students"]} == by_id
    with pytest.raises(UsageError, match="still to come"):
        band.report("--as-of", "2099-01-01")
    with pytest.raises(UsageError, match="not before"):
        band.report("--since", NOW.date())


def test_groups_and_horns_are_filtered(band: Band) -> None:
    assert {each["id"] for each in band.report("--group", "two")["students"]} == {"13", "14", "15"}
    assert {each["id"] for each in band.report("--horn", "tuba")["students"]} == {"13"}
    groups = {each["group"]: each for each in band.report()["groups"]}
    assert (groups["one"]["students"], groups["two"]["started"]) == (2, 2)
    none = ran(class_, [str(band.inbox), "--deck", "week-1", "--json"], band.folder / "teacher")
    assert len(json.loads(none.out)["students"]) == 4
    with pytest.raises(DataError, match="nobody fits"):
        ran(class_, [str(band.inbox), "--deck", "other"], band.folder / "teacher")


def test_the_grade_book(band: Band, tmp_path: Path) -> None:
    table = tmp_path / "grades.csv"
    band.run(class_, band.inbox, "--roster", band.roster, "--csv", table)
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8-sig"))))
    assert len(rows) == len(PLAYERS)
    by_id = {row["id"]: row for row in rows}
    for each in band.report()["students"]:
        row = by_id[each["id"]]
        assert (row["name"], int(row["by_heart"]), int(row["of"])) == (
            each["name"], each["by_heart"], each["of"],
        )  # fmt: skip
        assert row["goal_met_on"] == (each["goal_met_on"] or "")
    assert by_id["15"]["of"] == by_id["12"]["of"]  # one deck: its cells are known


def test_a_page_for_each_student(band: Band, tmp_path: Path) -> None:
    pages = tmp_path / "pages"
    band.run(class_, band.inbox, "--roster", band.roster, "--pages", pages)
    names = {path.name for path in pages.iterdir()}
    assert len(names) == len(PLAYERS) + 1
    assert "bo-barline-14.html" in names
    text = (pages / "bo-barline-14.html").read_text(encoding="utf-8")
    assert "Anna" not in text
    assert {path.stat().st_mode & 0o777 for path in pages.iterdir()} == {0o600}


# -- taking in, and the plan


def test_each_file_is_taken_in_once(band: Band, tmp_path: Path) -> None:
    home, inbox = tmp_path / "home", tmp_path / "inbox"
    inbox.mkdir()
    paths = sorted(band.inbox.iterdir())
    (inbox / "renamed.txt").write_bytes(paths[0].read_bytes().replace(b"\n", b"\r\n"))
    with zipfile.ZipFile(inbox / "two.zip", "w") as pack:
        pack.write(paths[1], "sub/mail.drill-results")
        pack.write(paths[0], "again.drill-results")
    got = ran(take_in, [str(inbox), "--roster", str(band.roster)], home)
    assert "2 new files" in got.out
    assert "Not among them (3)" in got.out.replace("\n  ", " ")
    assert ran(take_in, [str(inbox)], home).out.splitlines()[0] == "Taken in: 0 new files"
    (tmp_path / "empty").mkdir()
    got = ran(take_in, [str(inbox), str(tmp_path / "empty")], home)
    assert "taken in before 3; not readable 1." in got.out  # of the three, one stands there twice
    (inbox / "bad.drill-results").write_bytes(paths[2].read_bytes()[:-9])
    got = ran(take_in, [str(inbox)], home)
    assert got.code is ExitCode.BAD_DATA
    assert "damaged" in got.err
    kept = house_of(home).places.results
    assert {path.stat().st_mode & 0o777 for path in kept.iterdir()} == {0o600}
    data = json.loads(ran(class_, ["--json"], home).out)
    assert {each["id"] for each in data["students"]} == {"11", "12"}
    got = ran(take_in, [str(tmp_path / "none")], home)
    assert got.code is ExitCode.BAD_DATA
    assert "no such file" in got.err


def test_the_plan_says_what_is_out_due_in_and_missing(band: Band, tmp_path: Path) -> None:
    words = [str(band.folder / "week-1"), "--roster", str(band.roster), "--results",
             str(band.inbox), "--json"]  # fmt: skip
    (row,) = json.loads(ran(plan, words, tmp_path / "home").out)["weeks"]
    assert (row["for"], row["in"], row["missing_names"]) == (5, 4, ["Otto Ottava"])
    assert row["state"] == "over"
    given = date.fromisoformat(row["given"])
    for day, state in ((given, "out"), (date.fromisoformat(row["due"]), "due")):
        (row,) = json.loads(ran(plan, [*words, "--as-of", str(day)], tmp_path / "home").out)[
            "weeks"
        ]
        assert row["state"] == state
    said = ran(plan, words[:-1], tmp_path / "home").out
    assert "Otto Ottava" in said
    with pytest.raises(UsageError, match="no such folder"):
        ran(plan, [str(tmp_path / "none")], tmp_path / "home")
    with pytest.raises(UsageError, match="only one of the reports"):
        ran(plan, [*words, "--html", "-"], tmp_path / "home")


def test_who_plays_two_horns_is_met_and_late_once() -> None:
    due = date(2031, 1, 1)
    task = SimpleNamespace(task=SimpleNamespace(key="k"), met_on="2031-01-02")
    twice = cast("Study", SimpleNamespace(id="01", name="A", tasks=(task, task)))
    row = plan.row_of(plan.Planned("w", "W", frozenset({"k"}), None, due, ()), [twice], due)
    assert (row.handed_in, row.met, row.late) == (("A",), 1, 1)


def test_a_line_goes_both_ways(tmp_path: Path) -> None:
    deck = tmp_path / "d.toml"
    deck.write_text(
        'title = "D"\ninstrument = "own"\npatterns = ["1-2-3-1"]\nconcert_keys = ["Bb"]\n',
        encoding="utf-8",
    )
    roster = tmp_path / "r.csv"
    roster.write_text("id,name,horn,level\n7,Bo Barline,tuba,1\n8,Cy,tuba,2\n", encoding="utf-8")
    words = [str(deck), "--roster", str(roster), "--only", "level=1", "--line", "Slow first.",
             "--out-dir", str(tmp_path / "out")]  # fmt: skip
    ran(assign, words, tmp_path / "desk")
    (file,) = (tmp_path / "out").iterdir()
    assert file.stat().st_mode & 0o777 == 0o600
    home = tmp_path / "student"
    added = ran(deck_command, ["add", str(file), "--as", "d"], home)
    assert "Slow first." in added.err
    opened = house_of(home).deck("d")
    assert (opened.instrument, [str(key) for key in opened.keys]) == ("tuba", ["Bb major"])
    practise(Invented("x", 0.9, 1, "swap"), opened, home, NOW, 1)
    out = tmp_path / "r.drill-results"
    ran(hand_in, ["--deck", "d", "--out", str(out), "--line", "  I can  do it "], home)
    head, _, _ = lines_of(out)
    assert (head["student"], head["id"], head["line"]) == ("Bo Barline", "7", "I can do it")
    said = ran(class_, [str(out)], tmp_path / "desk").out
    assert "I can do it" in said


# -- the roster


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("id,name\n1,Bo\n1,Cy\n", ':3:1: the id "1" is Bo\'s in line 2'),
        ("id,name,horn\n1,Bo,kazoo\n2,,tuba\n", ":2:1: there is no instrument"),
        ("id,name,horn\n1,Bo,kazoo\n2,,tuba\n", ":3:1: the name is missing"),
        ("id,group\n1,a\n", ":1:1: the first line names no column name"),
        ("name,name\nBo,Bo\n", ":1:1: the column"),
        ("id,name\n1,Bo,extra,more\n", ":2:1: 4 values under 2 columns"),
        ('id,name\n1,"Bo\n', "not a row of CSV"),
        ("id,name\n", "nobody is on this roster"),
        ("", "nobody is on this roster"),
        ("id,name\n1,Bo\n1,Bo\n", ":3:1: Bo stands in line 2 already"),
        ("id,name\n1,Bo\n,Bo\n", ":3:1: Bo stands in line 2 too"),
        ("id,name\n1,B\x1bo\n", ":2:1: the name holds U+001B"),
    ],
)
def test_every_fault_of_a_roster_has_its_line(text: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "r.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FaultsError) as caught:
        roster_of(str(path))
    assert said in str(caught.value)


def test_a_roster_keeps_its_other_columns() -> None:
    text = "\ufeffStudent;Section;Instrument;Level\r\nBo;winds;alto sax;2\r\n"
    (person,) = read_roster(text, "r.csv")
    assert (person.name, person.group, person.horn, person.value("level")) == (
        "Bo", "winds", "alto_sax", "2",
    )  # fmt: skip


def test_an_assignment_goes_there_and_back(band: Band) -> None:
    for path in (band.folder / "week-1").iterdir():
        deck = load(path)
        assert deck.assignment is not None
        assert deck.fingerprint == load(band.folder / "week-1.toml").fingerprint
        key = written_key(parse_key("Bb", "major"), INSTRUMENTS[deck.assignment.horn])
        assert house_of(band.folder).opened(deck).keys[0] == key
    assert clean_line("", 3, "x") == ""
    assert practice_day(NOW, UTC) == NOW.date().isoformat()


def test_a_level_of_the_roster_is_its_own_people(tmp_path: Path) -> None:
    deck, roster = tmp_path / "d.toml", tmp_path / "r.csv"
    deck.write_text(DECK.format(title="D", patterns='["thirds"]', keys='["F"]', prompts=9),
                    encoding="utf-8")  # fmt: skip
    roster.write_text(
        "id,name,group,horn,level\n1,Bo,a,tuba,1\n2,Cy,a,tuba,2\n3,Di,b,tuba,1\n", encoding="utf-8"
    )
    for words, name in (
        (("--by", "level", "--only", "level=1"), "easy"),
        (("--by", "group"), "both"),
        (("--by", "level", "--only", "group=a"), "some"),
    ):
        out = tmp_path / "plan" / name
        (tmp_path / "plan").mkdir(exist_ok=True)
        got = ran(assign, [str(deck), "--roster", str(roster), "--id", name, *words,
                           "--out-dir", str(out)], tmp_path / "desk")  # fmt: skip
        assert got.code is ExitCode.OK
    said = ran(plan, [str(tmp_path / "plan"), "--roster", str(roster), "--json"], tmp_path / "desk")
    missing = {row["id"]: row["missing_names"] for row in json.loads(said.out)["weeks"]}
    assert missing["easy"] == ["Bo", "Di"]
    assert sorted(missing["both"]) == ["Bo", "Cy", "Di"]
    assert sorted(missing["some"]) == ["Bo", "Cy"]


def test_a_deck_of_what_goes_wrong_for_each_student(band: Band, tmp_path: Path) -> None:
    out = tmp_path / "each"
    band.run(deck_command, "tricky", band.inbox, "--by", "student", "--out-dir", out)
    found = {path.stem: load(path) for path in out.iterdir()}
    assert set(found) <= {"anna-smith-11", "anna-smith-12", "anna-smith-13", "bo-barline-14"}
    assert len(found) >= 3
    assert all(deck.concert_keys for deck in found.values())
    sizes = {path: path.stat().st_mtime_ns for path in out.iterdir()}
    last = max(sizes)
    for path in sizes.keys() - {last}:
        path.unlink()
    with pytest.raises(TakenError, match=f"{last.name} exists already"):
        band.run(deck_command, "tricky", band.inbox, "--by", "student", "--out-dir", out)
    assert list(out.iterdir()) == [last]  # none of the others was written


def test_a_deck_is_written_where_one_of_the_files_cannot_be_read(
    band: Band, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.drill-results"
    bad.write_bytes(next(band.inbox.iterdir()).read_bytes()[:-9])
    got = band.run(deck_command, "tricky", band.inbox, bad)
    assert got.code is ExitCode.BAD_DATA
    assert "damaged" in got.err
    assert "concert_keys" in got.out


def test_no_deck_takes_its_place_before_all_are_written(tmp_path: Path) -> None:
    """What cannot be written comes last; what was there before stays as it was."""
    deck, roster, out = tmp_path / "d.toml", tmp_path / "r.csv", tmp_path / "week"
    deck.write_text(DECK.format(title="D", patterns='["thirds"]', keys='["F"]', prompts=9),
                    encoding="utf-8")  # fmt: skip
    roster.write_text("name,horn\nAda,tuba\nBo,tuba\nCy,tuba\n", encoding="utf-8")
    (out / "cy-d.toml").mkdir(parents=True)
    (out / "ada-d.toml").write_text("older", encoding="utf-8")
    words = [str(deck), "--roster", str(roster), "--out-dir", str(out), "--replace"]
    with pytest.raises(DrillError, match="it is a folder"):
        ran(assign, words, tmp_path / "desk")
    assert sorted(each.name for each in out.iterdir()) == ["ada-d.toml", "cy-d.toml"]
    assert (out / "ada-d.toml").read_text(encoding="utf-8") == "older"
    with pytest.raises(TakenError, match="ada-d.toml, and 1 more, exist already: add --replace"):
        ran(assign, words[:-1], tmp_path / "desk")


def test_no_folder_is_made_where_nothing_is_written(tmp_path: Path) -> None:
    deck, roster = tmp_path / "d.toml", tmp_path / "r.csv"
    deck.write_text(DECK.format(title="D", patterns='["thirds"]', keys='["F"]', prompts=9),
                    encoding="utf-8")  # fmt: skip
    roster.write_text("name,level\nAda,1\nBo,1!\n", encoding="utf-8")
    with pytest.raises(UsageError, match="by a letter or digit in a roster"):
        ran(assign, [str(deck), "--roster", str(roster), "--by", "level",
                     "--out-dir", str(tmp_path / "week")], tmp_path / "desk")  # fmt: skip
    assert not (tmp_path / "week").exists()


def test_two_decks_are_never_written_to_one_file(band: Band, tmp_path: Path) -> None:
    roster = tmp_path / "r.csv"
    groups = iter(("Brass", "Brass!", "Winds", "Winds", "Winds"))
    rows = (f"{p.id},{p.name},{next(groups)},{p.horn}\n" for p in band.players)
    roster.write_text("id,name,group,horn\n" + "".join(rows), encoding="utf-8")
    words = ("tricky", band.inbox, "--roster", roster, "--by", "group", "--out-dir", tmp_path / "g")
    with pytest.raises(UsageError, match="two files would be called brass.toml: tell them apart"):
        band.run(deck_command, *words, "--replace")
    assert not (tmp_path / "g").exists()


def test_a_line_of_the_roster_names_a_horn_only_where_it_goes_by_horn(tmp_path: Path) -> None:
    deck, roster = tmp_path / "d.toml", tmp_path / "r.csv"
    deck.write_text(DECK.format(title="D", patterns='["thirds"]', keys='["F"]', prompts=9),
                    encoding="utf-8")  # fmt: skip
    roster.write_text("id,name,group,horn\n1,Bo,a,tuba\n2,Cy,a,tuba\n", encoding="utf-8")
    for by, horn in (("group", ""), ("horn", "tuba")):
        out = tmp_path / by
        ran(assign, [str(deck), "--roster", str(roster), "--id", by, "--by", by,
                     "--out-dir", str(out)], tmp_path / "desk")  # fmt: skip
        (made,) = out.glob("*.toml")
        assignment = load(made).assignment
        assert assignment is not None
        assert (assignment.horn, assignment.group) == (horn, "a" if by == "group" else "")
