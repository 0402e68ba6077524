"""A deck as TOML text that a person can read and edit: the way back from ``load``.

``loads(write(deck), ...)`` equals the deck.  What stands at its default is shown
once more as comments, so that an editor sees what else could be said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from drill.decks.keychoice import group, group_names
from drill.decks.patternwrite import pattern_lines
from drill.decks.schema import Assignment, Compass, Deck, Goal, Practice
from drill.decks.toml_text import comment, commented_list, list_text, text_literal
from drill.terms import Direction, Key, Span
from drill.theory.instruments import OWN
from drill.theory.scales import key_label
from drill.theory.spelling import interval_name


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something is in the deck, for a comment beside it."""

    about: Key | str | int
    """A written key, a pattern's id, or a degree."""
    text: str
    """One line."""


_OTHERS = (
    ("directions", 'directions = ["up"]            # or ["down"]; both if left out'),
    ("degrees", "degrees = [4, 7]               # only cells begun on these; 8 is the upper tonic"),
    ("span", 'span = "full"                  # 1, 2, "octaves" or "full": the whole horn'),
    ("compass", 'range = { low = "C4", high = "C6" } # or "standard", "extended"'),
    ("joined", "joined = true                  # up and down in one, the top tonic played once"),
    ("due", "due = 2030-06-14               # year, month, day"),
    ("tempo", "tempo = { start = 60, goal = 96 } # beats a minute"),
    ("articulation", 'articulation = "tongued"       # "slurred" if left out'),
    ("swing", 'swing = "by-tempo"             # "straight", "triplet" or a ratio such as 1.5'),
    ("metre", 'metre = "3/4"                  # in time and to hear; "4/4" if left out'),
    ("click", 'click = "2-and-4"              # "all", "gaps:2:2", "growing:2"'),
    ("count_in", "count_in = 2                   # bars; 1 if left out"),
    ("contour", 'shape = "level"                # "rise-and-fall" if left out'),
)
"""Settings shown as comments where the deck leaves them at their defaults."""
_PLAIN = Deck("", "", (), ())
"""A deck that leaves all else at its default."""


def write(deck: Deck, *, heading: Sequence[str] = (), reasons: Sequence[Reason] = ()) -> str:
    """The TOML text of a deck, ``\\n`` at each line's end.

    ``heading`` stands as comments at the top, each reason beside what it is about.
    The deck must be one that ``build`` could have made: keys scale by scale.
    """
    lines = [comment(line) for line in heading]
    if lines:
        lines.append("")
    lines += _who(deck)
    patterns, pattern_tables = pattern_lines(deck.patterns, _reasons_by_name(reasons))
    keys, key_tables = _keys(deck, reasons)
    lines += ["", "# What to play", *patterns, *keys, *_where(deck, reasons)]
    how = _how(deck)
    if how:
        lines += ["", "# How it sounds", *how]
    untouched = [line for name, line in _OTHERS if getattr(deck, name) == getattr(_PLAIN, name)]
    if untouched:
        lines += ["", "# Also possible:", *(comment(line) for line in untouched)]
    for table in (
        _horn(deck),
        key_tables,
        _goal(deck.goal),
        _practice(deck.practice),
        _assignment(deck.assignment),
        pattern_tables,
    ):
        if table:
            lines += ["", *table]
    return "\n".join(lines) + "\n"


def _horn(deck: Deck) -> list[str]:
    """The ``[horn]`` table of a deck whose horn the program lacks."""
    horn = deck.made
    if horn is None or deck.own:
        return []
    sounds = interval_name(horn.steps, horn.semitones)
    words = {"name": horn.name, "clef": horn.clef, "sounds": sounds, "family": horn.family}
    notes = {"low": horn.low, "high": horn.high, "first": horn.first}
    rows = {**words, **{key: str(note) for key, note in notes.items()}}
    return ["[horn]", *(f"{key} = {text_literal(value)}" for key, value in rows.items())]


def _reasons_by_name(reasons: Iterable[Reason]) -> dict[str, str]:
    return {each.about: each.text for each in reasons if isinstance(each.about, str)}


def _who(deck: Deck) -> list[str]:
    horn = deck.horn
    lines = [f"title = {text_literal(deck.title)}"]
    if deck.own:
        lines.append(f'instrument = "{OWN}" # the horn of each player\'s settings')
    elif deck.made is None:
        lines.append(f"instrument = {text_literal(horn.id)} {comment(horn.name)}")
    if deck.due:
        lines.append(f"due = {deck.due.isoformat()} # year, month, day")
    if deck.note:
        lines.append(f"note = {text_literal(deck.note, lines=True)}")
    return lines


# -- keys


def _keys(deck: Deck, reasons: Sequence[Reason]) -> tuple[list[str], list[str]]:
    """Lines for the top of the file, and for a table of keys by scale where one is needed."""
    name = "concert_keys" if deck.concert_keys else "keys"
    said = {each.about: each.text for each in reasons if isinstance(each.about, Key)}
    by_scale = {
        scale: tuple(key for key in deck.concert_keys or deck.keys if key.scale == scale)
        for scale in deck.scales
    }
    scales = f"scales = {list_text(deck.scales)}"
    groups = [] if said else _groups(by_scale)
    if groups:
        return [scales, f'{name} = "{groups[0]}" {comment(_count(deck))}'], []
    choices = {tuple(key.tonic for key in keys) for keys in by_scale.values()}
    if len(choices) == 1 and not (said and len(by_scale) > 1):
        keys = next(iter(by_scale.values()))
        return [scales, *_list_of_keys(name, keys, said)], []
    table = [f"[{name}] # tonics of each scale"]
    for scale, keys in by_scale.items():
        one = [] if said else _groups({scale: keys})
        bare = scale if re.fullmatch(r"[A-Za-z0-9_-]+", scale) else text_literal(scale)
        table += [f'{bare} = "{one[0]}"'] if one else _list_of_keys(bare, keys, said)
    return [], table


