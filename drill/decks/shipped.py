"""Where the decks that come with the program lie."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1]


def shipped_folder(package: Path = PACKAGE) -> Path:
    """The folder of the shipped decks: in the installed package, else in the checkout."""
    installed = package / "decks_shipped"
    return installed if installed.is_dir() else package.parent / "decks"
