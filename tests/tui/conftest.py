"""An engine and a home, for all tests of the screens."""

from tui_desk import home, spelling_engine

__all__ = ["home", "spelling_engine"]
