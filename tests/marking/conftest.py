"""The marker, and a way to ask a cell, for all tests of marking."""

from asking import ask, marker

__all__ = ["ask", "marker"]
