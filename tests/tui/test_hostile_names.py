"""A name that turns the writing round, or acts, is drawn as question marks."""

from __future__ import annotations

from rich.style import Style

from drill.shown import first_harmful
from drill.tui.text import Role, line
from drill.tui.widgets.page import Page


def test_no_stretch_that_is_drawn_holds_a_control() -> None:
    page = Page.__new__(Page)
    page._inks = {Role.PLAIN: Style.null()}
    segments = page._segments(line("deck a\u202eb\x1b[31m", "c\u200bd"))
    text = "".join(each.text for each in segments)
    assert text == "deck a?b?[31mc?d"
    assert first_harmful(text) is None
