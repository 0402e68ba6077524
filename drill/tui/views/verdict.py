"""What is known at the stand, and of it the last verdict as lines: a sign, a word, a sentence, and
what was typed above the cell."""

from __future__ import annotations

from dataclasses import dataclass, field

from drill.marking.typed import Reading, Row
from drill.marking.verdict import Marked, Outcome, Slip
from drill.practice.effects import Judge, Prompt
from drill.terms import Key, Name
from drill.theory.scales import signature
from drill.tui.draft import Draft
from drill.tui.layout import block, shortened, spread
from drill.tui.staff import printed
from drill.tui.text import Line, Role, Stretch, line
from drill.tui.words import Words
from drill.wording.asking import where_told
from drill.wording.reading import NOT_READ, problem_told
from drill.wording.sentence import Sentence
from drill.wording.slips import slip_label
from drill.wording.verdicts import answer_shown, outcome_label, right_told, verdict_told

ROWS = 5
"""Lines that a verdict takes at most."""


@dataclass(frozen=True, slots=True)
class Stand:
    """What stands on the stand."""

    title: str = ""
    """The deck's."""
    prompt: Prompt | None = None
    """None while the deck is being opened."""
    concert: Key | None = None
    """The concert key of the prompt's written key."""
    draft: Draft = field(default_factory=Draft)
    reading: Reading = field(default_factory=Reading)
    """What the draft is read as."""
    last: Judge | None = None
    """The last verdict."""
    problem: Sentence | str = ""
    """Why the answer that was handed in could not be read."""
    choices: tuple[Row, ...] = ()
    """The readings to choose from by digit, where there is more than one."""
    asked: int = 0
    right: int = 0
    planned: str = ""
    """How long the practice is, such as `` of 40`` or ``, 10 min``."""
    microphone: str = ""
    """What is said of the microphone while it is open; empty while it is not."""
    held: bool = False
    """True while a right answer waits for Enter."""
    sound_off: str = ""
    """What is said in place of a prompt by ear that cannot be heard; empty where it can."""
    notice: Sentence | str = ""


def verdict_lines(view: Stand, words: Words, width: int) -> list[Line]:
    """At most five lines: the verdict in a sign, a word and a sentence, and the notes."""
    if view.problem:
        return _problem(view, words, width)
    rows = _judged(view.last, words, width) if view.last else []
    if view.notice:
        rows = [*rows[: ROWS - 2], *_notice(view.notice, words, width, 2)]
    elif view.reading.problem is not None and view.reading.choices and view.prompt:
        rows = rows[: ROWS - 2]
        key = view.prompt.question.run.key
        told = problem_told(view.reading.problem, words.language, key)
        rows += _notice(told, words, width, 1)
    return rows[:ROWS]


def _notice(text: Sentence | str, words: Words, width: int, most: int) -> list[Line]:
    rows = block(words.said(text), width, Role.NOTICE)
    return shortened(rows, most, width, words.glyphs.ellipsis)


def _problem(view: Stand, words: Words, width: int) -> list[Line]:
    rows = [line(Stretch(f" ? {NOT_READ}", Role.NOTICE))]
    told = block(words.said(view.problem), width, by=3)
    rows += shortened(told, 2, width, words.glyphs.ellipsis)
    if view.choices and view.prompt:
        key = view.prompt.question.run.key
        spans = [Stretch("   ")]
        for number, choice in enumerate(view.choices, start=1):
            names = words.names((note.name for note in choice), key)
            spans += [Stretch(str(number), Role.KEY), Stretch(f" {names}    ")]
        rows.append(tuple(spans))
    return rows


def _judged(judge: Judge, words: Words, width: int) -> list[Line]:
    verdict, key = judge.verdict, judge.prompt.question.run.key
    where = line(Stretch(f"{words.said(where_told(judge.prompt))} ", Role.DIM))
    if verdict.right:
        names = words.names(verdict.expected, key)
        if judge.prompt.question.back:
            names = words.said(answer_shown(verdict, judge.prompt.question))
        usual = words.said(right_told(verdict, judge.prompt.question))
        said = f"{names}   {usual}" if usual else names
        told = line(
            Stretch(f" {words.glyphs.right} {outcome_label(Outcome.RIGHT)}", Role.RIGHT),
            Stretch(f"   {said}"),
        )
        return [spread(told, where, width, words.glyphs.ellipsis)]
    near = verdict.slip is Slip.NAME
    word = slip_label(verdict.slip or Slip.UNEXPLAINED)
    sign, role = (words.glyphs.near, Role.NEAR) if near else (words.glyphs.wrong, Role.WRONG)
    rows = [spread(line(Stretch(f" {sign} {word}", role)), where, width, words.glyphs.ellipsis)]
    slip = verdict_told(verdict, judge.prompt.question, words.language).capitalized() + "."
    sentence = block(words.said(slip), width, by=3)
    notes = [] if judge.prompt.question.back else _notes(verdict.notes, words, key)
    return [*rows, *shortened(sentence, 2, width, words.glyphs.ellipsis), *notes]


SIGNS = {
    Outcome.RIGHT: ("", Role.PLAIN),
    Outcome.NAME: ("near", Role.NEAR),
    Outcome.WRONG: ("wrong", Role.WRONG),
    Outcome.MISSING: ("missing", Role.WRONG),
    Outcome.EXTRA: ("extra", Role.WRONG),
}


def _notes(marks: tuple[Marked, ...], words: Words, key: Key) -> list[Line]:
    """What was typed above the right cell, a sign after each note that is not right."""
    typed = [Stretch("   you   ", Role.DIM)]
    right = [Stretch("   cell  ", Role.DIM)]
    for mark in marks:
        sign, role = SIGNS[mark.outcome]
        shown = _shown(mark.typed, words, key)
        fault = f"{shown}{getattr(words.glyphs, sign)}" if sign else shown
        wanted = _shown(mark.expected, words, key)
        size = max(len(fault), len(wanted), 3) + 2
        typed.append(Stretch(fault.ljust(size), role))
        right.append(Stretch(wanted.ljust(size), Role.STRONG if sign else Role.PLAIN))
    return [tuple(typed), tuple(right)]


def _shown(text: str | None, words: Words, key: Key) -> str:
    """A marked note without its octave, in the player's names; a natural that contradicts the
    signature has its sign."""
    if text is None:
        return ""
    name = name_of(text)
    (sign,) = printed([(name, 0)], signature(key), words.glyphs)
    return words.name(name, key) + (sign if sign == words.glyphs.natural else "")


def name_of(text: str) -> Name:
    """The name of a marked note, its octave left out."""
    bare = text.rstrip("0123456789-")
    return Name(bare[0], bare.count("#") - bare[1:].count("b"))
