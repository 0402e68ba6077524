"""The themes: in force from the first frame, and legible by the published contrast rule.

Contrast is that of WCAG 2.2 (relative luminance; 4.5 to 1 for text, 3 to 1 for graphics,
7 to 1 for enhanced contrast), with the formula from memory.
"""

from __future__ import annotations

import pytest
from tui_desk import Setup
from tui_user import at_keys

from drill.settings.values import Color, GlyphChoice, Settings, Theme
from drill.tui.glyphs import UNICODE
from drill.tui.looks import Looks, prepare
from drill.tui.themes import look, variables
from drill.tui.trainer import Trainer
from drill.tui.widgets.page import Page

OWN = [Theme.DARK, Theme.LIGHT, Theme.HIGH_CONTRAST]


def luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_published_ends() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("theme", OWN)
def test_text_stands_out(theme: Theme) -> None:
    colours = look(theme)
    texts = [colours.foreground, colours.primary, colours.success, colours.warning, colours.error]
    names = variables(theme)
    texts += [names["faint"], names["given"], names["key"]]
    least = 7.0 if theme is Theme.HIGH_CONTRAST else 4.5
    for text in texts:
        assert contrast(str(text), str(colours.background)) >= least, text
    assert contrast(names["staff"], str(colours.background)) >= 3.0


@pytest.mark.parametrize("theme", OWN)
def test_a_theme_is_in_force(theme: Theme, home) -> None:  # type: ignore[no-untyped-def]
    setup = Setup(home)
    trainer = Trainer(setup.context(), Looks(UNICODE, theme, monochrome=False))
    with at_keys(trainer) as user:
        user.see("Today")
        page = trainer.screen.query_one(Page)
        assert page.styles.background.hex.lower() == look(theme).background


@pytest.mark.parametrize("theme", OWN)
def test_every_theme_gives_the_same_names(theme: Theme) -> None:
    assert variables(theme).keys() == variables(Theme.TERMINAL).keys()


@pytest.mark.parametrize(
    ("given", "theme", "monochrome"),
    [
        ({"TERM": "xterm-256color"}, Theme.LIGHT, False),
        ({"TERM": "xterm"}, Theme.TERMINAL, False),
        ({"TERM": "linux"}, Theme.TERMINAL, False),
        ({"TERM": "xterm", "COLORTERM": "truecolor"}, Theme.LIGHT, False),
        ({"TERM": "vt220", "COLORTERM": " 24bit "}, Theme.LIGHT, False),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, Theme.TERMINAL, True),
        ({"TERM": "xterm-256color", "NO_COLOR": ""}, Theme.LIGHT, False),
    ],
)
def test_few_colours_and_none_leave_the_terminal_its_own(
    given: dict[str, str], theme: Theme, monochrome: bool
) -> None:
    wishes = Settings(theme=Theme.LIGHT, glyphs=GlyphChoice.ASCII)
    looks = prepare(wishes, given)
    assert (looks.theme, looks.monochrome) == (theme, monochrome)
    assert given["TEXTUAL_THEME"] == ("ansi-dark" if theme is Theme.TERMINAL else "textual-dark")


@pytest.mark.parametrize(
    ("color", "given", "monochrome"),
    [
        (Color.NEVER, {}, True),
        (Color.ALWAYS, {"NO_COLOR": "1"}, False),
        (Color.AUTO, {"NO_COLOR": "1"}, True),
        (Color.AUTO, {}, False),
    ],
)
def test_a_wish_for_colour_goes_before_the_environment(
    color: Color, given: dict[str, str], monochrome: bool
) -> None:
    wishes = Settings(color=color, glyphs=GlyphChoice.ASCII)
    assert prepare(wishes, {"TERM": "xterm-256color", **given}).monochrome is monochrome


def test_a_theme_says_whether_it_is_dark_as_its_ground_is() -> None:
    for theme in OWN:
        made = look(theme)
        assert made is not None
        assert made.dark == (luminance(made.background or "") < 0.18)
