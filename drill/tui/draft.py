"""What is being typed, as a value: a key gives a new draft, or is no key for it.

The end of the text is the only place where it changes; answers are short.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

LONGEST = 400
"""Characters that an answer holds; as many as the marking reads, which is loaded later."""
NOT_TYPED = frozenset("zZ?.")
"""Characters that are keys and never text: no note name of any language has them."""
TAKE_BACK = "backspace"
"""The key that takes a character, or in time a note, back."""
_NAMED = {"number_sign": "#", "plus": "+", "minus": "-", "comma": ",", "space": " "}
"""Keys that some terminals send by name, without a character."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A text being typed."""

    text: str = ""
    keystrokes: int = 0
    """Keys pressed since the prompt; a paste counts as one."""
    longest: int = LONGEST
    """Characters that it holds."""

    def key(self, key: str, character: str | None, *, anything: bool = False) -> Draft | None:
        """The draft after a key; None where the key is not for typing.

        ``anything`` takes every printable character, also those that are keys elsewhere.
        """
        if key == TAKE_BACK:
            return self._with(self.text[:-1])
        if key == "ctrl+u":
            return self._with("")
        if key == "ctrl+w":
            return self._with(_without_last(self.text))
        sign = typed(key, character)
        if sign is None and anything and character and character.isprintable():
            sign = character
        return None if sign is None else self.insert(sign)

    def insert(self, text: str) -> Draft:
        """The draft with a text at its end."""
        return self._with(self.text + text)

    def paste(self, text: str) -> Draft:
        """The draft with a pasted text at its end, on one line."""
        shown = "".join(sign if sign.isprintable() else " " for sign in text[: 2 * self.longest])
        return self._with(self.text + re.sub(r"\s+", " ", shown))

    def _with(self, text: str) -> Draft:
        return replace(self, text=text[: self.longest], keystrokes=self.keystrokes + 1)


def _without_last(text: str) -> str:
    """The text without its last note: what stands after the last space, or of a word that runs
    together from its last capital on."""
    word = re.search(r"\S+\s*$", text)
    if word is None:
        return ""
    capitals = [found.start() for found in re.finditer(r"[A-Z]", word[0])]
    return text[: word.start() + (capitals[-1] if capitals else 0)]


def typed(key: str, character: str | None) -> str | None:
    """The character a key stands for; None where it types nothing.

    Terminals with the newer keyboard protocol may send ``#`` as a key with shift and
    no character.
    """
    if character is None:
        bare = key.removeprefix("shift+")
        if bare in _NAMED:
            character = _NAMED[bare]
        elif len(bare) == 1 and bare.isalnum():
            character = bare.upper() if bare != key else bare
    if character is None or not character.isprintable() or character in NOT_TYPED:
        return None
    return character
