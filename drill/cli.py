"""The composition root: the command line, the only place that knows every room."""

from __future__ import annotations

import sys

from drill import __version__


def main(argv: list[str] | None = None) -> int:
    """Run the program with these arguments (``sys.argv`` when None); the exit code."""
    args = sys.argv[1:] if argv is None else argv
    if args in (["--version"], ["-V"]):
        print(f"drill {__version__}")
        return 0
    return 2
