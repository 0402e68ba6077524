"""Options that several commands share."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable
from typing import TypeVar

from drill.errors import UsageError
from drill.shown import code_point, first_harmful
from drill.theory.language import Language

_T = TypeVar("_T")


def add_names(parser: argparse.ArgumentParser) -> None:
    """The language of note names."""
    parser.add_argument(
        "--names",
        metavar="LANGUAGE",
        help="note names: english, german, dutch, italian, french, spanish, solfege",
    )


def add_replace(parser: argparse._ActionsContainer) -> None:
    """Whether files that exist may go."""
    parser.add_argument(
        "--replace", action=argparse.BooleanOptionalAction, default=True,
        help="write over files that exist, or leave them (default over)",
    )  # fmt: skip


def language_of(args: argparse.Namespace) -> Language:
    """The language asked for, English without one.  Raises UsageError."""
    if args.names is None:
        return Language.ENGLISH
    try:
        return Language(args.names.strip().casefold())
    except ValueError:
        known = ", ".join(language.value for language in Language)
        raise UsageError(f"{args.names!r} is not a language of note names: {known}") from None


def typed(read: Callable[[str], _T]) -> Callable[[str], _T]:
    """The reader as the type of an option, whose UsageError is the option's."""

    def option(text: str) -> _T:
        try:
            return read(text)
        except UsageError as error:
            raise argparse.ArgumentTypeError(str(error)) from None

    return option


def read_day(text: str) -> dt.date:
    """The day that a person wrote.  Raises UsageError."""
    try:
        return dt.date.fromisoformat(text.strip())
    except ValueError:
        raise UsageError(
            f"{text!r} is not a day: write year-month-day, such as 2030-06-14"
        ) from None


day = typed(read_day)


def need_plain(args: argparse.Namespace, *names: str) -> None:
    """Raises UsageError where one of the options holds what acts on a terminal, or half a
    character; a note may have lines and tabs."""
    for name in names:
        text = getattr(args, name) or ""
        harm = first_harmful(text, "\n\t" if name == "note" else "")
        if harm is not None:
            from drill.wording.options import control_in  # the decks come with it

            raise UsageError(control_in(name, code_point(harm)))


def whole(least: int, most: int) -> Callable[[str], int]:
    """The type of a whole number within bounds."""

    def number(text: str) -> int:
        if text.isdecimal() and least <= int(text) <= most:
            return int(text)
        from drill.wording.options import out_of  # the decks come with it

        raise argparse.ArgumentTypeError(out_of(text, least, most))

    return number
