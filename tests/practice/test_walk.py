"""Walking a run: shown whole, then every other cell covered, then all; and it does not teach.

That the page is taken away step by step is common practice of teachers, without a source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from practising import Player, deck, right, sit_down, wrong
from state_digest import digest

from drill.errors import UsageError
from drill.memory.kinds import WALK
from drill.memory.model import replay
from drill.practice.effects import Sound
from drill.practice.introduction import introduction
from drill.practice.walk import Stage, WantedRun, is_first_meeting, walk_plan, wanted_run
from drill.terms import Direction

G_UP = ["G A B G", "A B C A", "B C D B", "C D E C", "D E F# D", "E F# G E", "F# G A F#"]
"""1-2-3-1 in G, by hand."""


def walking(folder: Path, wanted: WantedRun) -> Player:
    player = sit_down(folder)
    syllabus = player.desk.syllabus
    run = wanted_run(syllabus, introduction(syllabus), wanted)
    return sit_down(folder, walk=walk_plan(player.desk.plan, run).walk).begin()


def test_the_page_is_taken_away_in_three_steps(tmp_path: Path) -> None:
    player = walking(tmp_path, WantedRun(key="G", direction=Direction.UP))
    seen: dict[int, list[bool]] = {}
    asked = []
    while not player.over:
        prompt = player.prompt
        assert prompt.page is not None
        assert prompt.kind == WALK
        asked.append(right(prompt))
        place = prompt.question.index
        assert prompt.place == (place + 1, 7)
        shown = bool(prompt.page.cells[place])
        assert prompt.given == (prompt.cell.notes if shown else ())
        seen.setdefault(int(prompt.page.stage), []).append(shown)
        player.answer(right(prompt))
    assert asked == G_UP * 3
    assert seen == {
        Stage.WHOLE: [True] * 7,
        Stage.HALF: [True, False, True, False, True, False, True],
        Stage.COVERED: [False] * 7,
    }
    assert player.summary.summary.right == 21
    assert len(player.of(Sound)) == 21


def test_what_is_walked_is_kept_and_does_not_teach(tmp_path: Path) -> None:
    player = walking(tmp_path, WantedRun(key="G"))
    before = digest(player.desk.memory)
    player.play(lambda prompt: right(prompt) if prompt.again else wrong(prompt))
    assert player.room.store.count() == 2 * 21
    assert {log.answer.kind for log in player.logs} == {WALK}
    assert not any(log.answer.teaches for log in player.logs)
    assert digest(player.desk.memory) == before
    store = player.room.store
    assert digest(replay(store.answers(), store.items())) == before
    assert not any(prompt.closing for prompt in player.prompts)
    assert is_first_meeting(player.desk.memory, player.prompts[0].item)


def test_a_miss_is_copied_before_the_walk_goes_on(tmp_path: Path) -> None:
    player = walking(tmp_path, WantedRun(key="G"))
    player.answer(wrong(player.prompt))
    assert player.prompt.again
    player.answer(right(player.prompt))
    assert player.prompt.place == (2, 7)
    player.answer(wrong(player.prompt)).pass_on()
    assert player.prompt.place == (3, 7)
    assert player.end().over


def test_which_run_is_meant(tmp_path: Path) -> None:
    syllabus = sit_down(tmp_path, deck(keys='["F", "Bb"]')).desk.syllabus
    order = introduction(syllabus)

    def found(wanted: WantedRun) -> tuple[str, Direction]:
        run = wanted_run(syllabus, order, wanted)[0].run
        return str(run.key.tonic), run.direction

    assert found(WantedRun()) == ("F", Direction.UP)
    assert found(WantedRun(key="Bb", direction=Direction.DOWN)) == ("Bb", Direction.DOWN)
    assert found(WantedRun("Bb:major:1-2-3-1/up:4")) == ("Bb", Direction.UP)
    assert found(WantedRun(pattern="1-2-3-1", key="Bb")) == ("Bb", Direction.UP)
    assert found(WantedRun(pattern="return3")) == ("F", Direction.UP)
    with pytest.raises(UsageError, match="no run with C#, thirds, down"):
        found(WantedRun("", "C#", "thirds", Direction.DOWN))


def test_a_pattern_is_met_for_the_first_time_once(tmp_path: Path) -> None:
    player = sit_down(tmp_path, prompts=4).begin()
    first = player.prompt.item
    assert is_first_meeting(player.desk.memory, first)
    player.answer(right(player.prompt))
    assert not is_first_meeting(player.desk.memory, first)
