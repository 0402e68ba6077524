"""A deck that is being written, as the values of its file; faults are the file's own."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from typing import Any

from drill.decks.build import build
from drill.decks.keychoice import group, window_text
from drill.decks.schema import AskKind, Deck
from drill.decks.syntax import parse
from drill.decks.write import write
from drill.errors import FaultsError
from drill.terms import Key
from drill.theory.instruments import OWN
from drill.theory.scales import signature
from drill.wording.forms import OWN_TITLE
from drill.wording.forms import TURNS as WORDS

Values = dict[str, Any]
"""The values of a deck file."""

NEW: Mapping[str, Any] = {
    "title": OWN_TITLE,
    "instrument": OWN,
    "patterns": ["return3"],
    "scales": ["major"],
    "keys": window_text(4, 4),
    "practice": {"prompts": 20},
}
"""What a new practice begins with."""
WIDEST = 7
"""The most sharps or flats of a key signature."""


def _turned(name: str, values: tuple[Any, ...]) -> Mapping[str, Any]:
    return dict(zip(WORDS[name], values, strict=True))


TURNS: Mapping[str, tuple[Mapping[str, Any], Any]] = {
    "directions": (
        _turned("directions", (["up", "down"], ["up"], ["down"])),
        ["up", "down"],
    ),
    "span": (
        _turned("span", (1, 2, "octaves", "full")),
        1,
    ),
    "range": (
        _turned("range", ("standard", "extended")),
        "standard",
    ),
}
"""What has a few values: what each is called, and what stands where nothing is said."""
_PLAIN_KINDS = [each.value for each in (AskKind.NEXT, AskKind.DEGREE, AskKind.RUN)]


class DeckDraft:
    """The values of one deck, changed one by one."""

    def __init__(self, deck: Deck | None = None) -> None:
        """``deck`` is changed; None begins a new one."""
        self.path = deck.path if deck else None
        self._values: Values = dict(NEW)
        if deck is not None:
            self._values, _ = parse(write(deck), "deck")

    @property
    def values(self) -> Values:
        """The values as they stand now: what is changed later does not change them."""
        return dict(self._values)

    def deck(self) -> Deck:
        """The deck as it stands.  Raises FaultsError."""
        return build(self._values, "deck", path=self.path)

    def faults(self) -> tuple[str, ...]:
        """What is wrong with it, a sentence each, the value's name first."""
        try:
            self.deck()
        except FaultsError as error:
            return tuple(each.told for each in error.faults)
        return ()

    def get(self, name: str, default: Any = None) -> Any:
        """A value, such as ``practice.prompts``; the default where it is not said."""
        table, _, key = name.rpartition(".")
        owner = self._values.get(table, {}) if table else self._values
        return owner.get(key, default)

    def set(self, name: str, value: Any) -> None:
        """Put a value; None takes it away."""
        table, _, key = name.rpartition(".")
        owner = dict(self._values.get(table, {})) if table else self._values
        owner.pop(key, None)
        if value is not None:
            owner[key] = value
        if table:
            self._values[table] = owner

    def listed(self, name: str, default: list[str]) -> list[str]:
        """A list of words."""
        found = self.get(name, default)
        return [found] if isinstance(found, str) else [str(each) for each in found]

    @property
    def kinds(self) -> list[str]:
        """The kinds of prompt."""
        return self.listed("practice.ask", _PLAIN_KINDS)

    @property
    def keys(self) -> tuple[Key, ...]:
        """The written keys; empty while the deck has faults."""
        try:
            return self.deck().keys
        except FaultsError:
            return ()

    @property
    def window(self) -> tuple[int, int] | None:
        """Most sharps and most flats, where the keys are a window; None where they are picked."""
        keys = self.get("keys", "all")
        if not isinstance(keys, str) or not (keys == "all" or keys.startswith("up to")):
            return None
        fifths = [signature(key) for key in group(keys, "major") or ()]
        return max([0, *fifths]), -min([0, *fifths])

    def turn(self, name: str, by: int) -> None:
        """Take the next value, the one before where ``by`` is -1."""
        window = self.window
        if name == "keys":
            picked = [str(key.tonic) for key in self.keys] or ["C"]
            self.set("concert_keys", None)
            self.set("keys", window_text(4, 4) if window is None else picked)
        elif window is not None and name in ("window", "sharps", "flats"):
            self.set("keys", window_text(*widened(window, name, by)))
        else:
            words, default = TURNS[name]
            values, here = list(words.values()), self.get(name, default)
            at = values.index(here) if here in values else -by
            self.set(name, values[(at + by) % len(values)])

    def put(self, name: str, text: str) -> None:
        """Take a value that was typed; nothing takes it away.

        Minutes that are given to a new practice decide its length: its number of prompts, of
        which nobody has spoken yet, goes out of their way, and comes back with no minutes.
        """
        new = NEW["practice"]["prompts"]
        prompts, minutes = self.get("practice.prompts"), self.get("practice.minutes")
        value = _typed(name, text.strip())
        self.set(name, value)
        if self.path is not None or name != "practice.minutes":
            return
        if value is None and prompts is None:
            self.set("practice.prompts", new)
        elif _counts(value) and not _counts(minutes) and prompts == new:
            self.set("practice.prompts", None)


def _counts(minutes: Any) -> bool:
    """Whether these are minutes that a practice can have."""
    return isinstance(minutes, int) and minutes > 0


def widened(window: tuple[int, int], name: str, by: int) -> tuple[int, int]:
    """A window wider or narrower by one key: of sharps, of flats, or by the side whose turn it
    is, so that both stay alike."""
    sharps, flats = window
    if name == "window":
        wide = sharps <= flats if by > 0 else sharps > flats
        full = (sharps if wide else flats) == (WIDEST if by > 0 else 0)
        name = "sharps" if wide != full else "flats"
    if name == "sharps":
        sharps = min(WIDEST, max(0, sharps + by))
    else:
        flats = min(WIDEST, max(0, flats + by))
    return sharps, flats


def _typed(name: str, text: str) -> Any:
    """What a text means for a value; as it stands where it is not of its type, so that the
    deck's own fault is told."""
    if not text:
        return None
    if name == "due":
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            return text
    if name in ("tempo", "practice.prompts", "practice.minutes"):
        try:
            number = float(text.replace(",", "."))
        except ValueError:
            return text
        return int(number) if math.isfinite(number) and number == int(number) else number
    return text
