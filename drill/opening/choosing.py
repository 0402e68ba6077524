"""The runs that a command is about: of a pattern in keys, or of a deck, on any horn.

The options are the same in every command that spells, sounds or prints runs.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import TYPE_CHECKING

from drill.decks.keychoice import group
from drill.decks.schema import Deck, Swing
from drill.errors import FaultsError, TheoryError, UsageError
from drill.opening.house import House
from drill.terms import Descent, Direction, Ending, Instrument, Key, Mode, Name, Pattern, Run, Span
from drill.theory.instruments import find_instrument
from drill.theory.keys import concert_key, sounding_shift, written_key
from drill.theory.limits import limits_of
from drill.theory.patterns import PATTERNS, ROOT_ORDERS, find_pattern
from drill.theory.progressions import home_key, looks_like_progression, with_guide_tones
from drill.theory.runs import build_run
from drill.theory.scales import find_scale, parse_key, tonics
from drill.theory.spelling import moved_note
from drill.wording.options import (
    DIRECTIONS,
    NO_TONIC_FOR_BOTH,
    SCALE_ALONE,
    begin_out,
    down_on_roots,
    groups_out,
    in_a_key,
    neither_told,
    steps_out,
    with_chords,
    with_one_chord,
)
from drill.wording.remarks import run_remarks
from drill.wording.sentence import Sentence

if TYPE_CHECKING:
    from drill.sound.phrasing import Phrase
    from drill.sound.phrasing import SwingRatio as Uneven

BOTH = (Direction.UP, Direction.DOWN)


@dataclass(frozen=True, slots=True)
class RunChoice:
    """A run, and the concert key in which it sounds."""

    run: Run
    concert: Key


@dataclass(frozen=True, slots=True)
class Chosen:
    """What was chosen, in the order in which it is played."""

    choices: tuple[RunChoice, ...]
    """At least one."""
    horn: Instrument | None
    """None where nothing limits the range and written is concert."""
    deck: Deck | None = None
    """The deck with the command's wishes in it; None where a pattern was named."""
    joined: bool = False
    """True walks up and down as one run, the top tonic played once."""
    remarks: tuple[Sentence, ...] = ()
    """What was changed or left out to fit the horn, a sentence each."""

    @property
    def runs(self) -> tuple[Run, ...]:
        """The runs, in the order in which they are played."""
        return tuple(choice.run for choice in self.choices)

    def sounding(self, choice: RunChoice) -> tuple[tuple[int, ...], ...]:
        """MIDI numbers of what sounds: a tuple for each cell, and last the held tonic's own."""
        shift = sounding_shift(choice.run.key, choice.concert, self.horn)
        notes = [*(cell.notes for cell in choice.run.cells), (choice.run.close,)]
        return tuple(tuple(moved_note(note, *shift).midi for note in cell) for cell in notes)


def add_keys(parser: argparse.ArgumentParser) -> None:
    """The keys, the horn, and how the run goes; each is None where it is not given."""
    add = parser.add_argument
    add("--scale", metavar="ID", help="the scale (default major)")
    add("--key", metavar="K[,K]|all", help="written keys (default C)")
    add("--concert-key", metavar="K[,K]|all", help="concert keys, in place of written ones")
    add("--instrument", metavar="ID", help="the horn; without one nothing limits the range")
    add("--lead", action="store_true", help="chords: each to the nearest inversion of the next")
    add("--guide", action="store_true", help="chords: their guide tones alone, 3 and 7")
    add("--begin", type=int, metavar="N", help="the degree on which a run begins and ends")
    add("--groups-of", type=int, metavar="N", help="the notes in groups of N, across the cells")
    add("--step", type=int, metavar="N", help="steps from one start to the next, 1 to 7")
    add("--descent", choices=[each.value for each in Descent], help="how it comes down")
    add("--ending", choices=[each.value for each in Ending], help="what it does at the octave")
    add("--span", choices=[each.value for each in Span], help="how far it goes (default 1)")
    add("--roots", choices=list(ROOT_ORDERS), help="root mode: how the root moves")
    add("--extended", action="store_true", help="the horn's extended range")


