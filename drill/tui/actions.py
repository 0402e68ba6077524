"""Every action once: its keys, its word in the last line, and its line of help.

Bindings, the last line of each screen and the help are all made from ``ACTIONS``.
Keys follow Textual's names.  Left out on purpose: alt, function keys other than F1,
ctrl+b (prefix of a terminal multiplexer), ctrl+s and ctrl+q (flow control).
"""

# ruff: noqa: E501 - a table reads best with a row on a line

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from drill.tui.glyphs import Glyphs
from drill.tui.text import Line, Role, Span


class Place(StrEnum):
    """A screen."""

    TODAY = "Today"
    STAND = "Stand"
    TIME = "In time"
    SUMMARY = "End of practice"
    DECKS = "Decks"
    MAP = "Map"
    TRIPS = "What trips me"
    FORM = "Form"
    ERRAND = "What was done"
    REPORT = "Report"
    PICK = "List"
    START = "First start"
    HELP = "Help"
    CONFIRM = "Question"
    OPENING = "Opening"


_LISTS = (Place.TODAY, Place.DECKS, Place.MAP, Place.TRIPS, Place.FORM, Place.REPORT, Place.ERRAND)
"""Where letters are keys, so that the rows can be walked by them too."""
_PICKS = (Place.PICK, Place.START)
_EVERYWHERE = tuple(Place)


@dataclass(frozen=True, slots=True)
class Action:
    """What a key does on some screens."""

    id: str
    """Unique; what it does is the part before a dot."""
    keys: tuple[str, ...]
    label: str
    """One or two words for the last line; empty keeps it out of there."""
    help: str
    """One sentence."""
    places: tuple[Place, ...]

    @property
    def verb(self) -> str:
        """What it does, as the screens' ``acts`` call it."""
        return self.id.partition(".")[0]


