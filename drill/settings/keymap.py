"""Keys given to actions: how keys are called, and which remappings can stand together.

The table of actions belongs to the screens; here its ids and keys are handed in.
A key has one name: ``m``, ``M``, ``f2``, ``escape``, ``question_mark``, ``ctrl+e``.
Characters that are no letters or digits are called by their Unicode names, but for
the few in ``_SHORT``.
"""

from __future__ import annotations

import string
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from drill.decks.fields import FaultReport, nearest, type_word
from drill.decks.locate import Path
from drill.errors import UsageError
from drill.settings.catalogue import KEYS
from drill.settings.values import Remap
from drill.shown import first_harmful, is_harmful, quoted
from drill.terms import LETTERS, Name
from drill.theory.language import Language
from drill.theory.names import say_name, show_name

MOST_KEYS = 8
"""Keys of one action."""
MOST_HINTS = 20
"""Unknown actions of one file for which the nearest id is looked up: it takes a millisecond."""
LONGEST_ID = 60
"""Characters of an action's id."""

_MODIFIERS = {
    "alt": "alt",
    "option": "alt",
    "ctrl": "ctrl",
    "control": "ctrl",
    "shift": "shift",
    "meta": "meta",
    "super": "super",
    "cmd": "super",
    "hyper": "hyper",
}
_SHORT = {
    "solidus": "slash",
    "reverse_solidus": "backslash",
    "commercial_at": "at",
    "hyphen_minus": "minus",
    "plus_sign": "plus",
    "low_line": "underscore",
}
_ALIASES = {
    "esc": "escape",
    "return": "enter",
    "del": "delete",
    "ins": "insert",
    "pgup": "pageup",
    "pgdn": "pagedown",
    "page_up": "pageup",
    "page_down": "pagedown",
    "spacebar": "space",
}
_SAME = {
    "ctrl+i": "tab",
    "ctrl+m": "enter",
    "ctrl+h": "backspace",
    "ctrl+left_square_bracket": "escape",
    "ctrl+space": "ctrl+at",
}
"""Pairs that a terminal sends as one and the same byte."""
_NAMED = frozenset(
    (
        *("escape", "enter", "tab", "space", "backspace", "delete", "insert"),
        *("up", "down", "left", "right", "home", "end", "pageup", "pagedown"),
        *(f"f{number}" for number in range(1, 25)),
    )
)


def _named(character: str) -> str | None:
    """The name of a character's key; None where it has none."""
    if character == " ":
        return "space"
    if is_harmful(character) or character.isspace():
        return None
    if character.isalnum():
        return character
    name = unicodedata.name(character, "").lower().replace("-", "_").replace(" ", "_")
    return _SHORT.get(name, name) or None


_PUNCTUATION = frozenset(name for sign in string.punctuation if (name := _named(sign)))


def key_name(text: str) -> str | None:
    """The one name of the key that a text means; None where it means none.

    A single character is that key; ``esc``, ``control+E`` and ``ctrl+m`` are read as
    ``escape``, ``ctrl+e`` and ``enter``.
    """
    text = text.strip() or text
    if len(text) == 1:
        return _named(text)
    *before, last = text.split("+")
    if text.endswith("++"):  # the plus key itself
        before, last = before[:-1], "+"
    modifiers = {_MODIFIERS.get(each.strip().casefold(), "") for each in before}
    if "" in modifiers:
        return None
    key = _named(last) if len(last) == 1 else _word(last.strip().casefold())
    if key is None:
        return None
    if modifiers == {"shift"} and len(key) == 1 and key.upper() != key and len(key.upper()) == 1:
        return key.upper()
    if modifiers and len(key.lower()) == 1:
        key = key.lower()
    name = "+".join([*sorted(modifiers), key])
    return _SAME.get(name, name)


def _word(word: str) -> str | None:
    word = _ALIASES.get(word, _SHORT.get(word, word))
    return word if word in _NAMED or word in _PUNCTUATION else None


@dataclass(frozen=True, slots=True)
class KnownAction:
    """An action of the program, as far as its keys go."""

    id: str
    keys: tuple[str, ...]
    """The keys that it comes with."""
    where: tuple[str, ...] = ()
    """The screens on which it works; empty for all of them."""
    fixed: bool = False
    """True where its keys cannot be changed, such as those that type notes."""


def typing(*where: str) -> KnownAction:
    """The keys that type notes in any language: no action of those screens can have them."""
    signs = {" ", ",", "#", "+", "-", "x", "♯", "♭", "♮"}
    for language in set(Language) - {Language.MOVABLE}:
        for letter in LETTERS:
            for alter in range(-2, 3):
                name = Name(letter, alter)
                signs |= set(show_name(name, language) + say_name(name, language))
    both = sorted(signs | {sign.upper() for sign in signs} | {sign.lower() for sign in signs})
    names = (_named(sign) for sign in both)
    return KnownAction("typing notes", (*(n for n in names if n), "backspace"), where, fixed=True)


@dataclass(frozen=True, slots=True)
class Wish:
    """A remapping as it stands in a file; whether it can be granted is another question."""

    remap: Remap
    report: FaultReport
    path: Path

    def refuse(self, message: str, hint: str = "") -> None:
        """Notes why it is not granted."""
        self.report.at_value(self.path, f"{self.remap.action}: {message}", hint)