def add_directions(parser: argparse.ArgumentParser) -> None:
    """Up, down or both; ``args.directions`` is None where none is given.  And whether joined."""
    group = parser.add_mutually_exclusive_group()
    for (name, text), ways in zip(DIRECTIONS.items(), (BOTH[:1], BOTH[1:], BOTH), strict=True):
        group.add_argument(name, dest="directions", action="store_const", const=ways, help=text)
    parser.add_argument(
        "--joined", action="store_true", help="up and down as one run, the top tonic once"
    )


def pattern_choices(
    args: argparse.Namespace,
    directions: tuple[Direction, ...],
    *,
    joined: bool,
) -> Chosen:
    """The runs of the pattern ``args.pattern`` in the keys asked for.

    ``joined`` places up and down on the same tonic.  Raises UsageError for
    what does not exist or does not fit.
    """
    horn = find_instrument(args.instrument) if args.instrument else None
    pattern = _with_wishes(find_pattern(args.pattern), args)
    home = home_key(args.pattern) if pattern.chords else Key(Name("C"), "major")
    scale = find_scale(args.scale).id if args.scale else home.scale
    found = []
    for written, concert in _keys(args, scale, horn, home.tonic):
        for direction in directions:
            made = build_run(
                written,
                pattern,
                direction,
                span=Span(args.span or "1"),
                horn=horn,
                limits=limits_of(horn, extended=args.extended),
                joined=joined,
            )
            found.append(RunChoice(made, concert))
    return Chosen(tuple(found), horn, joined=joined)


def chosen(args: argparse.Namespace, house: House) -> Chosen:
    """The runs of the deck or pattern ``args.what``, up and down unless asked otherwise.

    A pattern's name goes before a deck's; ``NAME.toml`` is always the deck.  Up and
    down begin each where ``spell`` and a deck have them, or joined on one tonic.  Raises
    UsageError for what does not exist or does not fit,
    FaultsError for a faulty deck.
    """
    deck = _deck(args.what, house)
    if deck is not None:
        return deck_choices(wished(deck, args))
    args.pattern = args.what
    directions = args.directions or BOTH
    apart = pattern_choices(args, directions, joined=False)
    if len(directions) == 1 or not args.joined:
        return replace(apart, remarks=_remarks(apart.runs))
    together = pattern_choices(args, directions, joined=True)
    if _cells(together) < _cells(apart):
        raise UsageError(NO_TONIC_FOR_BOTH)
    return replace(together, joined=True, remarks=_remarks(together.runs))


def _cells(found: Chosen) -> int:
    return sum(len(run.cells) for run in found.runs)


def _remarks(runs: Iterable[Run]) -> tuple[Sentence, ...]:
    """Each run's remarks, said once with the key."""
    return tuple(dict.fromkeys(remark for run in runs for remark in run_remarks(run)))


def deck_choices(deck: Deck) -> Chosen:
    """The runs of a deck, pattern by pattern.  Raises DataError where its horn has none of them."""
    from drill.practice.syllabus import build  # not needed for a pattern

    made = build(deck)
    choices = tuple(RunChoice(run, made.concert(run.key)) for run in made.runs)
    return Chosen(choices, made.horn, deck, deck.joined, made.remarks)


def _deck(text: str, house: House) -> Deck | None:
    """The deck of that name or file; None where the text names a pattern or is a cell."""
    word = text.strip()
    if word in PATTERNS:
        return None
    try:
        return house.deck(word)
    except FaultsError:
        raise
    except UsageError as no_deck:
        if word.endswith(".toml"):
            raise
        try:
            find_pattern(word)
        except TheoryError as no_pattern:
            raise _nothing(word, no_deck, no_pattern) from None
        return None


def _nothing(word: str, no_deck: UsageError, no_pattern: TheoryError) -> UsageError:
    """The better of two reasons: a cell's own for what looks like one, else both."""
    if word[:1].isdecimal() or word.startswith("chord-") or looks_like_progression(word):
        return no_pattern
    return UsageError(neither_told(no_deck, no_pattern))


