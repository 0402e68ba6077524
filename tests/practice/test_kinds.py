"""The kinds of prompt are said in three rooms that may not know one another."""

from __future__ import annotations

from drill.decks.schema import AskKind
from drill.marking.back import Back
from drill.memory.kinds import Kind


def test_a_deck_can_ask_for_every_kind_there_is() -> None:
    kinds = [kind.value for kind in Kind] + [back.value for back in Back]
    assert [ask.value for ask in AskKind] == kinds