def _count(deck: Deck) -> str:
    count = len(deck.keys)
    return f'{count} key{"s" if count != 1 else ""}; or tonics, such as ["C", "Bb"]'


def _groups(by_scale: dict[str, tuple[Key, ...]]) -> list[str]:
    """The names of the groups that mean just these keys, in every scale."""
    return [
        name
        for name in group_names()
        if all(group(name, scale) == keys for scale, keys in by_scale.items())
    ]


def _list_of_keys(name: str, keys: tuple[Key, ...], said: dict[Key, str]) -> list[str]:
    if not any(key in said for key in keys):
        return [f"{name} = {list_text(str(key.tonic) for key in keys)}"]
    why = (f"{key_label(key)}: {said[key]}" if key in said else "" for key in keys)
    return commented_list(name, zip((str(key.tonic) for key in keys), why, strict=True))


# -- the other lines of the top


def _where(deck: Deck, reasons: Sequence[Reason]) -> list[str]:
    lines = []
    if deck.directions != tuple(Direction):
        lines.append(f"directions = {list_text(deck.directions)}")
    if deck.degrees:
        said = [
            f"{each.about}: {each.text}"
            for each in reasons
            if isinstance(each.about, int) and each.about in deck.degrees
        ]
        lines += [comment(f"on {line}") for line in said]
        degrees = ", ".join(str(degree) for degree in deck.degrees)
        lines.append(f"degrees = [{degrees}] # only the cells begun on these; 8 is the upper tonic")
    if deck.span is not Span.ONE:
        whole = deck.span in (Span.OCTAVES, Span.FULL)
        lines.append(f'span = "{deck.span}"' if whole else f"span = {deck.span} # octaves")
    if deck.compass != Compass():
        lines.append(f"range = {_compass(deck.compass)}")
    if deck.joined:
        lines.append("joined = true # up and down in one, the top tonic played once")
    return lines


def _compass(compass: Compass) -> str:
    if compass == Compass(extended=True):
        return '"extended"'
    parts = ["extended = true"] if compass.extended else []
    parts += [f'low = "{compass.low}"'] if compass.low else []
    parts += [f'high = "{compass.high}"'] if compass.high else []
    return "{ " + ", ".join(parts) + " } # written notes; C4 is middle C"


def _how(deck: Deck) -> list[str]:
    swing = repr(deck.swing) if isinstance(deck.swing, float) else text_literal(deck.swing)
    ratio = " # the first eighth to the second" if isinstance(deck.swing, float) else ""
    lines = {
        "tempo": f"tempo = {deck.tempo} # beats a minute to begin at",
        "articulation": f"articulation = {text_literal(deck.articulation)}",
        "swing": f"swing = {swing}{ratio}",
        "contour": f"shape = {text_literal(deck.contour)}",
        "metre": f"metre = {text_literal(deck.metre)}",
        "click": f"click = {text_literal(deck.click)}",
        "count_in": f"count_in = {deck.count_in} # bars",
    }
    return [line for name, line in lines.items() if getattr(deck, name) != getattr(_PLAIN, name)]


# -- tables


def _goal(goal: Goal) -> list[str]:
    lines = [
        "[goal] # when it counts as known by heart",
        f"right = {goal.right!r} # share of the cells",
        f"days = {goal.days} # different days on which a cell came right",
    ]
    if goal.tempo is not None:
        lines.append(f"tempo = {goal.tempo} # beats a minute in the end")
    if goal.ask:
        lines.append(f"ask = {list_text(goal.ask)} # asked in these ways")
    return lines


def _practice(practice: Practice) -> list[str]:
    plain = Practice()
    lines = ["[practice] # one practice with this deck"]
    if practice.prompts is not None:
        lines.append(f"prompts = {practice.prompts}")
    if practice.minutes is not None:
        lines.append(f"minutes = {practice.minutes}")
    if practice.ask != plain.ask:
        lines.append(f"ask = {list_text(practice.ask)} # from the easiest to the hardest")
    if practice.again != plain.again:
        lines.append("again = false # a missed cell is not typed once more")
    if practice.missed_again != plain.missed_again:
        lines.append("missed_again = false # missed cells are not asked again at the end")
    if practice.new_cells is not None:
        lines.append(f"new_cells = {practice.new_cells} # at most, in one practice")
    if practice.new_keys is not None:
        said = f"{practice.new_keys} # at most, in one practice" if practice.new_keys else '"all"'
        lines.append(f"new_keys = {said}")
    return lines


def _assignment(given: Assignment | None) -> list[str]:
    if given is None:
        return []
    lines = ["[assignment] # for whom it is; the answers do not depend on it"]
    lines += [f"given = {given.given.isoformat()} # out from that day"] if given.given else []
    for name in ("id", "student", "name", "group", "who", "horn", "line"):
        if getattr(given, name):
            lines.append(f"{name} = {text_literal(getattr(given, name))}")
    return lines
