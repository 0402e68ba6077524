"""Options that several commands share."""

from __future__ import annotations

import argparse
import datetime as dt

from drill.errors import UsageError
from drill.theory.language import Language


def add_names(parser: argparse.ArgumentParser) -> None:
    """The language of note names."""
    parser.add_argument(
        "--names",
        metavar="LANGUAGE",
        help="note names: english, german, dutch, italian, french, spanish, solfege",
    )


def language_of(args: argparse.Namespace) -> Language:
    """The language asked for, English without one.  Raises UsageError."""
    if args.names is None:
        return Language.ENGLISH
    try:
        return Language(args.names.strip().casefold())
    except ValueError:
        known = ", ".join(language.value for language in Language)
        raise UsageError(f"{args.names!r} is not a language of note names: {known}") from None


def day(text: str) -> dt.date:
    """The day that a person wrote."""
    try:
        return dt.date.fromisoformat(text.strip())
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is not a day: write year-month-day, such as 2030-06-14"
        ) from None
