"""HTML from data: every text is escaped here, and nowhere else."""

from __future__ import annotations

from html import escape

from drill.shown import harmless


class Safe(str):
    """HTML that this module made."""

    __slots__ = ()


Child = str | Safe | None
"""A text to be escaped, finished HTML, or nothing."""

_EMPTY = frozenset({"meta", "br", "rect", "circle", "line", "path", "col"})


def inner(*children: Child) -> Safe:
    """The children one after the other; control characters of a text are spelled out."""
    return Safe(
        "".join(
            child if isinstance(child, Safe) else escape(harmless(child), quote=True)
            for child in children
            if child is not None
        )
    )


def tag(name: str, /, *children: Child, **attributes: str | float | None) -> Safe:
    """An element; ``class_`` is ``class``, ``data_x`` is ``data-x``, None leaves it out."""
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if name in _EMPTY:
        return Safe(f"<{name}{given}>" if name in ("meta", "br", "col") else f"<{name}{given}/>")
    return Safe(f"<{name}{given}>{inner(*children)}</{name}>")


def _value(value: str | float) -> str:
    if isinstance(value, str):
        return escape(harmless(value), quote=True)
    return f"{value:.2f}".rstrip("0").rstrip(".")
