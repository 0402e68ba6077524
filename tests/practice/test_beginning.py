"""How a practice with a shipped deck begins for somebody new: easy keys, few new cells."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from practising import right, sit_down, wrong

from drill.decks.load import find, load
from drill.decks.shipped import shipped_folder
from drill.practice.introduction import key_order


@pytest.mark.parametrize("name", ["major-returning-cells", "first-year", "low-brass", "thirds"])
def test_the_first_prompt_is_in_an_easy_key(tmp_path: Path, name: str) -> None:
    of = load(find(name, (shipped_folder(),)))
    easy = sorted(item.accidentals for item in sit_down(tmp_path, of).desk.syllabus.items)
    keys = dict.fromkeys(item.key for item in sit_down(tmp_path, of).desk.syllabus.items)
    for seed in range(20):
        first = sit_down(tmp_path, of, seed=seed).begin().prompt
        assert first.item.accidentals <= max(2, easy[0] + 3)
        if len(keys) == 15:
            assert first.item.accidentals <= 2


def test_the_first_year_brings_no_more_than_its_new_cells(tmp_path: Path) -> None:
    of = load(find("first-year", (shipped_folder(),)))
    assert of.practice.new_cells is not None
    chance = random.Random(3)
    player, known, keys = sit_down(tmp_path, of), set[str](), set[str]()
    for day in range(4):
        if day:
            player.room.store.close()
            player = sit_down(tmp_path, of, seed=day)
        player.begin().play(
            lambda prompt: right(prompt) if prompt.again or chance.random() < 0.6 else wrong(prompt)
        )
        fresh = {prompt.item.id for prompt in player.prompts} - known
        met = {prompt.item.key for prompt in player.prompts} - keys
        assert len(fresh) <= of.practice.new_cells
        assert len(met) <= (of.practice.new_keys or 99)
        known |= fresh
        keys |= met


def test_keys_come_as_listed_or_outward_from_c() -> None:
    # The outward order of a university saxophone handout: tests/reference/practice_orders.csv.
    outward = "C G F D Bb A Eb E Ab B Db F# Gb C# Cb".split()
    of = load(find("major-returning-cells", (shipped_folder(),)))
    order = key_order(of)
    assert sorted(order, key=order.__getitem__) == [f"{tonic}:major" for tonic in outward]
    listed = key_order(load(find("tricky-keys-tenor", (shipped_folder(),))))
    assert [key.split(":")[0] for key in listed] == ["F#", "Gb", "Db", "B", "C#"]
    fourths = key_order(load(find("one-two-three-five", (shipped_folder(),))))
    assert [key.split(":")[0] for key in fourths][:5] == ["C", "G", "F", "D", "Bb"]
