"""``drill why``: it explains the cell that a practice asks first, and gives nothing away."""

from __future__ import annotations

import argparse
import io
import json
import re
from dataclasses import replace
from datetime import UTC, timedelta
from pathlib import Path
from random import Random

import pytest
from desk_tools import NOW, ran

from drill.commands import why
from drill.decks.load import load
from drill.errors import ExitCode
from drill.memory.items import Answer, practice_day
from drill.memory.store import Store
from drill.opening.house import House
from drill.opening.plan import FIRST_DECK, deck_plan
from drill.opening.tools import Tools
from drill.places import places
from drill.practice.machine import begin, plan_for
from drill.practice.syllabus import build
from drill.theory.language import Language

DECK = """
title = "Two keys"
instrument = "alto_sax"
patterns = ["return3"]
keys = ["G", "Bb"]
[practice]
ask = [{ask}]
"""


def player(folder: Path, answers: int, ask: str = '"next", "degree"') -> Path:
    """A home with a deck and a log of so many answers; the deck's path."""
    path = folder / "two-keys.toml"
    path.write_text(DECK.format(ask=ask), encoding="utf-8")
    deck = load(path)
    items = build(deck).items
    log = places({"DRILL_HOME": str(folder)}).answers
    log.parent.mkdir(parents=True, exist_ok=True)
    chance = Random(answers)
    with Store.open(log) as store:
        for n in range(answers):
            at = NOW - timedelta(days=3) + timedelta(minutes=n)
            right = chance.random() < 0.6
            item = items[chance.randrange(len(items) // 2)]
            store.append(
                Answer(
                    f"{n:08x}-0000-4000-8000-000000000000", at, practice_day(at), item.id, right,
                    deck.fingerprint, deck.name, seconds=3.0,
                ),
                item,
            )  # fmt: skip
    return path


def tools_at(folder: Path) -> Tools:
    house = House(places({"DRILL_HOME": str(folder)}), UTC)
    return Tools(house, io.StringIO(), io.StringIO(), io.StringIO(), lambda: NOW, {})


@pytest.mark.parametrize(("answers", "seed"), [(0, 1), (5, 0), (40, 3), (41, 4), (120, 9)])
def test_it_is_the_cell_that_a_practice_asks_first(tmp_path: Path, answers: int, seed: int) -> None:
    path = player(tmp_path, answers)
    tools = tools_at(tmp_path)
    reason = why.reason_for(str(path), seed, tools)
    room = tools.house.room(Language.ENGLISH, tools.now())
    deck = load(path)
    plan = replace(plan_for(deck, NOW), minutes=None)
    desk = room.desk(room.syllabus(deck, plan.kinds), plan, seed, lambda: "id")
    state, _ = begin(desk, NOW)
    room.store.close()
    assert state.prompt is not None
    assert reason.entry.item == state.prompt.item
    assert reason.kind == state.prompt.kind
    assert reason.why.pool == 28


def test_two_sentences_from_the_models_numbers(tmp_path: Path) -> None:
    path = player(tmp_path, 60)
    got = ran(why, ("--deck", str(path)), tmp_path)
    assert got.code is ExitCode.OK
    assert max(map(len, got.out.splitlines())) <= 80
    data = json.loads(ran(why, ("--deck", str(path), "--json"), tmp_path).out)
    assert len(data["sentences"]) == 2
    said = " ".join(data["sentences"])
    assert f"{round(100 * data['recall'])} %" in said
    assert data["rule"] in ("score", "known", "first", "return")
    assert data["chosen_from"] <= data["of"]
    shown = got.out.replace("\n", " ")
    assert shown.startswith("Two keys, if a practice began now:")
    assert said in shown


def test_the_notes_of_the_cell_are_never_told(tmp_path: Path) -> None:
    for answers in (0, 30):
        folder = tmp_path / str(answers)
        folder.mkdir()
        path = player(folder, answers)
        for seed in range(6):
            for words in ((), ("--json",)):
                got = ran(why, ("--deck", str(path), "--seed", str(seed), *words), folder)
                names = set(re.findall(r"\b[A-H](?:b|#)?(?=\W|$)", got.out))
                assert names <= {"G", "Bb", "B"}  # the keys' own tonics
                assert "fact" not in got.out


@pytest.mark.parametrize(
    ("ask", "hidden"), [("key", ("G major", "Bb major")), ("written", ("G major", "Bb major"))]
)
def test_what_a_question_asks_for_is_not_told(
    tmp_path: Path, ask: str, hidden: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = player(tmp_path, 0)

    def asking(*given: object) -> object:
        return replace(deck_plan(*given), kinds=(ask,))  # type: ignore[arg-type]

    monkeypatch.setattr(why, "deck_plan", asking)
    for words in ((), ("--json",)):
        got = ran(why, ("--deck", str(path), *words), tmp_path)
        assert not [each for each in hidden if each in got.out]
        assert "degree" not in json.loads(got.out) if words else True


def test_without_a_log_nothing_is_made_and_the_first_deck_is_meant(tmp_path: Path) -> None:
    got = ran(why, ("--json",), tmp_path / "none")
    data = json.loads(got.out)
    assert data["deck"] == FIRST_DECK
    assert data["asked"] == 0
    assert data["prompts_since"] is None
    assert "has not been asked yet" in data["sentences"][0]
    assert not places({"DRILL_HOME": str(tmp_path / "none")}).answers.exists()


def test_the_same_seed_gives_the_same_words(tmp_path: Path) -> None:
    parser = argparse.ArgumentParser()
    why.arguments(parser)
    assert parser.parse_args([]).seed == 0
    path = player(tmp_path, 20)
    first, again = (ran(why, ("--deck", str(path), "--seed", "5"), tmp_path).out for _ in "ab")
    assert first == again
