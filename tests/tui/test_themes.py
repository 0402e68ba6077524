"""The themes: in force from the first frame, and legible by the published contrast rule.

Contrast is that of WCAG 2.2 (relative luminance; 4.5 to 1 for text, 3 to 1 for graphics,
7 to 1 for enhanced contrast), with the formula from memory.
"""

from __future__ import annotations

import pytest
from tui_desk import Setup, play, until

from drill.settings.values import Theme
from drill.theory.engine import Engine
from drill.tui.glyphs import UNICODE
from drill.tui.looks import Looks
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
def test_a_theme_is_in_force(theme: Theme, home, spelling_engine: Engine) -> None:  # type: ignore[no-untyped-def]
    setup = Setup(home, spelling_engine)
    trainer = Trainer(setup.context(), Looks(UNICODE, theme, monochrome=False))

    async def scenario() -> None:
        async with trainer.run_test(size=(80, 24)) as pilot:
            await until(pilot, trainer, "Today")
            page = trainer.screen.query_one(Page)
            assert page.styles.background.hex.lower() == look(theme).background

    play(scenario())


@pytest.mark.parametrize("theme", OWN)
def test_every_theme_gives_the_same_names(theme: Theme) -> None:
    assert variables(theme).keys() == variables(Theme.TERMINAL).keys()
