"""A home, the screens of a house and their user, for all tests of the screens."""

from real_house import here, real, trainer
from tui_desk import home, setup
from tui_user import size, user

__all__ = ["here", "home", "real", "setup", "size", "trainer", "user"]
