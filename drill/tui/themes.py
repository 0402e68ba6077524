"""The four themes.  Each defines the same names, by which the roles of text are painted.

``TERMINAL`` uses the terminal's own colours and background and nothing but the
sixteen; with NO_COLOR it is the one in use, and leaves bold, dim and reverse.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from textual.theme import Theme as Look

from drill.settings.values import Theme
from drill.tui.text import Role

FAINT = "faint-style"
"""The theme's name of the style of what is faint."""
TERMINAL = "ansi-dark"
"""Textual's own theme of the terminal's colours; its background is the terminal's too, so
that it serves light terminals as well."""


_NAMES = (
    "primary", "foreground", "background", "panel", "success", "warning", "error",
    "faint", "staff", "given",
)  # fmt: skip
_COLOURS = {
    Theme.DARK: "d7c49a dedbd3 16181b 202327 8fc48a e0b15e ea8a78 9a978f 6d7076 9fb6d0",
    Theme.LIGHT: "6b4e12 22252a faf8f2 efebe0 1f6b2d 7d5200 a32a17 63615b 8f8c83 2b4f7d",
    Theme.HIGH_CONTRAST: "ffff00 ffffff 000000 000000 55ff55 ffff55 ff8888 ffffff ffffff 55ffff",
}
"""The colours of each theme, by these names."""
_TERMINAL = {
    "faint": "ansi_default", FAINT: "dim", "staff": "ansi_default", "given": "ansi_cyan",
    "key": "ansi_default",
}  # fmt: skip


def look(theme: Theme) -> Look:
    """The colours of a theme other than ``TERMINAL``."""
    found: dict[str, Any] = {
        name: f"#{code}" for name, code in zip(_NAMES, _COLOURS[theme].split(), strict=True)
    }
    own = {name: found.pop(name) for name in ("faint", "staff", "given")}
    return Look(
        name=f"drill-{theme.value}",
        surface=found["background"],
        dark=theme is not Theme.LIGHT,
        variables={**own, FAINT: "none", "key": found["primary"]},
        **found,
    )


def variables(theme: Theme) -> dict[str, str]:
    """The names of ours that a theme gives to the style sheet."""
    return _TERMINAL if theme is Theme.TERMINAL else look(theme).variables


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