def wishes(
    table: Mapping[str, object], report: FaultReport, known: Sequence[KnownAction] | None
) -> dict[str, Wish]:
    """The remappings in the table of keys, by action; those that cannot be read are noted.

    ``stand.mute = "m"`` and ``"stand.mute" = "m"`` mean the same.  ``known`` None
    takes any id.
    """
    found: dict[str, Wish] = {}
    strangers = 0
    for path, value in _flat(table, (KEYS,)):
        action = ".".join(str(part) for part in path[1:])
        if action in found:
            report.at_key(path, f"{quoted(action)} is given twice", "keep one")
            continue
        fault = _no_action(action, known, near=strangers < MOST_HINTS)
        if fault:
            strangers += 1
            report.at_key(path, *fault)
            continue
        keys = _keys(value, report, path, action)
        if keys:
            found[action] = Wish(Remap(action, keys), report, path)
    return found


def _flat(table: Mapping[str, object], path: Path) -> Iterator[tuple[Path, object]]:
    """Every value with its path, tables within tables opened."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _flat(value, (*path, key))
        else:
            yield (*path, key), value


def _no_action(
    action: str, known: Sequence[KnownAction] | None, *, near: bool = True
) -> tuple[str, str] | None:
    """What is wrong with an action's id: message and hint; None where nothing is."""
    if len(action) > LONGEST_ID or first_harmful(action) is not None:
        return f"{quoted(action)} cannot be an action", f"plain text, {LONGEST_ID} characters"
    if known is None:
        return None
    match = next((each for each in known if each.id == action), None)
    if match is None:
        ids = [each.id for each in known if not each.fixed]
        hint = nearest(action, ids) if near else ""
        return f"there is no action {quoted(action)}", hint or "help lists the actions"
    if match.fixed:
        return f"the keys of {action} cannot be changed", ""
    return None


def _keys(value: object, report: FaultReport, path: Path, action: str) -> tuple[str, ...] | None:
    """The keys of one action; None, and noted, where any of them is none."""
    texts = [value] if isinstance(value, str) else value
    example = 'such as "m" or ["m", "f2"]'
    if not isinstance(texts, list):
        report.at_value(path, f"{action}: expected a key, found {type_word(value)}", example)
        return None
    if not 1 <= len(texts) <= MOST_KEYS:
        message = f"{action}: expected 1 to {MOST_KEYS} keys, found {len(texts)}"
        report.at_value(path, message, "leave it out for the program's own")
        return None
    kept: list[str] = []
    for index, text in enumerate(texts):
        at = path if isinstance(value, str) else (*path, index)
        name = key_name(text) if isinstance(text, str) else None
        if name is None:
            found = quoted(text) if isinstance(text, str) else type_word(text)
            hint = nearest(text, _NAMED | _PUNCTUATION) if isinstance(text, str) else ""
            report.at_value(
                at, f"{action}: {found} is not a key", hint or 'such as "m", "f2" or "ctrl+e"'
            )
            return None
        if name not in kept:
            kept.append(name)
    return tuple(kept)


def granted(
    levels: Sequence[Mapping[str, Wish]], known: Sequence[KnownAction] | None
) -> tuple[Wish, ...]:
    """The remappings that stand together, highest level first where levels differ.

    A wish for a key that another action has on the same screen is noted and passed
    over; of two wishes for one key the later is.  Keys may change places.  A clash
    that the program itself comes with is not the player's fault.  ``known`` None
    leaves clashes unseen.
    """
    waiting: dict[str, list[Wish]] = {}
    for level in levels:
        for action, wish in level.items():
            waiting.setdefault(action, []).append(wish)
    while True:
        chosen = {action: queue[0] for action, queue in waiting.items() if queue}
        clash = _clash(chosen, known or ())
        if clash is None:
            return tuple(chosen.values())
        loser, key, other = clash
        hint = "take another key" if other.fixed else f"give {other.id} another key too"
        loser.refuse(f"the key {key} belongs to {other.id}", hint)
        waiting[loser.remap.action].pop(0)


def _clash(
    chosen: Mapping[str, Wish], known: Sequence[KnownAction]
) -> tuple[Wish, str, KnownAction] | None:
    """The first wish that cannot stand, with the key and the action that it clashes with.

    A key that an action had before is not what made the clash.  One with a key that the program
    gives comes first: a wish that cannot be granted must not push out another.
    """
    own = {each.id: {key_name(key) or key for key in each.keys} for each in known}
    keys = {each.id: own[each.id] for each in known}
    keys |= {action: set(wish.remap.keys) for action, wish in chosen.items()}
    place = {action: index for index, action in enumerate(chosen)}
    between_wishes = None
    for one, two in product(known, known):
        if one is two or one.id not in chosen or not _meet(one, two):
            continue
        for key in sorted((keys[one.id] - own[one.id]) & keys[two.id]):
            if two.id not in chosen:
                return chosen[one.id], key, two
            if key in own[two.id] or place[one.id] > place[two.id]:
                between_wishes = between_wishes or (chosen[one.id], key, two)
    return between_wishes


def _meet(one: KnownAction, two: KnownAction) -> bool:
    """Whether both can be used on one screen."""
    return not one.where or not two.where or not set(one.where).isdisjoint(two.where)


def from_text(
    action: str, text: str, report: FaultReport, known: Sequence[KnownAction] | None
) -> tuple[str, ...]:
    """The keys as a person wrote them, apart from each other by spaces, checked.

    Raises UsageError for an action that is not there or cannot be changed; a key that
    cannot be read is noted in the report.
    """
    fault = _no_action(action, known)
    if fault:
        message, hint = fault
        raise UsageError(f"{message} ({hint})" if hint else message)
    texts = text.split()
    return tuple(texts) if _keys(list(texts), report, (), action) else ()
