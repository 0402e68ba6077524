"""The signs on screen, in two sets: Unicode, and ASCII for terminals that have no more.

Whatever a view gives, ``Glyphs.text`` passes only what the set has: with ``ASCII``
nothing at or above 0x80 reaches the terminal.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache
from typing import Any

_TO_ASCII = str.maketrans(
    {
        "♯": "#", "♭": "b", "♮": "n", "𝄪": "x", "𝄫": "bb", "·": "-", "…": "...", "–": "-",
        "—": "-", "→": "->", "←": "<-", "↑": "^", "↓": "v", "×": "x", "’": "'", "‘": "'",
        "“": '"', "”": '"', "ß": "ss",
    }
)  # fmt: skip
_DOUBLES = str.maketrans({"𝄪": "x", "𝄫": "♭♭"})


@dataclass(frozen=True, slots=True)
class Glyphs:
    """One set of signs; each is one cell wide but for the words of verdicts in ASCII."""

    unicode: bool
    sharp: str
    flat: str
    natural: str
    head: str
    staff_line: str
    stem: str
    beam: str
    bar: str
    clef: tuple[str, str, str]
    """The box round the clef's letter: above, on (with ``{}``) and below its line."""
    right: str
    near: str
    wrong: str
    missing: str
    extra: str
    pointer: str
    dot: str
    """Between two statements on a line."""
    dash: str
    ellipsis: str
    up: str
    down: str
    block: str
    """A cell of a bar."""
    spark: str
    """Heights of a curve, the lowest first."""
    levels: tuple[str, str, str, str, str]
    """Untried, shaky, holding, fading, by heart: a sign beside each word."""

    def text(self, text: str) -> str:
        """The text in this set's characters; what has no place in it becomes ``?``."""
        if self.unicode:
            return text.translate(_DOUBLES)
        return _ascii(text)

    def spelled(self, text: str) -> str:
        """An ASCII spelling such as ``Bb`` or ``F##`` as it is shown: ``B♭``, ``Fx``."""
        if not text or not self.unicode:
            return text
        if text[0] in "b#":  # a chord function such as bII7
            return ("♭" if text[0] == "b" else "♯") + text[1:]
        signs = text[1:].replace("##", "x").replace("#", "♯").replace("b", "♭")
        return text[0] + signs


@cache
def _ascii(text: str) -> str:
    known = text.translate(_TO_ASCII)
    parted = "".join(
        c for c in unicodedata.normalize("NFKD", known) if not unicodedata.combining(c)
    )
    return parted.encode("ascii", "replace").decode("ascii")


_SIGNS: dict[str, tuple[Any, Any]] = {
    "unicode": (True, False),
    "sharp": ("♯", "#"),
    "flat": ("♭", "b"),
    "natural": ("♮", "n"),
    "head": ("●", "@"),
    "staff_line": ("─", "-"),
    "stem": ("│", "|"),
    "beam": ("━", "="),
    "bar": ("│", "|"),
    "clef": (("╭─╮", "┤{}├", "╰─╯"), ("+-+", "|{}|", "+-+")),
    "right": ("✓", "+"),
    "near": ("≈", "~"),
    "wrong": ("✗", "x"),
    "missing": ("–", "_"),
    "extra": ("+", "&"),
    "pointer": ("▸", ">"),
    "dot": ("·", "-"),
    "dash": ("–", "-"),
    "ellipsis": ("…", "..."),
    "up": ("↑", "^"),
    "down": ("↓", "v"),
    "block": ("█", "#"),
    "spark": ("▁▂▃▄▅▆▇█", "_.:-=+*#"),
    "levels": (("·", "○", "◐", "◕", "●"), (".", "o", "*", "%", "#")),
}
"""Each sign in both sets."""
UNICODE, ASCII = (Glyphs(**{name: pair[at] for name, pair in _SIGNS.items()}) for at in (0, 1))
