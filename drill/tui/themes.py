"""The four themes.  Each defines the same names, by which the roles of text are painted.

``TERMINAL`` uses the terminal's own colours and background and nothing but the
sixteen; with NO_COLOR it is the one in use, and leaves bold, dim and reverse.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from textual.theme import Theme as Look

from drill.settings.values import Theme
from drill.tui.text import Role

FAINT = "faint-style"
"""The theme's name of the style of what is faint."""
TERMINAL = "ansi-dark"
"""Textual's own theme of the terminal's colours; its background is the terminal's too, so
that it serves light terminals as well."""


def look(theme: Theme) -> Look:
    """The colours of a theme other than ``TERMINAL``."""
    return _LOOKS[theme]


def variables(theme: Theme) -> dict[str, str]:
    """The names of ours that a theme gives to the style sheet."""
    return _TERMINAL if theme is Theme.TERMINAL else dict(_LOOKS[theme].variables)


def _variables(faint: str, staff: str, given: str, key: str, faint_style: str) -> dict[str, str]:
    return {
        "faint": faint,
        FAINT: faint_style,
        "staff": staff,
        "given": given,
        "key": key,
    }


INKS: Mapping[Role, tuple[str, str]] = MappingProxyType(
    {
        Role.PLAIN: ("foreground", ""),
        Role.DIM: ("faint", FAINT),
        Role.STRONG: ("foreground", "bold"),
        Role.TITLE: ("primary", "bold"),
        Role.STAFF: ("staff", FAINT),
        Role.HEAD: ("foreground", "bold"),
        Role.GIVEN: ("given", ""),
        Role.RIGHT: ("success", "bold"),
        Role.NEAR: ("warning", "bold"),
        Role.WRONG: ("error", "bold"),
        Role.KEY: ("key", "bold"),
        Role.CHOSEN: ("foreground", "bold"),
        Role.CARET: ("foreground", "reverse"),
        Role.NOTICE: ("warning", ""),
    }
)
"""How each role looks: the theme's name of its colour, and its style.  No role is told from another
by colour alone.  In a style sheet each would be styled three times before the first frame."""

_TERMINAL = _variables("ansi_default", "ansi_default", "ansi_cyan", "ansi_default", "dim")

_LOOKS = {
    Theme.DARK: Look(
        name="drill-dark",
        primary="#d7c49a",
        foreground="#dedbd3",
        background="#16181b",
        surface="#16181b",
        panel="#202327",
        success="#8fc48a",
        warning="#e0b15e",
        error="#ea8a78",
        dark=True,
        variables=_variables("#9a978f", "#6d7076", "#9fb6d0", "#d7c49a", "none"),
    ),
    Theme.LIGHT: Look(
        name="drill-light",
        primary="#6b4e12",
        foreground="#22252a",
        background="#faf8f2",
        surface="#faf8f2",
        panel="#efebe0",
        success="#1f6b2d",
        warning="#7d5200",
        error="#a32a17",
        dark=False,
        variables=_variables("#63615b", "#8f8c83", "#2b4f7d", "#6b4e12", "none"),
    ),
    Theme.HIGH_CONTRAST: Look(
        name="drill-high-contrast",
        primary="#ffff00",
        foreground="#ffffff",
        background="#000000",
        surface="#000000",
        panel="#000000",
        success="#55ff55",
        warning="#ffff55",
        error="#ff8888",
        dark=True,
        variables=_variables("#ffffff", "#ffffff", "#55ffff", "#ffff00", "none"),
    ),
}
