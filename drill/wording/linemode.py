"""What line mode says of itself: what can be typed, how it begins and how it ends."""

from __future__ import annotations

from drill.wording.bouts import locked_told
from drill.wording.figures import out_of
from drill.wording.sentence import Sentence, sentence
from drill.wording.soundwords import sound_is_off

HELP = """\
type the notes of the cell, e.g. C D E C; sharps # or +, flats b, doubles x and bb
asked for a key, type its name (Eb); for a degree, its number; for a signature, 3 flats
words instead of notes: show (see the cell), next (go on without the copy),
walk (the whole run, read first, then covered), hear (by ear: once more), mute, help, quit"""
HELP_IN_TIME = """\
enter plays: after the count-in type each note and Enter on its beat, e.g. F#
other words: next (another run), faster, slower, hear (the run), mute, quit,
measure (what keys and terminal add: hold Enter), tap (Enter alone on each
note; names types them again), all, 2-and-4, gaps, growing (which beats click),
calibrate (how late this output sounds: tap Enter along with a click),
microphone (the same, by a microphone that hears the loudspeaker)"""
ENTER_PLAYS = "enter plays the bout; help shows what can be typed"
ENTER_GOES_ON = "enter goes on"
NEXT_GOES_ON = "next goes on without the copy"
SHOW_SHOWS = "show shows the cell; next goes on where a copy stands"
SOUNDS_AFTER = "the notes sound after the answer"
SOUND_IS_OFF_HERE = sound_is_off("mute", "hear")
NO_WALK_HERE = "there is no run to walk here: it is walked from a cell asked by itself"
SILENT_BEAT = "sound is off, and in lines the beat is only heard: mute turns it on"
HOLD_ENTER = "hold Enter until told"
IN_TIME = "in time"
TOO_FEW_LINES = "too few lines to measure"


def greeting_told(title: str, what: Sentence | str) -> Sentence:
    """The first line: the deck, and its horn or that it is in time."""
    return sentence(f"{title}: ", what, ". help shows what can be typed.")


def end_told(right: int, asked: int, *, in_time: bool = False) -> str:
    """The line that ends a practice; in time, bouts that were locked in."""
    return f"end: {locked_told(right, asked) if in_time else out_of(right, asked, 'right')}"


def in_time_hint(deck: str | None) -> str:
    """How to play the runs in time that were asked in lines; ``deck`` as it was named, None for
    none."""
    import shlex  # the screens take a word from here

    named = "" if deck is None else f" --deck {shlex.quote(deck)}"
    return f"to play these runs in time: drill --plain --ask time{named}"


# The first questions.

THREE_QUESTIONS = "Three questions before the first prompt; Enter takes what is in brackets."


def asked_told(what: str, answer: str, choices: str = "") -> str:
    """One of the first questions, with what Enter takes and what can be typed."""
    return f"{_QUESTIONS[what]} {f'({choices}) ' if choices else ''}[{answer}]"


_QUESTIONS = {
    "horn": "Which horn do you play?",
    "known": "Which keys do you know?",
    "names": "What are the notes called?",
}


def no_choice_told(text: str, choices: int) -> str:
    """What was typed in place of a number."""
    return f"type a number from 1 to {choices}, not {text!r}"


no_language_told = "there is no language of note names {!r}".format
"""What was typed in place of a language of note names."""
