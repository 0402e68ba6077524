"""The stand as text: what is told, at which size, and that nothing is told by colour alone."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product
from typing import Any

import pytest
from tui_desk import golden, prompt_of, text_of

from drill.marking.back import Back
from drill.marking.question import Question
from drill.marking.read import read
from drill.marking.typed import Reading
from drill.memory.kinds import Kind
from drill.practice.effects import Judge, Prompt
from drill.practice.walk import ReadPage, Stage
from drill.terms import Direction, Key, Name, Span
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.theory.patterns import PATTERNS
from drill.theory.runs import build_run
from drill.theory.scales import parse_key
from drill.tui.draft import Draft
from drill.tui.glyphs import ASCII, UNICODE
from drill.tui.text import width_of
from drill.tui.views.stand import stand
from drill.tui.views.verdict import Stand
from drill.tui.words import Words
from drill.wording.slips import marker as marker_of

WORDS = Words(Language.ENGLISH, UNICODE)


@pytest.fixture
def prompt() -> Prompt:
    """The cell on 4 of 1-2-3-1 in G, going up; the one on 3 is given."""
    return prompt_of("G", 3)


def view_of(prompt: Prompt, text: str = "", **more: Any) -> Stand:
    reading = read(text) if text else Reading()
    concert = Key(Name("B", -1), "major")
    made = Stand("Two keys", prompt, concert, Draft(text), reading, planned=" of 40")
    return replace(made, **more)


def lines(view: Stand, width: int = 80, height: int = 23, words: Words = WORDS) -> str:
    return text_of(stand(view, words, width, height))


def answered(prompt: Prompt, text: str) -> Judge:
    return Judge(prompt, marker_of().mark(prompt.question, text))


def test_the_stand_at_80_by_24(prompt: Prompt) -> None:
    golden("stand-80x24", lines(view_of(prompt, "C D ")))


def test_the_stand_at_60_by_20_after_a_slip(prompt: Prompt) -> None:
    seventh = prompt_of("G", 6)
    judge = answered(seventh, "F G A F")
    golden("stand-60x20", lines(view_of(prompt, last=judge), 60, 19))


def test_slots_show_what_was_read(prompt: Prompt) -> None:
    shown = lines(view_of(prompt, "c f# "))
    assert slots_of(shown) == ["C", "F♯", "_", "_"]
    assert shown.count("●") == 4 + 2


def test_the_staff_stays_whatever_is_typed(prompt: Prompt) -> None:
    """At 60 by 20 leaps over more than the five lines take the room of the last verdict."""
    for text in ("C", "C B", "C B A", "C B A G", "C F B E"):
        shown = lines(view_of(replace(prompt, given=()), text), 60, 19)
        assert shown.count("●") == len(text.split()), text
        assert "The cell on 4" in shown or "The next cell" in shown


def slots_of(shown: str, count: int = 4) -> list[str]:
    """The slots at the end of the line under the staff."""
    under = next(row for row in shown.splitlines() if row.split()[:3] == ["B", "C", "D"])
    return under.split()[-count:]


def test_what_is_not_plain_is_marked_and_not_guessed(prompt: Prompt) -> None:
    shown = lines(view_of(prompt, "d ceb"))
    assert slots_of(shown) == ["D", "?", "_", "_"]
    assert "put spaces between notes" in shown


def test_more_notes_than_the_cell_has_are_shown_too(prompt: Prompt) -> None:
    shown = lines(view_of(prompt, "c d e f g"))
    assert slots_of(shown, 5) == ["C", "D", "E", "F", "G"]


def test_a_slip_has_a_sign_a_word_and_a_sentence() -> None:
    """F in G: the signature of G has F sharp (common practice)."""
    asked = prompt_of("G", 4)
    shown = lines(view_of(asked, last=answered(asked, "D E F D")))
    verdict = shown.splitlines()[-5:]
    assert verdict[0].startswith(" ✗ signature forgotten")
    assert "signature of G has F sharp" in verdict[1]
    assert verdict[3].split() == ["you", "D", "E", "F♮✗", "D"]
    assert verdict[4].split() == ["cell", "D", "E", "F♯", "D"]


def test_right_sound_with_another_name_has_its_own_sign() -> None:
    asked = prompt_of("G", 4)
    shown = lines(view_of(asked, last=answered(asked, "D E Gb D")))
    assert " ≈ right sound, wrong name" in shown
    assert "G♭≈" in shown


def test_a_right_answer_is_told_in_a_sign_and_a_word() -> None:
    asked = prompt_of("G", 4)
    shown = lines(view_of(asked, last=answered(asked, "D E F# D")))
    assert " ✓ right   D E F♯ D" in shown


@pytest.mark.parametrize("width", [36, 40, 60, 72, 80, 120])
@pytest.mark.parametrize("height", [9, 11, 19, 23, 40])
def test_every_size_holds_what_is_asked_and_typed(prompt: Prompt, width: int, height: int) -> None:
    judge = answered(prompt, "C D E F G A")
    for glyphs, kind in product([UNICODE, ASCII], Kind):
        view = view_of(replace(prompt, kind=kind), "c f#", last=judge)
        drawn = stand(view, Words(Language.ENGLISH, glyphs), width, height)
        assert len(drawn) == height
        assert max(map(width_of, drawn)) <= width
        shown = text_of(drawn)
        assert "c f#" in shown
        assert "cell" in shown
        assert glyphs.unicode or shown.isascii()
        if width >= 60 and height >= 19:
            assert glyphs.staff_line * 20 in shown


def test_a_prompt_by_ear_does_not_name_its_degree(prompt: Prompt) -> None:
    shown = lines(view_of(replace(prompt, kind=Kind.EAR, sounds=(60,), given=())))
    assert "The cell you hear" in shown
    assert "[" not in shown.splitlines()[2]


def test_retyping_shows_the_right_cell(prompt: Prompt) -> None:
    shown = lines(view_of(replace(prompt, again=True, given=prompt.cell.notes)))
    assert "Once more" in shown
    assert shown.count("●") == 4


def test_an_answer_that_cannot_be_read_is_said_and_offered(prompt: Prompt) -> None:
    problem = "'ceb' can be C E B or C Eb"
    shown = lines(view_of(prompt, "ceb", problem=problem, choices=read("ceb").choices))
    assert " ? not read, and not marked" in shown
    assert "1 C E B    2 C E♭" in shown


@pytest.mark.parametrize(
    ("back", "hidden"),
    [
        (Back.KEY, ["G major", "one sharp", "sounds in", "[4]"]),
        (Back.WHICH_DEGREE, ["[4]"]),
        (Back.CONCERT, ["sounds in", "B♭"]),
        (Back.WRITTEN, ["G major", "one sharp"]),
        (Back.SIGNATURE, ["one sharp", "F♯"]),
    ],
)
def test_a_question_the_other_way_round_hides_its_answer(
    prompt: Prompt, back: Back, hidden: list[str]
) -> None:
    question = replace(prompt.question, back=back.value, concert=Key(Name("B", -1), "major"))
    shown = lines(view_of(replace(prompt, question=question, given=()))).replace("in E♭", "")
    asked = shown.partition("Which key?")[2] if back is Back.KEY else shown
    for text in hidden:
        assert text not in asked
    assert "?" in shown or back is Back.SIGNATURE


def test_the_line_of_the_run_has_an_arrow_where_it_turns() -> None:
    """Down over the whole horn, then up again to the tonic: two ways, two arrows."""
    key, horn = parse_key("Eb"), INSTRUMENTS["alto_sax"]
    run = build_run(key, PATTERNS["return3"], Direction.DOWN, span=Span.FULL, horn=horn)
    turns = [a.direction is not b.direction for a, b in pairwise(run.cells)]
    assert sum(turns) == 1
    at = len(run.cells) - 1
    asked = prompt_of("Bb", 1)
    shown = lines(view_of(replace(asked, question=Question(run, at, None))), 300)
    told = next(row for row in shown.splitlines() if " run " in row)
    assert (told.count(UNICODE.down), told.count(UNICODE.up)) == (1, 1)
    assert told.index(UNICODE.down) < told.index(UNICODE.up) < told.index("[")


@pytest.mark.parametrize(("width", "height"), [(80, 23), (60, 19)])
def test_a_walk_s_page_loses_no_note_of_a_long_run(width: int, height: int) -> None:
    first = prompt_of("G", 0)
    eights = tuple((*cell.notes, *cell.notes) for cell in first.question.run.cells)
    shown = lines(view_of(replace(first, page=ReadPage(Stage.WHOLE, eights))), width, height)
    page = shown[shown.index("G A B G G A B G") :]
    page = page[: page.rindex(" |") + 60].replace("|", " ")
    names = [word for word in page.split() if word.strip("♯:") in set("ABCDEFG")]
    assert len(names) >= sum(map(len, eights)) == 56
