"""The other way round: which key, degree, concert key, written key, signature.

Sources: reference/written_keys.csv (concert B flat is G on alto and C on tenor, common
practice); signatures counted on the circle of fifths by hand in ``outside_cells``.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from asking import HERE, Ask, cases, told
from hypothesis import given
from hypothesis import strategies as st
from outside_cells import FIFTEEN, REFERENCE, fifths, signature

from drill.marking.back import Back, back_unanswered, mark_back
from drill.marking.verdict import Outcome, Slip, Verdict
from drill.theory.language import Language
from drill.wording.asking import ask_back
from drill.wording.voice import PLAIN, Voice

E = Language.ENGLISH
READ = [back for back in Back if back not in (Back.DIFFERENT, Back.CHORD)]
"""The questions that need no sound, and no chord."""


def mark(ask: Ask, back: Back, key: str, typed: str, **more: object) -> Verdict:
    question = ask(key, "1-2-3-1", 4, **more)
    return mark_back(question, back, typed, E)


@pytest.mark.parametrize(
    "row", cases(REFERENCE / "written_keys.csv"), ids=lambda row: "-".join(list(row.values())[:2])
)
def test_written_and_concert_keys_of_the_reference_table(ask: Ask, row: dict[str, str]) -> None:
    concert, strict = row["concert_major"], row["written_major_strict"]
    written = row["written_major_recommended"]
    question = ask(written, "scale", 1, horn=row["instrument"])
    # Strictly the concert key is as far from the written one as from the strict written one.
    away = fifths(written) - fifths(strict)
    verdict = mark_back(question, Back.CONCERT, concert, E)
    plain = abs(fifths(concert) + away) <= 7
    # A derived key of seven accidentals or more is written on the other side (common practice).
    assert verdict.right is (away == 0 or abs(fifths(concert) + away) >= 7)
    if not verdict.right:
        assert verdict.slip is Slip.NAME  # the same sound, respelled
    if plain:
        sounding = FIFTEEN[fifths(concert) + away + 7]
        assert mark_back(question, Back.CONCERT, f"{sounding} major", E).right
    named = replace(question, concert=ask(concert, "scale", 1).run.key)
    assert mark_back(named, Back.CONCERT, concert, E).right
    for tonic in dict.fromkeys((written, strict)):
        assert mark_back(named, Back.WRITTEN, tonic, E).right


@pytest.mark.parametrize(
    "row",
    cases(HERE / "back.csv"),
    ids=lambda row: f"{row['back']} in {row['key']}: {row['typed']}",
)
def test_answers_to_the_questions_the_other_way_round(ask: Ask, row: dict[str, str]) -> None:
    back = Back(row["back"])
    question = replace(ask(row["key"], "1-2-3-1", 4, horn=row["horn"] or None), back=back)
    verdict = mark_back(question, back, row["typed"], E)
    assert (verdict.right, verdict.slip) == (not row["slip"], row["slip"] or None)
    assert not row["say"] or told(verdict, question) == row["say"]
    if verdict.readable and not verdict.right:
        assert verdict.notes[0].outcome in (Outcome.WRONG, Outcome.NAME)


@pytest.mark.parametrize("tonic", FIFTEEN)
def test_the_fifteen_signatures(ask: Ask, tonic: str) -> None:
    count = fifths(tonic)
    names = [name for name in signature(count).values() if len(name) > 1]
    word = f"{abs(count)} {'sharps' if count > 0 else 'flats'}"
    question = ask(tonic, "scale", 1)
    assert mark_back(question, Back.SIGNATURE, " ".join(names) or "none", E).right
    assert mark_back(question, Back.SIGNATURE, word, E).right
    for other in FIFTEEN:
        if other != tonic:
            more = f"{abs(fifths(other))} {'sharps' if fifths(other) > 0 else 'flats'}"
            assert not mark_back(question, Back.SIGNATURE, more, E).right


@pytest.mark.parametrize("back", READ)
@pytest.mark.parametrize("language", list(Language))
def test_what_is_shown_when_the_player_gives_up_is_right(
    ask: Ask, back: Back, language: Language
) -> None:
    question = ask("Bb", "1-2-3-1", 4, horn="alto_sax")
    verdict = back_unanswered(question, back, language)
    assert verdict.slip is Slip.UNANSWERED
    shown = told(verdict, replace(question, back=back), language).removeprefix("it is ")
    assert mark_back(question, back, shown, language).right
    assert Voice(language).text(ask_back(question, back)).isprintable()


@given(st.text(max_size=40), st.sampled_from(READ))
def test_any_text_gets_a_verdict(typed: str, back: Back) -> None:
    from drill.marking.question import Question
    from drill.terms import Direction
    from drill.theory.instruments import INSTRUMENTS
    from drill.theory.patterns import PATTERNS
    from drill.theory.runs import build_run
    from drill.theory.scales import parse_key

    run = build_run(parse_key("G"), PATTERNS["return3"], Direction.UP)
    question = Question(run, 3, INSTRUMENTS["alto_sax"])
    verdict = mark_back(question, back, typed, E)
    assert told(verdict, replace(question, back=back)).isprintable()
    assert verdict.right is (verdict.slip is None)


def test_a_concert_key_named_by_the_deck_is_the_one_asked_for(ask: Ask) -> None:
    # Concert D flat on alto is written B flat; strictly D flat, never C sharp.
    question = ask("Bb", "scale", 1, horn="alto_sax")
    named = replace(question, concert=ask("Db", "scale", 1).run.key)
    assert PLAIN.text(ask_back(named, Back.WRITTEN)) == (
        "concert Db major on Alto saxophone in Eb: which written key?"
    )
    assert mark_back(named, Back.CONCERT, "Db", E).right


@pytest.mark.parametrize(
    ("key", "horn", "back", "typed"),
    [
        ("E natural_minor", "alto_sax", Back.CONCERT, "g minor"),
        ("E natural_minor", "alto_sax", Back.CONCERT, "gm"),
        ("E natural_minor", "alto_sax", Back.CONCERT, "G natural minor"),
        ("G", "alto_sax", Back.CONCERT, "concert Bb"),
        ("G", "alto_sax", Back.CONCERT, "b flat major"),
        ("Eb", "alto_sax", Back.SIGNATURE, "three flats"),
        ("C", "alto_sax", Back.SIGNATURE, "no flats"),
    ],
)
def test_what_players_say(ask: Ask, key: str, horn: str, back: Back, typed: str) -> None:
    assert mark_back(ask(key, "1-2-3-1", 4, horn=horn), back, typed, E).right


@pytest.mark.parametrize("typed", ["4", "4th", "fourth", "iv", "IV", "the 4th", "on 4"])
def test_degrees_as_players_say_them(ask: Ask, typed: str) -> None:
    assert mark(ask, Back.WHICH_DEGREE, "G", typed).right


def test_the_written_key_that_is_recommended_is_the_usual_one(ask: Ask) -> None:
    """Concert E on alto is D flat, also where the deck drills C sharp (common practice)."""
    for key in ("C#", "Db"):
        question = replace(
            ask(key, "scale", 1, horn="alto_sax"), concert=ask("E", "scale", 1).run.key
        )
        question = replace(question, back=Back.WRITTEN)
        assert told(mark_back(question, Back.WRITTEN, "Db", E), question) == "right"
        assert told(mark_back(question, Back.WRITTEN, "C#", E), question) == (
            "right; usually written Db major"
        )


@pytest.mark.parametrize("typed", ["0", "00", "99", "0."])
def test_what_is_no_degree_of_any_run_is_asked_again(ask: Ask, typed: str) -> None:
    """99 is as many sevens above 1 as one likes, and no degree."""
    question = ask("G", "1-2-3-1", 1)
    assert mark_back(question, Back.WHICH_DEGREE, typed, E).slip is Slip.UNREADABLE
    assert mark_back(question, Back.WHICH_DEGREE, "15", E).right
