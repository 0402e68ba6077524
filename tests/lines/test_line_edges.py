"""What was not heard is said, and nothing is counted."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from tui_desk import prompt_of

from drill.hearing.values import Heard, HeardAs, NoteHeard
from drill.lines.onhorn import HornLines
from drill.practice.machine import PromptState
from drill.theory.language import Language
from drill.wording.voice import Script, Voice


def test_notes_that_were_not_heard_are_told_and_the_prompt_stands() -> None:
    prompt = prompt_of("G", 0)
    outcomes = [HeardAs.RIGHT, HeardAs.UNHEARD, HeardAs.RIGHT, HeardAs.RIGHT]
    heard = Heard(
        tuple(
            NoteHeard(at, each, None, None, None, None, None, None)
            for at, each in enumerate(outcomes)
        )
    )
    said: list[str] = []
    lines: Any = SimpleNamespace(
        horn=SimpleNamespace(shift=lambda: 0),
        _voice=Voice(Language.ENGLISH, Script.TYPED),
        _note=said.append,
    )
    state = PromptState()
    assert HornLines._played(lines, state, prompt, heard) is state
    assert said == ["Not heard: the second note. Play the cell again."]