def wished(deck: Deck, args: argparse.Namespace) -> Deck:
    """The deck with the command's options in the place of its own.

    Concert keys are written anew for another horn.  Raises UsageError.
    """
    if args.instrument:
        deck = deck.played_on(find_instrument(args.instrument))
    horn = deck.horn
    if args.key is not None or args.concert_key is not None:
        pairs = _keys(args, find_scale(args.scale or deck.scales[0]).id, horn, Name("C"))
        concerts = tuple(concert for _, concert in pairs) if args.concert_key else ()
        deck = replace(deck, keys=tuple(key for key, _ in pairs), concert_keys=concerts)
    elif args.scale:
        raise UsageError(SCALE_ALONE)
    if args.extended:
        deck = replace(deck, compass=replace(deck.compass, extended=True))
    patterns = tuple(_with_wishes(pattern, args) for pattern in deck.patterns)
    return replace(
        deck,
        patterns=patterns,
        span=Span(args.span) if args.span else deck.span,
        directions=args.directions or deck.directions,
        joined=deck.joined or bool(args.joined),
    )


def _refuse(pattern: Pattern, args: argparse.Namespace) -> None:
    """Raises UsageError for what is out of bounds or does not go with the pattern."""
    if args.step is not None and not 1 <= args.step <= 7:
        raise UsageError(steps_out(args.step))
    if args.begin is not None and not 1 <= args.begin <= 12:
        raise UsageError(begin_out(args.begin))
    if args.groups_of is not None and not 2 <= args.groups_of <= 12:
        raise UsageError(groups_out(args.groups_of))
    if (args.lead or args.guide) and not pattern.chords:
        raise UsageError(with_chords(pattern.called))
    if args.roots and pattern.chords:
        raise UsageError(with_one_chord(pattern.called))
    if pattern.mode is Mode.KEY and not args.roots:
        return
    rooted = pattern.called if pattern.mode is Mode.ROOT else "--roots"
    keyed = (args.begin, args.groups_of, args.step, args.ending)
    if any(each is not None for each in keyed) or args.span not in (None, Span.ONE):
        raise UsageError(in_a_key(rooted))
    if args.descent not in (None, Descent.RETROGRADE, Descent.SAME_SHAPE):
        raise UsageError(down_on_roots(rooted, args.descent))


def _with_wishes(pattern: Pattern, args: argparse.Namespace) -> Pattern:
    _refuse(pattern, args)
    wishes = {
        "moves_by": args.step,
        "begin": args.begin,
        "groups_of": args.groups_of,
        "descent": Descent(args.descent) if args.descent else None,
        "ending": Ending(args.ending) if args.ending else None,
        "led": args.lead or None,
    }
    pattern = replace(pattern, **{name: wish for name, wish in wishes.items() if wish is not None})
    if args.guide and not pattern.guide:
        pattern = with_guide_tones(pattern)
    if args.roots:
        if pattern.mode is Mode.KEY:
            descent = Descent(args.descent or Descent.RETROGRADE)
            pattern = replace(pattern, mode=Mode.ROOT, descent=descent)
        pattern = replace(pattern, roots=ROOT_ORDERS[args.roots])
    return pattern


def _keys(
    args: argparse.Namespace, scale: str, horn: Instrument | None, home: Name
) -> list[tuple[Key, Key]]:
    """Written and concert key of each run asked for; ``home`` where none is."""
    if args.concert_key is not None:
        concert = _listed(args.concert_key, scale)
        return [(written_key(key, horn), key) for key in concert]
    written = str(home) if args.key is None else args.key
    return [(key, concert_key(key, horn)) for key in _listed(written, scale)]


def _listed(text: str, scale: str) -> list[Key]:
    if text.strip().casefold() == "all":
        return [Key(tonic, scale) for tonic in tonics(scale)]
    keys = group(text.strip(), scale)
    if keys is not None:
        return list(keys)
    return [parse_key(part, scale) for part in text.split(",")]


def phrases(found: Chosen) -> tuple[Phrase, ...]:
    """The runs as they sound; joined, the top tonic once where the run down begins on it."""
    from drill.paper.layout import runs_on
    from drill.sound.phrasing import Phrase

    made = []
    for choice, after in zip_longest(found.choices, found.choices[1:]):
        *cells, (close,) = found.sounding(choice)
        once = found.joined and after is not None and runs_on(choice.run, after.run)
        made.append(Phrase(tuple(cells), choice.run.direction, None if once else close))
    return tuple(made)


def swing_of(deck: Deck) -> Uneven:
    """The deck's swing in the sound room's terms."""
    from drill.sound.phrasing import SwingRatio as Uneven
    from drill.sound.phrasing import read_swing

    return read_swing(deck.swing.value) if isinstance(deck.swing, Swing) else Uneven(deck.swing)
