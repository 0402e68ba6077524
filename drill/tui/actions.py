"""Every action once: its keys, and where it is; its words stand in ``wording.keys``.

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
from drill.tui.text import Line, Role, Stretch
from drill.wording.keys import ACTS, SCREENS


class Place(StrEnum):
    """A screen."""

    TODAY = "today"
    STAND = "stand"
    TIME = "time"
    TAPPING = "tapping"
    TAKE = "take"
    SUMMARY = "summary"
    DECKS = "decks"
    MAP = "map"
    TRIPS = "trips"
    FORM = "form"
    ERRAND = "errand"
    REPORT = "report"
    PICK = "pick"
    START = "start"
    HELP = "help"
    CONFIRM = "confirm"
    OPENING = "opening"

    @property
    def called(self) -> str:
        """What the player reads for it."""
        return SCREENS[self.value]


_LISTS = (
    Place.TODAY,
    Place.DECKS,
    Place.MAP,
    Place.TRIPS,
    Place.FORM,
    Place.REPORT,
    Place.ERRAND,
    Place.HELP,
)
"""Where letters are keys, so that the rows can be walked by them too."""
_PICKS = (Place.PICK, Place.START)
_EVERYWHERE = tuple(Place)


@dataclass(frozen=True, slots=True)
class Action:
    """What a key does on some screens."""

    id: str
    """Unique; what it does is the part before a dot."""
    keys: tuple[str, ...]
    places: tuple[Place, ...]

    @property
    def label(self) -> str:
        """One or two words for the last line; empty keeps it out of there."""
        return ACTS[self.id][0]

    @property
    def help(self) -> str:
        """One sentence."""
        return ACTS[self.id][1]

    @property
    def verb(self) -> str:
        """What it does, as the screens' ``acts`` call it."""
        return self.id.partition(".")[0]