ACTIONS: tuple[Action, ...] = (
    Action("begin.today", ("enter",), "begin", "Begin a practice with the chosen deck.", (Place.TODAY,)),
    Action("begin.decks", ("enter",), "begin", "Begin a practice with the deck in view.", (Place.DECKS,)),
    Action("begin.map", ("enter",), "begin", "Practise the cells of the chosen square.", (Place.MAP,)),
    Action("begin.trips", ("enter",), "practise this", "Practise just what the row tells.", (Place.TRIPS,)),
    Action("begin.summary", ("enter",), "go on", "Begin another practice with the same deck.", (Place.SUMMARY,)),
    Action("submit", ("enter",), "answer", "Hand in what is typed.", (Place.STAND,)),
    Action("play", ("enter",), "play", "Start the click and play; after it, play again.", (Place.TIME,)),
    Action("onward", ("tab",), "next run", "Take another run, as the planner chooses.", (Place.TIME,)),
    Action("faster", ("right",), "faster", "A step faster on the metronome's scale.", (Place.TIME,)),
    Action("slower", ("left",), "slower", "A step slower.", (Place.TIME,)),
    Action("hear.time", ("full_stop",), "hear", "Hear the run at this tempo.", (Place.TIME,)),
    Action("letters", ("l",), "letters", "Ask for letters alone, or with their accidentals.", (Place.TIME,)),
    Action("eighths", ("e",), "eighths", "A note a beat, or two.", (Place.TIME,)),
    Action("tapped", ("t",), "tap", "Tap time alone, any key on each note; or type the notes.", (Place.TIME,)),
    Action("clicks", ("k",), "clicks", "Every beat, 2 and 4, silent bars, or longer and longer ones.", (Place.TIME,)),
    Action("calibrate", ("c",), "calibrate", "Tap along, to tell how late this output sounds.", (Place.TIME,)),
    Action("back.time", ("escape",), "back", "Break the bout off; else go back.", (Place.TIME,)),
    Action("mute", ("z",), "sound", "Turn the sound off or on; z is no note name in any language.", (Place.STAND, Place.SUMMARY, Place.TIME)),
    Action("show", ("tab",), "show", "Show the cell: it counts as missed, and is copied; at a copy, go on without it.", (Place.STAND,)),
    Action("hear", ("full_stop",), "hear", "Hear the prompt again (by ear), or the cell of the last verdict.", (Place.STAND,)),
    Action("walk", ("ctrl+r",), "walk the run", "Walk the run of this cell first: with the page, with half of it, without.", (Place.STAND,)),
    Action("sharpen", ("up",), "sharp", "Type a sharp, where # is hard to reach.", (Place.STAND,)),
    Action("flatten", ("down",), "flat", "Type a flat; the letter b does so too in English.", (Place.STAND,)),
    Action("back.form", ("escape", "q"), "back", "Go back; while a value is typed, leave it as it was.", (Place.FORM,)),
    Action("back.pick", ("escape",), "back", "Leave without choosing.", _PICKS),
    Action("back.stand", ("escape",), "end", "End the practice; what was answered is kept.", (Place.STAND,)),
    Action("up", ("up", "k"), "", "Go up a row.", _LISTS),
    Action("down", ("down", "j"), "", "Go down a row.", _LISTS),
    Action("left", ("left", "h"), "", "Go left, or to the run before.", (Place.MAP, Place.DECKS, Place.FORM)),
    Action("right", ("right", "l"), "", "Go right, or to the next run.", (Place.MAP, Place.DECKS, Place.FORM)),
    Action("first", ("home",), "", "Go to the first row.", _LISTS),
    Action("last", ("end",), "", "Go to the last row.", _LISTS),
    Action("change", ("enter",), "change", "Change, choose or do what the row stands for.", (Place.FORM,)),
    Action("take", ("enter",), "take", "Take the row stood on, or all that are marked.", _PICKS),
    Action("mark", ("tab",), "mark", "Mark the row stood on, or no longer.", _PICKS),
    Action("hear.pick", ("right",), "hear", "Hear the row stood on.", _PICKS),
    Action("up.pick", ("up",), "", "Go up a row.", _PICKS),
    Action("down.pick", ("down",), "", "Go down a row.", _PICKS),
    Action("first.pick", ("home",), "", "Go to the first row.", _PICKS),
    Action("last.pick", ("end",), "", "Go to the last row.", _PICKS),
    Action("measure", ("space",), "show", "Show the next figure: recall, errors, answers, tempo, on the horn.", (Place.MAP,)),
    Action("walk.map", ("r",), "walk the run", "Walk the square's run: with the page, with half of it, without.", (Place.MAP,)),
    Action("open", ("o",), "open", "Open the chosen square: its cells and slips.", (Place.MAP,)),
    Action("open.report", ("enter", "o"), "open", "Open the row: all that is known of it.", (Place.REPORT,)),
    Action("table", ("tab", "right"), "next table", "Show the next table.", (Place.REPORT,)),
    Action("table_before", ("left",), "", "Show the table before.", (Place.REPORT,)),
    Action("sort", ("s",), "sort", "Sort the rows by the next column.", (Place.REPORT,)),
    Action("direction", ("space",), "up/down", "Show the runs that go the other way.", (Place.DECKS,)),
    Action("own", ("o",), "own", "Put together a practice of your own: horn, patterns, keys, length.", (Place.TODAY,)),
    Action("edit", ("e",), "edit", "Change the deck in view, or make one like it.", (Place.DECKS,)),
    Action("trips", ("w",), "trips me", "What trips you in the chosen deck, and a practice of each.", (Place.TODAY, Place.MAP, Place.SUMMARY)),
    Action("decks", ("d",), "decks", "Look through the decks, run by run.", (Place.TODAY,)),
    Action("map", ("m",), "map", "The map of keys and patterns of the chosen deck.", (Place.TODAY, Place.DECKS, Place.SUMMARY)),
    Action("horn", ("p",), "on the horn", "Answer the deck's cells by playing them on the horn.", (Place.TODAY,)),
    Action("teacher", ("c",), "class", "The teacher's desk: decks, pages, results; and hand in.", (Place.TODAY,)),
    Action("settings", ("s",), "settings", "Look at the settings and change them.", (Place.TODAY,)),
    Action("time", ("t",), "in time", "Play the deck's runs in time with the metronome.", (Place.TODAY, Place.SUMMARY)),
    Action("mute.today", ("z",), "sound", "Turn the sound off or on; z is no note name in any language.", (Place.TODAY,)),
    Action("help", ("question_mark", "f1"), "help", "Show this help.", tuple(p for p in Place if p not in (Place.HELP, Place.CONFIRM, Place.OPENING, *_PICKS))),
    Action("help.pick", ("f1",), "help", "Show this help.", _PICKS),
    Action("back", ("escape", "q"), "back", "Go back.", (Place.DECKS, Place.MAP, Place.TRIPS, Place.REPORT, Place.ERRAND, Place.HELP, Place.SUMMARY, Place.OPENING)),
    Action("quit_now", ("q", "escape"), "quit", "Leave drill.", (Place.TODAY,)),
    Action("yes", ("enter", "y"), "yes", "Yes.", (Place.CONFIRM,)),
    Action("no", ("escape", "n"), "no", "No: go back to where you were.", (Place.CONFIRM,)),
    Action("quit_asked", ("ctrl+c",), "", "Leave drill, after a question; twice leaves at once.", _EVERYWHERE),
    Action("suspend", ("ctrl+z",), "", "Put drill in the background, where the system can.", _EVERYWHERE),
)  # fmt: skip
"""Order is that of the last line, the most needed first."""

