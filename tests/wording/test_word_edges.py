"""One and several, and a fault of which only the first line is said."""

from __future__ import annotations

import pytest

from drill.decks.load import loads
from drill.hearing.line import Line, LinePlace
from drill.hearing.values import Heard
from drill.sound.roundtrip import Echo
from drill.terms import Note
from drill.theory.language import Language
from drill.wording import take
from drill.wording.calibrating import echo_told
from drill.wording.decks import shown_told
from drill.wording.handing import earlier_left_out
from drill.wording.paper import page_failed
from drill.wording.voice import Script, Voice


def test_one_answer_was_and_several_were() -> None:
    assert earlier_left_out(1, "Few keys", "--earlier takes them too") == (
        "1 answer to Few keys was given before the deck was edited, and is not in it: "
        "--earlier takes them too"
    )
    assert earlier_left_out(2, "Few keys", "--earlier takes them too") == (
        "2 answers to Few keys were given before the deck was edited, and are not in it: "
        "--earlier takes them too"
    )


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        ("a line\nmore", "a line"),
        ("  one  ", "one"),
        ("", "no reason given"),
        (OSError(), "no reason given"),
    ],
)
def test_the_first_line_of_reasons_is_said(fault: object, said: str) -> None:
    assert page_failed(fault) == f"the page could not be made: {said}"


def test_delays_are_told_in_milliseconds() -> None:
    told = echo_told(Echo(0.2, 0.5, 11), 0.0)
    assert "11 of 12 clicks, their delays spread by 500 ms" in told
    clear = echo_told(Echo(0.2, 0.001, 12), 0.5)
    assert "this output 500 ms after it was told" in clear


@pytest.mark.parametrize(
    ("lead_ms", "said"),
    [
        (60.0, "60 ms before the beat"),
        (-60.0, "60 ms after the beat"),
        (62.4, "60 ms before the beat"),
        (0.0, "on the beat"),
    ],
)
def test_a_lead_is_told_in_steps_of_five_milliseconds(lead_ms: float, said: str) -> None:
    place = LinePlace(60, Note("C", 0, 4), "1", first=True)
    line = Line("x", (place,), shift=0, key=None)
    heard = Heard((), note_s=0.3, spread_ms=10.0, lead_ms=lead_ms)
    assert said in Voice(Language.ENGLISH, Script.TYPED).text(take._time(line, heard, 100.0))


def test_what_a_deck_wants_is_told_with_its_tempo_and_its_prompts() -> None:
    deck = 'title = "x"\ninstrument = "alto_sax"\npatterns = ["1-2-3-1"]\nkeys = ["C"]\n'
    plain = shown_told(loads(deck, "x.toml"))
    assert "beats a minute" not in plain
    told = shown_told(loads(deck + "[goal]\ntempo = 90\ndays = 2\nright = 90\n", "x.toml"))
    assert told.endswith("goal: 90 % right on 2 days, at 90 beats a minute")
