"""An engine, a home and the screens of a house, for all tests of the screens."""

from real_house import at_a_desk, here, horn, real, trainer
from tui_desk import home, setup, spelling_engine

__all__ = ["at_a_desk", "here", "home", "horn", "real", "setup", "spelling_engine", "trainer"]
