"""The end of a practice: by key and by note, what moved, what comes, and whether to stop."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from past import forgetful, practised
from tui_desk import Setup, drawn, prompt_of, text_of
from tui_user import BOTH, at_keys

from drill.marking.verdict import Slip
from drill.memory.levels import Level
from drill.practice.effects import Judge, Summary
from drill.tui.digest import Digest
from drill.tui.glyphs import ASCII, UNICODE, Glyphs
from drill.tui.screens.stand import StandScreen
from drill.tui.views.summary import Missed, SummaryView, summary
from drill.wording.known import back_told
from drill.wording.slips import marker as marker_of


def judged(index: int, text: str, **more: bool) -> Judge:
    prompt = replace(prompt_of("G", index), **more)  # type: ignore[arg-type]
    return Judge(prompt, marker_of().mark(prompt.question, text))


def test_notes_and_keys_are_counted_as_asked() -> None:
    digest = Digest()
    digest.judged(judged(4, "D E F D"))  # D E F# D
    digest.judged(judged(6, "F G A F"))  # F# G A F#
    digest.judged(judged(0, "G A B G"))
    digest.judged(judged(0, "C C C C", again=True))
    digest.judged(judged(0, "C C C C", closing=True))
    (key,) = digest.missed(notes=False)
    assert (str(key.key.tonic), key.asked, key.missed) == ("G", 3, 2)
    (note,) = digest.missed(notes=True)
    assert (str(note.note), note.asked, note.missed) == ("F#", 3, 3)


def test_levels_are_held_against_those_before_the_first_prompt() -> None:
    digest = Digest()
    levels = {0: Level.UNTRIED, 1: Level.HOLDING, 2: Level.SHAKY}
    prompts = {at: prompt_of("G", at) for at in levels}
    for at, prompt in prompts.items():
        digest.asked(prompt, lambda _, at=at: levels[at])  # type: ignore[misc]
    digest.asked(prompts[0], lambda _: Level.BY_HEART)  # asked again: the first counts
    after = {prompts[0].item.id: Level.HOLDING, prompts[1].item.id: Level.SHAKY}
    assert digest.moved(lambda item: after.get(item.id, Level.SHAKY)) == (1, 1)
    # Asked for the first time and missed, or not answered at all: it went neither way.
    for level in (Level.SHAKY, Level.UNTRIED):
        after[prompts[0].item.id] = level
        assert digest.moved(lambda item: after.get(item.id, Level.SHAKY)) == (0, 1)


ENDING = SummaryView(
    "Returning cells",
    Summary(20, 13, (("signature", 4), ("letter", 2)), ("x",)),
    6,
    (
        Missed("E major, 1-2-3-1 on 7 up", "D♯ E F♯ D♯", "first thing next time"),
        Missed("B major, 1-2-3-1 on 3 up", "D♯ E F♯ D♯", "about prompt 6 next time", True),
    ),
    ("E major, 4 of 7", "B major, 3 of 6"),
    ("D♯ in E major, 3 of 7", "A♯ in B major, 2 of 5"),
    (5, 1),
    "Enough for today: nothing more is due; tomorrow 9 cells are worth asking.",
    "61 of 210 cells by heart; at 21 prompts a day 189 are by heart about 20 April.",
)


@BOTH
def test_the_end_as_it_is_drawn(size: tuple[int, int]) -> None:
    assert "5 cells up a level, 1 cell down" in drawn("end", partial(summary, ENDING), size)


@pytest.mark.parametrize("width", [60, 80])
@pytest.mark.parametrize("glyphs", [UNICODE, ASCII])
def test_what_two_lines_do_not_hold_is_counted_and_not_cut(width: int, glyphs: Glyphs) -> None:
    notes = tuple(f"{note} in D♭ major, 2 of 12" for note in "ABCDEFG")
    slips = tuple((slip.value, 3) for slip in Slip)
    view = replace(ENDING, notes=notes, summary=replace(ENDING.summary, slips=slips))
    rows = text_of(summary(view, glyphs, width, 23)).splitlines()
    at = next(place for place, row in enumerate(rows) if "By note" in row)
    told = " ".join(" ".join(rows[at : at + 2]).split())
    shown = [glyphs.text(each) for each in notes if glyphs.text(each) in told]
    assert shown
    assert told.endswith(f"{shown[-1]}; and {len(notes) - len(shown)} more")
    assert re.search(r"\(3\), and \d+ more$", " ".join(rows[at + 2 : at + 4]).rstrip())


@pytest.mark.parametrize(
    ("prompts", "length", "told"),
    [
        (1, 20, "first thing next time"),
        (3, 20, "about prompt 3 next time"),
        (20, 20, "about prompt 20 next time"),
        (21, 20, "in a later practice"),
        (57, None, "about prompt 57 next time"),
        (None, None, "in a later practice"),
    ],
)
def test_a_prompt_that_the_next_practice_does_not_have_is_not_named(
    prompts: int | None, length: int | None, told: str
) -> None:
    assert back_told(prompts, length) == told


def test_the_end_of_a_practice_tells_it_by_key_and_note(home: Path) -> None:
    setup = Setup(home)
    practised(setup, days=(9, 4))
    trainer = setup.trainer(deck="two-keys")
    with at_keys(trainer) as user:
        user.see("prompt 1")
        missed = 0
        for _ in range(60):
            if not isinstance(trainer.screen, StandScreen) or missed >= 2:
                break
            text = user.cell if user.prompt.again else forgetful(user.prompt)
            missed += text != user.cell
            user.answer(text.lower())
            user.pause(0.01)
        user.press("escape", sees="End the practice?")
        user.press("enter", sees=("By key, missed", "G major", "F♯ in G major", "z mute"))
