"""What is said of options that do not go together or have no such value."""

from __future__ import annotations

from collections.abc import Sequence

from drill.shown import counted

RUN_ASKED = "name the run: --pattern (as drill spell does), --deck, or --against FILE"
AGAINST_ALONE = "--against names a line of its own: leave --pattern and --deck out"
NO_TONIC_FOR_BOTH = "the horn has no tonic from which both the way up and the way down fit whole"
SCALE_ALONE = "--scale goes with --key or --concert-key where a deck is named"
QUIET_ALONE = "--quiet prints nothing: name a file, such as --html FILE"
ONE_DECK = "--out is for one deck: --out-dir has them all"
RESULTS_FILE, DECK, ITS_SOURCE = "a results file", "a deck", "what this is made from"
"""What is never written over by something that is made from others."""
THE_OPTIONS = "the options"
"""What faults call a deck that was made of options."""
DIRECTIONS = {
    "--up": "the runs going up",
    "--down": "the runs coming down",
    "--both": "up, then down (the default)",
}


goes_with = "{} goes with {}".format
"""An option that does nothing without another."""
not_in_time = "in time nothing is copied or asked once more: leave {} out".format
"""An option of typed prompts where runs are played in time."""
one_run_told = "a take is of one run; {} are named: choose with --key and one pattern".format
"""A take is of one run, and so many are named."""
tempo_out = "--tempo is {:g}; expected 20 to 400 beats a minute".format
"""A tempo outside of what can be."""
neither_told = "{}; nor a pattern: {}".format
"""A word that is neither a deck nor a pattern, with both reasons."""
in_a_key = (
    "--begin, --groups-of, --step, --ending and --span go with patterns in a key, not with {}"
).format
"""What a run in a key alone has, with a pattern or an option that moves by roots."""
down_on_roots = "--descent is retrograde or same-shape with {}, not {}".format
"""A way down that a pattern or an option that moves by roots has not."""
with_chords = "--lead and --guide go with chords, such as 'Dm7 G7 Cmaj7', not with {}".format
"""What chords alone have, with another pattern."""
with_one_chord = "--roots goes with a cell or one chord type, such as chord-m7, not with {}".format
"""Other roots for a pattern that has its own."""
steps_out = "the start moves by 1 to 7 steps, not {}".format
"""A start that moves too far."""
begin_out = "a run begins on degree 1 to 12, not {}".format
"""A degree that no scale has."""
groups_out = "groups have 2 to 12 notes, not {}".format
"""Groups that are too small or too large."""


def horn_told(low: object, high: object, clef: str) -> str:
    """A horn in a list: its range and its clef."""
    return f"{low} to {high}, {clef} clef"


def scale_told(up: tuple[str, ...], down: tuple[str, ...]) -> str:
    """A scale in a list: its degrees up, and down where they differ."""
    return " ".join(up) + (f"; down {' '.join(down)}" if down != up else "")


def for_own_horn(title: str, remedy: str) -> str:
    """A page of a deck for everyone's own horn, and no horn is named."""
    return f"the deck {title!r} is for everyone's own horn: {remedy}"


# A sheet.

ROSTER_WITH_HORNS = "--roster goes with --horns roster or --horns students"
ONE_OR_SEVERAL = "--instrument and --horns: name one of them"
ONE_HORN = "--musicxml and --midi take one horn: name it with --instrument"
NAME_A_FILE = "say which file to write: --pdf, --svg, --musicxml or --midi FILE"
ONE_TO_STDOUT = "only one file can go to standard output"
NAME_THE_PICTURES = "the sheet has several pages: name a file for --svg"


horns_need_roster = "--horns {} needs --roster FILE".format
"""Horns that a roster names, and no roster."""


def no_horn_for(names: Sequence[str]) -> str:
    """People of a roster without a horn."""
    return f"the roster names no horn for {', '.join(names)}"


with_worksheet = "--{} goes with --worksheet".format
"""An option that only a worksheet has."""
control_in = "--{} has a control character, {}".format
"""A text that cannot be printed."""
too_long = "--{} is longer than {} characters".format
"""A text that finds no room."""


def out_of(text: str, least: int, most: int) -> str:
    """A number that cannot be taken."""
    return f"{text!r} is not a number from {least} to {most}"


file_there = "{} exists already: name another file".format
"""A file that is not written over."""
made_by_hand = "{} is {}: name another file".format
"""A file that nothing made from others is written over, and what it is."""
one_file_twice = "{} is named twice: name a file for each".format
"""Two options that name one file to write."""
wrote = "wrote {}".format
"""A file was written."""


def pages_told(pages: int, parts: int) -> str:
    """How many pages there are, before anybody sends them to a printer."""
    return counted(pages, "page") + (f" for {parts} parts" if parts > 1 else "")


def long_told(remedies: Sequence[str]) -> str:
    """How there would be fewer."""
    return f"that is long: {', '.join(remedies)}"


one_picture = "the sheet has {} pages: standard output takes one picture".format
"""Several pictures to standard output."""
swing_told = "swing {}:1".format
"""The swing over a page."""
