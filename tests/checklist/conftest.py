"""The program on a terminal, for all tests of the checklist."""

from program import start

__all__ = ["start"]