ACTIONS: tuple[Action, ...] = (
    Action("begin.today", ("enter",), (Place.TODAY,)),
    Action("begin.decks", ("enter",), (Place.DECKS,)),
    Action("begin.map", ("enter",), (Place.MAP,)),
    Action("begin.trips", ("enter",), (Place.TRIPS,)),
    Action("begin.summary", ("enter",), (Place.SUMMARY,)),
    Action("submit", ("enter",), (Place.STAND,)),
    Action("play", ("enter",), (Place.TIME,)),
    Action("onward", ("tab",), (Place.TIME,)),
    Action("faster", ("right",), (Place.TIME,)),
    Action("slower", ("left",), (Place.TIME,)),
    Action("hear.time", ("full_stop",), (Place.TIME,)),
    Action("letters", ("l",), (Place.TIME,)),
    Action("eighths", ("e",), (Place.TIME,)),
    Action("tapped", ("t",), (Place.TIME,)),
    Action("clicks", ("k",), (Place.TIME,)),
    Action("calibrate", ("c",), (Place.TIME,)),
    Action("begin.tapping", ("enter",), (Place.TAPPING,)),
    Action("listen.tapping", ("m",), (Place.TAPPING,)),
    Action("record.take", ("enter",), (Place.TAKE,)),
    Action("turn", ("tab",), (Place.TAKE,)),
    Action("left.take", ("left",), (Place.TAKE,)),
    Action("right.take", ("right",), (Place.TAKE,)),
    Action("clicks.take", ("k",), (Place.TAKE,)),
    Action("keep.take", ("s",), (Place.TAKE,)),
    Action("result", ("r",), (Place.TAKE,)),
    Action("slower.take", ("down",), (Place.TAKE,)),
    Action("faster.take", ("up",), (Place.TAKE,)),
    Action("tempi", ("t",), (Place.TAKE,)),
    Action("back.take", ("escape", "q"), (Place.TAKE,)),
    Action("back.tapping", ("escape",), (Place.TAPPING,)),
    Action("back.time", ("escape",), (Place.TIME,)),
    Action("mute", ("z",), (Place.STAND, Place.SUMMARY, Place.TIME)),
    Action("mute.tapping", ("z",), (Place.TAPPING,)),
    Action("show", ("tab",), (Place.STAND,)),
    Action("hear", ("full_stop",), (Place.STAND,)),
    Action("walk", ("ctrl+r",), (Place.STAND,)),
    Action("sharpen", ("up",), (Place.STAND,)),
    Action("flatten", ("down",), (Place.STAND,)),
    Action("back.form", ("escape", "q"), (Place.FORM,)),
    Action("back.pick", ("escape",), _PICKS),
    Action("back.stand", ("escape",), (Place.STAND,)),
    Action("up", ("up", "k"), _LISTS),
    Action("down", ("down", "j"), _LISTS),
    Action("left", ("left", "h"), (Place.MAP, Place.DECKS)),
    Action("right", ("right", "l"), (Place.MAP, Place.DECKS)),
    Action("left.form", ("left", "h"), (Place.FORM,)),
    Action("right.form", ("right", "l"), (Place.FORM,)),
    Action("first", ("home",), _LISTS),
    Action("last", ("end",), _LISTS),
    Action("change", ("enter",), (Place.FORM,)),
    Action("take", ("enter",), _PICKS),
    Action("mark", ("tab",), _PICKS),
    Action("hear.pick", ("right",), _PICKS),
    Action("up.pick", ("up",), _PICKS),
    Action("down.pick", ("down",), _PICKS),
    Action("first.pick", ("home",), _PICKS),
    Action("last.pick", ("end",), _PICKS),
    Action("measure", ("space",), (Place.MAP,)),
    Action("walk.map", ("r",), (Place.MAP,)),
    Action("open", ("o",), (Place.MAP,)),
    Action("open.report", ("enter", "o"), (Place.REPORT,)),
    Action("table", ("tab", "right"), (Place.REPORT,)),
    Action("table_before", ("left",), (Place.REPORT,)),
    Action("sort", ("s",), (Place.REPORT,)),
    Action("direction", ("space",), (Place.DECKS,)),
    Action("own", ("o",), (Place.TODAY,)),
    Action("edit", ("e",), (Place.DECKS,)),
    Action("record.decks", ("r",), (Place.DECKS,)),
    Action("trips", ("w",), (Place.TODAY, Place.MAP, Place.SUMMARY)),
    Action("decks", ("d",), (Place.TODAY,)),
    Action("map", ("m",), (Place.TODAY, Place.DECKS, Place.SUMMARY)),
    Action("horn", ("p",), (Place.TODAY,)),
    Action("teacher", ("c",), (Place.TODAY,)),
    Action("settings", ("s",), (Place.TODAY,)),
    Action("time", ("t",), (Place.TODAY, Place.SUMMARY)),
    Action("mute.today", ("z",), (Place.TODAY,)),
    Action("help", ("question_mark", "f1"), tuple(p for p in Place if p not in (Place.HELP, Place.CONFIRM, Place.OPENING, *_PICKS))),
    Action("help.pick", ("f1",), _PICKS),
    Action("back", ("escape", "q"), (Place.DECKS, Place.MAP, Place.TRIPS, Place.REPORT, Place.ERRAND, Place.HELP, Place.SUMMARY, Place.OPENING)),
    Action("quit_now", ("q", "escape"), (Place.TODAY,)),
    Action("yes", ("enter", "y"), (Place.CONFIRM,)),
    Action("no", ("escape", "n"), (Place.CONFIRM,)),
    Action("quit_asked", ("ctrl+c",), _EVERYWHERE),
    Action("suspend", ("ctrl+z",), _EVERYWHERE),
)  # fmt: skip
"""Order is that of the last line, the most needed first."""

_SHOWN = {
    "enter": "enter", "escape": "esc", "full_stop": ".", "question_mark": "?", "space": "space",
    "number_sign": "#", "f1": "F1", "home": "home", "end": "end",
}  # fmt: skip
_LAST = ("help", "back", "quit_now")
"""What must be seen however narrow the screen."""


def at(place: Place) -> tuple[Action, ...]:
    """The actions of a screen."""
    return tuple(action for action in ACTIONS if place in action.places)


def keys_of(action: Action, keymap: Mapping[str, str]) -> tuple[str, ...]:
    """The keys in force: the player's own, else the action's."""
    own = keymap.get(action.id, "")
    return tuple(key.strip() for key in own.split(",") if key.strip()) or action.keys


def key_for(action_id: str, keymap: Mapping[str, str], glyphs: Glyphs) -> str:
    """The first key in force of an action, as it is called among words."""
    action = next(each for each in ACTIONS if each.id == action_id)
    return shown_key(keys_of(action, keymap)[0], glyphs)


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
    kept = [a for a in listed if a.verb in _LAST]
    for action in (a for a in listed if a.verb not in _LAST):
        trial = [a for a in listed if a in kept or a is action]
        if _width(trial, glyphs, keymap, instead) <= width - 2:
            kept.append(action)
    while kept and _width(kept, glyphs, keymap, instead) > width - 2:
        kept.pop(0)
    spans: list[Stretch] = [Stretch(" ")]
    for action in (a for a in listed if a in kept):
        key, word = _texts(action, glyphs, keymap, instead)
        spans += [Stretch(key, Role.KEY), Stretch(f" {word}   ", Role.DIM)]
    return tuple(spans[:-1]) + ((Stretch(spans[-1].text.rstrip(), Role.DIM),) if spans[1:] else ())


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