_SHOWN = {
    "enter": "enter", "escape": "esc", "full_stop": ".", "question_mark": "?", "space": "space",
    "number_sign": "#", "f1": "F1", "home": "home", "end": "end",
}  # fmt: skip
_LAST = (
    "help",
    "help.pick",
    "back",
    "back.stand",
    "back.time",
    "back.form",
    "back.pick",
    "quit_now",
)
"""What must be seen however narrow the screen."""


def at(place: Place) -> tuple[Action, ...]:
    """The actions of a screen."""
    return tuple(action for action in ACTIONS if place in action.places)


def keys_of(action: Action, keymap: Mapping[str, str]) -> tuple[str, ...]:
    """The keys in force: the player's own, else the action's."""
    own = keymap.get(action.id, "")
    return tuple(key.strip() for key in own.split(",") if key.strip()) or action.keys


def shown_key(key: str, glyphs: Glyphs) -> str:
    """A key as the last line and the help call it."""
    arrows = {"up": glyphs.up, "down": glyphs.down}
    if glyphs.unicode:
        arrows |= {"left": "←", "right": "→"}
    return arrows.get(key) or _SHOWN.get(key, key.replace("_", " "))


def key_line(
    place: Place, width: int, glyphs: Glyphs, keymap: Mapping[str, str], instead: Mapping[str, str]
) -> Line:
    """The last line of a screen; what does not fit is left out, but never the way back.

    ``instead`` has other words for some actions, by id; an empty word leaves one out.
    """
    listed = [a for a in at(place) if instead.get(a.id, a.label)]
    kept = [a for a in listed if a.id in _LAST]
    for action in (a for a in listed if a.id not in _LAST):
        trial = [a for a in listed if a in kept or a is action]
        if _width(trial, glyphs, keymap, instead) <= width - 2:
            kept.append(action)
    while kept and _width(kept, glyphs, keymap, instead) > width - 2:
        kept.pop(0)
    spans: list[Span] = [Span(" ")]
    for action in (a for a in listed if a in kept):
        key, word = _texts(action, glyphs, keymap, instead)
        spans += [Span(key, Role.KEY), Span(f" {word}   ", Role.DIM)]
    return tuple(spans[:-1]) + ((Span(spans[-1].text.rstrip(), Role.DIM),) if spans[1:] else ())


def _texts(
    action: Action, glyphs: Glyphs, keymap: Mapping[str, str], instead: Mapping[str, str]
) -> tuple[str, str]:
    key = shown_key(keys_of(action, keymap)[0], glyphs)
    return key, instead.get(action.id, action.label)


def _width(
    actions: list[Action], glyphs: Glyphs, keymap: Mapping[str, str], instead: Mapping[str, str]
) -> int:
    texts = (_texts(action, glyphs, keymap, instead) for action in actions)
    return sum(len(key) + len(word) + 4 for key, word in texts) - 3
