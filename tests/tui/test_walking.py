"""A run walked at the screens: offered at a pattern's first meeting, and from the Map."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tui_desk import Setup
from tui_user import at_keys

from drill.memory.kinds import WALK, Kind
from drill.memory.store import FILE_NAME, Store
from drill.practice.course import Plan


@pytest.fixture
def setup(home) -> Setup:  # type: ignore[no-untyped-def]
    def short(plan: Plan) -> Plan:
        return replace(plan, prompts=10, kinds=(Kind.DEGREE,))

    return Setup(home, short)


def test_a_new_pattern_s_run_is_walked_from_the_stand_and_the_prompt_is_there_after(
    setup: Setup,
) -> None:
    with at_keys(setup.trainer(deck="two-keys")) as user:
        shown = user.see("new: 1-2-3-1 going up; type its notes, such as C D E, then Enter; ctrl+r")
        assert "walk the run" in shown
        before = user.cell
        shown = user.press("ctrl+r", sees=("walk 1 of 3, the whole run, to be read", "1 of 21"))
        assert "Read and spell the cell on 1" in shown
        assert "- - -" not in shown
        page = shown[shown.index("walk 1 of 3") : shown.index("Read and spell")]
        lines = page.strip().splitlines()
        assert len(lines) > 1
        assert all(line.rstrip().endswith("|") for line in lines[:-1])  # no cell is broken
        for _ in range(8):
            user.answer()
        shown = user.see("walk 2 of 3, every other cell covered")
        assert "Covered: the cell on 2" in shown
        assert "- - -" in shown
        for _ in range(13):
            user.answer()
        user.see("21 of 21 right")
        user.press("escape", sees="prompt 1 of 10")
        assert user.cell == before
    with Store.open(setup.home / FILE_NAME) as store:
        assert [(row.kind, row.right, row.teaches) for row in store.answers()] == [
            (WALK, True, False)
        ] * 21


def test_a_run_is_walked_from_the_map(setup: Setup) -> None:
    with at_keys(setup.trainer()) as user:
        user.see("Two keys", "untried")
        user.press("m", sees="walk the run")
        shown = user.press("r", sees=("walk 1 of 3", "cell on 1"))
        assert "1 of 21" in shown
        assert "show" in user.shown


def test_at_a_copy_tab_goes_on(setup: Setup) -> None:
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The cell on", "tab show")
        user.press("tab", sees=("Once more", "tab go on"))
        user.press("c", "enter")
        user.see("Once more", "✗")  # held until it is right
        user.press("tab", sees="prompt 2 of 10")
