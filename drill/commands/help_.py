"""``drill help``: on a command, on the keys of the screens, on the exit codes."""

from __future__ import annotations

import argparse
import difflib
import json
import textwrap

from drill.commands.table import (
    CODES,
    COMMANDS,
    EXIT_CODES,
    KEYS,
    PATTERNS,
    TOPICS,
    WIDTH,
    every_part,
    module_of,
    parser_of,
)
from drill.errors import ExitCode, UsageError
from drill.opening.tools import Tools
from drill.settings.load import Loaded, load
from drill.tui.actions import ACTIONS, Action, Place, at, keys_of, shown_key
from drill.tui.glyphs import ASCII, UNICODE, Glyphs

EXAMPLES = """\
examples:
  drill help keys              every key of every screen, your own among them
  drill help codes             the exit codes
  drill help patterns          how cells are written, and what digits count
  drill help deck new          the same as drill deck new --help
"""

_CELLS = (
    ("1-2-3-1", "Steps of the key from the cell's own first degree; on 4: 4-5-6-4."),
    ("1231  1 2 3 1", "The same; commas do as well."),
    ("7.  6.", "The 7 below 1, and the 6 below."),
    ("1'  or 8", "The 1 above; 9 is the 2 above, up to 15."),
    ("l1  u1", "The chromatic neighbours of 1, a half step below and above."),
    ("ll1  uu1", "The same, two half steps away."),
    ("b3  #4", "Root mode: degrees of the major scale on a root that moves."),
    ("chord-m7b5", "An arpeggio; chord-m7b5/1 is its first inversion."),
    ("Cm7  F#ø7  C/E", "A chord by its symbol; C-7, Cmi7, CΔ, C°7 are read as well."),
    ("V7  ii7  V7/ii", "A chord by its function in the key; Imaj7 is not I7."),
    ("Dm7 G7 Cmaj7", "A progression, read in its key and moved to every other."),
)
_COUNTING = """\
In a scale that has not seven notes the digits 1 to 7 count its notes: in A minor
pentatonic, A C D E G, the cell 1-2-3 is A C D. 8 is the octave in every scale and
7. the note below in every scale, so that neighbours, turns and octaves stay what
they are called.

A dotted digit counts down from the octave: 6. is two notes below. In scales of
more than seven notes 7.' is the note below the upper octave and 6.' the one below
that: in F bebop dominant, which has eight, 7.' is the E under the upper F.
"""
_TYPED = (
    ("a to g", "A note; its accidental follows it."),
    ("# or +", "A sharp after a note; x or ## a double sharp."),
    ("b", "The note B, or after a note a flat; bb a double flat."),
    ("space", "Between two notes; capitals may run together: BbEbB."),
)
"""What is typed on the stand is no action: the notes themselves."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The topic."""
    parser.add_argument(
        "topic", nargs="*", metavar="TOPIC", help="keys, codes, patterns, or a command"
    )
    parser.add_argument("--json", action="store_true", help="keys and codes as JSON")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the help asked for, that of help itself without a topic.  Raises UsageError."""
    topic = tuple(args.topic)
    if topic == (KEYS,):
        tools.out.write(_keys(tools, as_json=args.json))
    elif topic == (CODES,):
        tools.out.write(_codes(as_json=args.json))
    elif topic == (PATTERNS,):
        tools.out.write(_patterns())
    elif args.json:
        raise UsageError(f"--json goes with {KEYS} and {CODES}")
    else:
        tools.out.write(_on_command(topic or ("help",)))
    return ExitCode.OK


def _on_command(topic: tuple[str, ...]) -> str:
    name = topic[0]
    if name not in COMMANDS:
        near = difflib.get_close_matches(name, [*TOPICS, *COMMANDS], n=1)
        known = ", ".join((*TOPICS, *COMMANDS))
        hint = f"; did you mean {near[0]}?" if near else f": {known}"
        raise UsageError(f"there is no help on {name!r}{hint}")
    if len(topic) == 1:
        return parser_of(name, module_of(name)).format_help()
    parts = {part.words: part for part in every_part()}
    if topic not in parts:
        raise UsageError(f"there is no help on {' '.join(topic)!r} (try drill help {name})")
    return parts[topic].parser.format_help()


def _patterns() -> str:
    lines = [line for written, said in _CELLS for line in _row(written, said)]
    return "\n".join(lines) + f"\n\n{_COUNTING}"


def _codes(*, as_json: bool) -> str:
    if as_json:
        return json.dumps({str(int(code)): said for code, said in EXIT_CODES.items()}) + "\n"
    return "".join(f"{int(code):>4}  {said}\n" for code, said in EXIT_CODES.items())


# -- keys


def _keys(tools: Tools, *, as_json: bool) -> str:
    from drill.tui.desk_settings import known_actions

    loaded = load(tools.house.places, tools.environment, {}, None, known_actions())
    keymap = loaded.settings.keymap
    if as_json:
        return json.dumps([_object(action, keymap) for action in ACTIONS]) + "\n"
    glyphs = UNICODE if _unicode(tools) else ASCII
    return "\n".join(_screen(place, keymap, glyphs, loaded) for place in Place)


def _unicode(tools: Tools) -> bool:
    encoding = getattr(tools.out, "encoding", None) or "ascii"
    return str(encoding).lower().replace("_", "-").startswith("utf")


def _object(action: Action, keymap: dict[str, str]) -> dict[str, object]:
    return {
        "action": action.id,
        "keys": list(keys_of(action, keymap)),
        "screens": [place.called for place in action.places],
        "help": action.help,
    }


def _screen(place: Place, keymap: dict[str, str], glyphs: Glyphs, loaded: Loaded) -> str:
    rows = [
        (" or ".join(shown_key(key, glyphs) for key in keys_of(action, keymap)), action)
        for action in at(place)
    ]
    lines = [place.called]
    for keys, action in rows:
        origin = loaded.origins.get(f"keys.{action.id}")
        own = f" ({action.id}, from the {origin.level})" if origin else f" ({action.id})"
        lines += _row(keys, action.help + own)
    if place is Place.STAND:
        for keys, said in _TYPED:
            lines += _row(keys, said)
    return "\n".join(lines) + "\n"


def _row(keys: str, said: str) -> list[str]:
    wrapped = textwrap.wrap(said, WIDTH - 22, break_on_hyphens=False)
    return [f"  {keys if not n else '':<17}  {line}" for n, line in enumerate(wrapped)]
