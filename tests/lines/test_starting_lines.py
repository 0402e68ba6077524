"""The first start in lines: three questions on a terminal, their usual answers off one."""

from __future__ import annotations

import io

from drill.decks.mine import KnownKeys, Start
from drill.lines.starting import ask_start
from drill.theory.language import Language


def asked(text: str, start: Start | None = None) -> tuple[Start, list[str]]:
    said: list[str] = []
    return ask_start(io.StringIO(text), said.append, start or Start()), said


def test_enter_takes_what_is_in_brackets() -> None:
    start, said = asked("\n\n\n", Start(names=Language.GERMAN))
    assert start == Start("alto_sax", KnownKeys.NONE, Language.GERMAN)
    assert any("[Alto saxophone in Eb]" in row for row in said)


def test_each_question_is_answered_and_asked_again_where_it_cannot_be_read() -> None:
    start, said = asked("kazoo\ntenor\n9\nfour\n3\nklingon\nDutch\n")
    assert start == Start("tenor_sax", KnownKeys.FOUR, Language.DUTCH)
    assert sum("Which horn" in row for row in said) == 2
    assert sum("Which keys" in row for row in said) == 3
    assert any("klingon" in row for row in said)


def test_an_input_that_ends_takes_the_rest_as_it_is() -> None:
    assert asked("flute\n")[0] == Start("flute", KnownKeys.NONE, Language.ENGLISH)
