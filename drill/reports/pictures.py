"""The pictures of a report: squares whose area is what is not recalled.

A square as large as its place is wholly forgotten, a dot is known, a small ring was not
asked: the same on paper, in the dark, and without colour.
"""

from __future__ import annotations

from collections.abc import Sequence

from drill.reports.classroom import Classroom
from drill.reports.classtext import letters
from drill.reports.figures import count
from drill.reports.markup import Child, Safe, tag
from drill.reports.naming import key_text
from drill.reports.tally import Study

_STEP = 13
"""Pixels from square to square in a student's picture."""


def signs(tonic: str) -> str:
    """A tonic with the signs of print: ``B♭``."""
    return tonic.replace("b", "♭").replace("#", "♯")


def key_signs(key: str) -> str:
    """A key with the signs of print: ``B♭ major``."""
    tonic, _, scale = key_text(key).partition(" ")
    return f"{signs(tonic)} {scale}"


def bar(share: float, label: str) -> Safe:
    """A bar of that share of its length."""
    filled = tag("rect", x=0, y=1, width=max(90 * share, 1), height=8, class_="mark")
    return svg(90, 10, filled, label=label, class_="bar")


def square(recall: float | None, size: float) -> Safe:
    """One square by itself; None was not asked."""
    label = "not asked" if recall is None else ""
    return svg(size, size, mark(recall, size), label=label, class_="sq")


def mark(recall: float | None, size: float, x: float = 0.0, y: float = 0.0) -> Safe:
    """A square whose area is what is not recalled; a small ring where nothing was asked."""
    middle = size / 2
    if recall is None:
        return tag("circle", cx=x + middle, cy=y + middle, r=size / 11, class_="none")
    side = max((1.0 - recall) ** 0.5 * size, size / 12)
    corner = middle - side / 2
    return tag("rect", x=x + corner, y=y + corner, width=side, height=side, class_="mark")


def svg(size_x: float, size_y: float, *children: Child, label: str, class_: str) -> Safe:
    return tag(
        "svg",
        *children,
        viewBox=f"0 0 {size_x:g} {size_y:g}",
        width=size_x,
        height=size_y,
        role="img",
        aria_label=label,
        class_=class_,
    )


def picture(room: Classroom, student: Study, keys: Sequence[str], scale: str) -> Safe:
    """A student's keys (across) by patterns (down)."""
    found = {(each.key, each.shape): each for each in student.squares if each.cells}
    shapes = [
        (at, shape)
        for at, shape in enumerate(room.shapes)
        if any((key, shape) in found for key in keys)
    ]
    children: list[Child] = []
    top = 10 if scale else 0
    if scale:
        children.append(tag("text", scale, x=0, y=7, class_="scale"))
    for row, (at, shape) in enumerate(shapes):
        y = top + row * _STEP
        children.append(tag("text", letters(at), x=0, y=y + 10, class_="side"))
        for column, key in enumerate(keys):
            each = found.get((key, shape))
            recall = each.recall if each else None
            children.append(mark(recall, _STEP - 1, 13 + column * _STEP, y))
    below = top + len(shapes) * _STEP + 8
    for column, key in enumerate(keys):
        tonic = signs(key.partition(":")[0])
        children.append(
            tag("text", tonic, x=13 + (column + 0.5) * _STEP - 0.5, y=below, class_="foot")
        )
    wide = 14 + max(len(keys), 1) * _STEP
    asked = len([key for key, _ in found if key in set(keys)])
    label = f"{student.name}: {count(asked, 'square')} asked, see the tables"
    return svg(wide, below + 3, *children, label=label, class_="mini")
