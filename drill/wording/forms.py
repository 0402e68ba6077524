"""The words of the forms: a practice of one's own, its lists, the settings, the first questions."""

from __future__ import annotations

from collections.abc import Mapping

from drill.shown import counted

# A practice of one's own.

OWN_PRACTICE = "A practice of your own"
OWN_TITLE = "My own practice"
"""What a new one is called until it has a name."""
NEW_DECK = "A new deck"
"""What a teacher's new one is called until it has a name, and its form."""
ROWS: Mapping[str, tuple[str, str]] = {
    "title": ("Name", "What the deck is called."),
    "instrument": ("Horn", "Whose range and pitch it is for."),
    "patterns": (
        "Patterns",
        "Patterns, chords and progressions; a cell such as 1-2-4-1 can be typed.",
    ),
    "scales": ("Scales", "In which scales they are played."),
    "keys": ("Keys", "All keys up to so many sharps and flats, or those that you pick."),
    "picked": ("  which", "In the order in which new keys are opened."),
    "window": ("  how many", "Right: one key more. Left: one less."),
    "sharps": ("  most sharps", "Right: one more. Left: one less."),
    "flats": ("  most flats", "Right: one more. Left: one less."),
    "directions": ("Directions", "Which way the runs go."),
    "span": ("How far", "How far over the horn each run goes."),
    "range": ("Range", "Which notes of the horn are used."),
    "practice.ask": ("Kinds of prompt", "How cells are asked; which of them is up to your recall."),
    "practice.prompts": (
        "Prompts",
        "How many prompts one practice has; empty where the minutes below end it.",
    ),
    "practice.minutes": (
        "Minutes",
        "It ends after so many, or after the prompts above, whichever comes first.",
    ),
    "tempo": (
        "Tempo",
        "In time: beats a minute to begin at; leave it empty to let the player choose.",
    ),
    "due": ("Known by", "Year-month-day, such as 2030-06-14; leave it empty for no day."),
    "note": ("Note", "A note to whoever practises it."),
    "once": ("Practise it now", "For once, without keeping it."),
    "keep": ("Keep it as a deck", "In your own folder of decks, under its name."),
}
"""Label and help of each row."""
EXPECTED: Mapping[str, str] = {
    "practice.prompts": "expected a whole number from 1 to 1000",
    "practice.minutes": "expected a number of minutes from 1 to 240",
    "tempo": "expected beats a minute, 20 to 400",
    "due": "expected a day, such as 2030-06-14",
}
"""What is said of a row whose value is typed and wrong, in place of the file's own words."""
TURNS: Mapping[str, tuple[str, ...]] = {
    "directions": ("up and down", "up", "down"),
    "span": ("one octave", "two octaves", "whole octaves, as many as fit", "the whole horn"),
    "range": ("a good student's", "with the low keys and high register"),
}
"""What is chosen by turns, in the order of its values."""
AS_THE_FILE_SAYS = "as the file says"
BY_WINDOW, BY_HAND = "by sharps and flats", "picked one by one"
A_CELL = "a cell"


def own_title(deck: str | None) -> str:
    """The form's title; None where a new deck begins."""
    return OWN_PRACTICE if deck is None else f"Deck: {deck}"


def window_told(sharps: int, flats: int) -> str:
    """A window of keys: ``up to 2 sharps and 1 flat, 4 keys``."""
    sides = [counted(n, what) for n, what in ((sharps, "sharp"), (flats, "flat")) if n]
    return f"{'up to ' if sides else ''}{' and '.join(sides) or 'C alone'}, " + counted(
        sharps + flats + 1, "key"
    )


def own_horn_told(horn: str) -> str:
    """The player's own horn; empty for none named."""
    return f"your own ({horn})" if horn else "your own: name it in Settings"


OWN_HORN = "your own, as in Settings"
DECK_S_HORN = "as the deck describes it"
SEVERAL_ABOUT = "Tab marks, Enter is done."
PATTERNS_ABOUT = f"{SEVERAL_ABOUT} A cell such as 1-2-4-1 can be typed."
AS_TYPED = "the cell as typed"
ON_EACH_ROOT = "progression, a chord on each root"
MOVING: Mapping[str, tuple[str, str]] = {
    "ii-V-I": ("ii-V-I", "ii-V-I"),
    "ii-V": ("ii-V", "ii-V"),
    "dominant": ("sevenths round the fourths", "dominant sevenths round the fourths"),
    "major": ("major sevenths round the fourths",) * 2,
    "minor": ("minor sevenths by half steps",) * 2,
}
"""Chords over moving roots: what they are called in the list, and in the deck."""


arpeggio_told = "arpeggio: {}".format
"""A kind of chord in the list of patterns."""
in_key = "in {}".format
"""Over a preview."""
kept_told = "kept as {}: it is among your decks".format
"""The deck was written."""


# Settings.

ASK_AGAIN = ("Ask the first questions again", "Your horn, the keys you know, and the note names.")


def setting_help(told: str, name: str) -> str:
    """What a setting is for, and what the file calls it."""
    return f"{told[:1].upper()}{told[1:]}.\nIn the settings file: {name}"


outweighed = "kept; but {} goes before it, and says {}".format
"""A setting was kept, and something that goes before the file says otherwise."""
from_next_start = "{}, from the next start on".format
"""A setting that takes effect later."""


# The first questions.

FIRST: Mapping[str, tuple[str, str]] = {
    "horn": ("Your horn", "Which horn do you play? Type a few letters of it; Enter takes it."),
    "keys": (
        "The keys you know",
        (
            "Which keys do you know by heart, or nearly? You begin with these; "
            "more can be opened at any time."
        ),
    ),
    "names": ("Names of notes", "What are the notes called where you live?"),
}
"""Title and question of each list."""


clef_told = "{} clef".format
"""The clef that a horn reads."""


# What the key that changes a row does.

DO_IT = "do it"
LEAVE_IT = "leave as it was"
LEAVE_UNKEPT = (
    "Leave it without keeping it?",
    "What you changed is in no file yet; the last row keeps it.",
    ("leave it", "go back"),
)
"""What is asked before what is being written is left: the question, more, yes and no."""
