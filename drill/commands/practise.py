"""``drill`` itself: a practice in lines or on screens."""

from __future__ import annotations

import argparse
import contextlib

from drill.commands.options import add_names, typed, whole
from drill.errors import UsageError
from drill.memory.kinds import PLAYED, Kind
from drill.opening.once import add_once
from drill.opening.plan import settings_for
from drill.opening.tools import Tools
from drill.settings.at_hand import dumb

MOST_PROMPTS = 100_000
MOST_MINUTES = 600
MOST_KEYS = 200

EXAMPLES = """\
examples:
  drill                                        what is due today
  drill --deck tricky-keys-tenor --prompts 20
  drill --plain --words                        in lines, notes in words: G sharp
  drill --plain --json --seed 7 < answers.txt
  drill --ask time --tempo 72                  in time with the metronome
"""


def kinds(text: str | None) -> tuple[str, ...] | None:
    """The kinds of prompt in a list such as ``next,degree,key``; None for None.

    Raises UsageError for a word that is none.
    """
    if text is None:
        return None
    from drill.marking.back import Back

    known = [*(kind.value for kind in Kind), PLAYED, *(back.value for back in Back)]
    found = tuple(word.strip() for word in text.split(","))
    for word in found:
        if word not in known:
            raise UsageError(f"{word!r} is not a kind of prompt: {', '.join(known)}")
    return found


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of a practice."""
    add = parser.add_argument
    add("--deck", metavar="NAME|FILE", help="the deck to practise")
    add("--plain", action="store_true", help="plain lines instead of screens")
    add("--json", action="store_true", help="with --plain: one object of JSON a line")
    add("--prompts", type=_count, metavar="N", help="prompts in this practice; 0 for no end")
    add(
        "--minutes",
        type=_minutes,
        metavar="N",
        help="minutes to its end, in place of the deck's prompts; 0 for none",
    )
    add("--new-keys", type=_keys, metavar="N|all", help="new keys in this practice at most")
    add("--new-cells", type=_count, metavar="N", help="new cells in this practice at most")
    add(
        "--ask",
        metavar="KINDS",
        help="kinds of prompt: next,degree,run,ear,time,key,which-degree,concert,written,"
        "signature,different,chord; time alone plays in time, play answers on the horn",
    )
    add(
        "--again",
        action=argparse.BooleanOptionalAction,
        help="copy a missed cell before going on (else as the deck says)",
    )
    add(
        "--missed-again",
        action=argparse.BooleanOptionalAction,
        help="ask the missed cells once more at the end (else as the deck says)",
    )
    add(
        "--midi",
        nargs="?",
        const="",
        metavar="NAME",
        help="with --ask play: a MIDI instrument in place of the microphone",
    )
    add("--tempo", type=_tempo, metavar="N", help="in time: the tempo to begin at, 40 to 260")
    add("--eighths", action="store_true", help="in time: two notes to a beat")
    add("--letters", action="store_true", help="in time: letters alone, without accidentals")
    add("--tap", action="store_true", help="in time: any key on each note, time alone is judged")
    add("--click", type=_click, metavar="WHICH", help="in time: all, 2-and-4, gaps:2:2, growing:2")
    add(
        "--metre",
        type=_metre,
        metavar="M",
        help="in time: 3/4, 6/8, 7/8 ... (else as the deck says)",
    )
    add("--count-in", type=int, choices=(1, 2), help="in time: bars counted in")
    add("--mute", action="store_true", help="no sound")
    add("--ascii", action="store_true", help="draw with plain ASCII characters")
    add("--theme", metavar="NAME", help="dark, light, terminal or high-contrast")
    add("--color", metavar="WHEN", help="auto, always or never")
    add("--words", action="store_true", help="with --plain: notes in words, G sharp")
    add("--seed", type=int, metavar="N", help="decides among cells that are equally due")
    add_names(parser)
    add_once(parser)


def run(args: argparse.Namespace, tools: Tools) -> int:
    """One practice, in lines or on screens."""
    lines = args.plain or dumb(tools.environment)
    if args.json and not args.plain:
        raise needs_lines("--json")
    if args.words and not lines:
        raise needs_lines("--words")
    asked = kinds(args.ask)
    loaded = settings_for(args, tools)
    if lines:
        from drill.opening.inlines import in_lines

        if not args.plain:
            tools.say("this terminal cannot draw screens (TERM=dumb): here is line mode")
        return in_lines(args, loaded.settings, asked, tools)
    if not (tools.source.isatty() and tools.err.isatty()):
        raise UsageError(
            "the screens need a terminal on standard input and standard error; "
            "over pipes use drill --plain (drill --help shows more)"
        )
    from drill.commands.errands import CommandErrands
    from drill.opening.onscreens import on_screens

    return on_screens(args, loaded, asked, tools, CommandErrands(tools))


def needs_lines(option: str) -> UsageError:
    """An option that only line mode has was given for the screens."""
    from drill.wording.options import goes_with  # no first frame waits for it

    return UsageError(goes_with(option, "--plain"))


_count = whole(0, MOST_PROMPTS)


def _keys(text: str) -> int:
    try:
        return 0 if text == "all" else whole(0, MOST_KEYS)(text)
    except argparse.ArgumentTypeError as error:
        raise argparse.ArgumentTypeError(f"{error}, nor all") from None


def _click(text: str) -> str:
    from drill.theory.metre import read_click

    typed(read_click)(text)
    return text


def _metre(text: str) -> str:
    from drill.theory.metre import read_metre

    typed(read_metre)(text)
    return text


def _tempo(text: str) -> float:
    with contextlib.suppress(ValueError):
        if 40 <= float(text) <= 260:
            return float(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a tempo from 40 to 260 beats a minute")


def _minutes(text: str) -> float:
    with contextlib.suppress(ValueError):
        if 0 <= float(text) <= MOST_MINUTES:
            return float(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a number from 0 to {MOST_MINUTES}")
