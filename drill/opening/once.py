"""A deck for once, from the options of a practice: horn, patterns, scale and keys."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from drill.opening.house import House

if TYPE_CHECKING:
    from drill.decks.schema import Deck

# The decks are loaded where they are needed: the first screen is drawn before them.


def add_once(parser: argparse.ArgumentParser) -> None:
    """The options; each is None where it is not given."""
    group = parser.add_argument_group(title="what to play, for once (in place of the deck's own)")
    add = group.add_argument
    add("--instrument", metavar="ID", help="the horn, such as alto_sax or trumpet")
    add("--patterns", metavar="P[,P]", help="patterns or cells: thirds,1-2-3-5")
    add("--scale", metavar="ID[,ID]", help="the scales: major,dorian")
    add("--keys", metavar="KEYS", help='written keys: C,G or "up to 4 sharps, up to 2 flats"')


def deck_for(args: argparse.Namespace, house: House, name: str | None) -> Deck | None:
    """The deck of that name with the options in the place of its own; with options and no name,
    1-2-3-1 on the player's horn in the usual first keys.  None where neither is given.

    Raises UsageError, FaultsError.
    """
    given = (args.instrument, args.patterns, args.scale, args.keys)
    wishes = _wishes(args) if any(each is not None for each in given) else {}
    if not wishes:
        return house.deck(name) if name is not None else None
    from drill.decks.build import build
    from drill.decks.mine import KnownKeys, my_practice
    from drill.decks.syntax import parse
    from drill.decks.write import write
    from drill.wording.options import THE_OPTIONS

    base = house.deck(name) if name is not None else house.opened(my_practice(KnownKeys.ALL))
    values, _ = parse(write(base), THE_OPTIONS)
    if "instrument" in wishes:
        values.pop("horn", None)
    if "keys" in wishes or "scales" in wishes:
        values.pop("concert_keys", None)
    if "scales" in wishes and isinstance(values.get("keys"), dict):
        values.pop("keys")
    if "patterns" in wishes:
        values.pop("pattern", None)
    made = build({**values, **wishes}, THE_OPTIONS)
    return house.opened(replace(made, name=base.name))


def _wishes(args: argparse.Namespace) -> dict[str, Any]:
    """The options as the values of a deck file."""
    from drill.decks.keychoice import keys_value
    from drill.theory.instruments import find_instrument

    found: dict[str, Any] = {}
    if args.instrument is not None:
        found["instrument"] = find_instrument(args.instrument).id
    if args.patterns is not None:
        found["patterns"] = [part.strip() for part in args.patterns.split(",") if part.strip()]
    if args.scale is not None:
        found["scales"] = [part.strip() for part in args.scale.split(",") if part.strip()]
    if args.keys is not None:
        found["keys"] = keys_value(args.keys)
    return found
