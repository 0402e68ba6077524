"""A home, the screens of a house and their user, for all tests of the screens."""

from real_house import at_a_desk, here, horn, real, trainer
from tui_desk import home, setup
from tui_user import size, user

__all__ = [
    "at_a_desk",
    "here",
    "home",
    "horn",
    "real",
    "setup",
    "size",
    "trainer",
    "user",
]
