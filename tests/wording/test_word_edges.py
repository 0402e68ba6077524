"""One and several, and a fault of which only the first line is said."""

from __future__ import annotations

import pytest

from drill.decks.load import loads
from drill.hearing.line import Line, LinePlace
from drill.hearing.values import Heard
from drill.sound.roundtrip import Echo
from drill.terms import Note
from drill.theory.language import Language
from drill.wording import handing, logs, take
from drill.wording.bouts import too_few_taps
from drill.wording.calibrating import echo_told
from drill.wording.decks import shown_told
from drill.wording.handing import earlier_left_out
from drill.wording.paper import page_failed
from drill.wording.settings import setting_value
from drill.wording.voice import Script, Voice


@pytest.mark.parametrize(
    ("one", "several"),
    [
        (
            logs.merged(2, 1, 3, "a.db"),
            logs.merged(1, 2, 3, "a.db").replace("1 answer taken", "2 answers taken"),
        ),
        (logs.more_left_out("a.db", 1), logs.more_left_out("a.db", 2)),
        (handing.none_of_deck("X", 1, "so"), handing.none_of_deck("X", 2, "so")),
        (handing.holds_undated(1), handing.holds_undated(2)),
    ],
)
def test_of_one_it_is_said_that_it_was(one: str, several: str) -> None:
    assert several == one.replace(" 1 was ", " 2 were ").replace(
        "1 more was ", "2 more were "
    ).replace("1 of them was", "2 of them were")
    assert one != several


def test_of_one_the_sentence_is_in_the_singular() -> None:
    assert handing.undated(1).endswith(
        "1 answer was given with a wrong clock, and counts without a date"
    )
    assert handing.undated(2).endswith("were given with a wrong clock, and count without a date")
    assert logs.kept_aside(1, "x.db", "so") == "the answer it held before is kept in x.db; so"
    assert logs.kept_aside(2, "x.db", "so") == "the 2 answers it held before are kept in x.db; so"
    assert too_few_taps(1) == "only 1 tap could be used: nothing was kept"
    assert setting_value("practice.prompts", "1") == "1 prompt"
    assert setting_value("practice.minutes", "2") == "2 minutes"


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
