"""Patterns back to TOML: as ids and cells in one list, as tables where more is to be said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from drill.decks.patternchoice import own_pattern
from drill.decks.toml_text import comment, commented_list, list_text, text_literal
from drill.errors import TheoryError
from drill.terms import Descent, Ending, Mode, Name, Pattern, shape_text
from drill.theory.chords import PREFIX, chord_pattern
from drill.theory.patterns import PATTERNS, ROOT_ORDERS, find_pattern, same_cell
from drill.theory.progressions import read_progression, symbols_in


def pattern_lines(
    patterns: Sequence[Pattern], reasons: dict[str, str]
) -> tuple[list[str], list[str]]:
    """Lines for the top of a deck file, and the ``[[pattern]]`` tables for its end.

    ``reasons`` are comments by pattern id.
    """
    ending = _common_ending(patterns)
    descent = _common_descent(patterns)
    tokens = [_token(pattern, descent, ending) for pattern in patterns]
    simple = len(tokens) if None not in tokens else tokens.index(None)
    # the list is read before the tables, so the order stays
    top = []
    if simple:
        top += _list(patterns[:simple], [token for token in tokens[:simple] if token], reasons)
    if descent:
        top.append(f'descent = "{descent}"')
    if ending:
        top.append(f'ending = "{ending}"')
    tables: list[str] = []
    for pattern in patterns[simple:]:
        tables += [*([""] if tables else []), *_table(pattern, descent, ending, reasons)]
    return top, tables


def _common_ending(patterns: Sequence[Pattern]) -> Ending | None:
    endings = {pattern.ending for pattern in patterns}
    return endings.pop() if len(endings) == 1 and Ending.OVERRUN not in endings else None


def _common_descent(patterns: Sequence[Pattern]) -> Descent | None:
    """The descent to write for all of them; None where each may keep its own."""
    descents = {pattern.descent for pattern in patterns}
    if len(descents) != 1 or all(each.descent is _plain(each).descent for each in patterns):
        return None
    return descents.pop()


def _plain(pattern: Pattern) -> Pattern:
    """The pattern as its id or cells alone give it, with its roots."""
    if pattern.chords:
        return replace(pattern, descent=Descent.RETROGRADE)
    known = _catalogued(pattern)
    if known:
        return replace(known, roots=pattern.roots)
    cells = tuple(shape_text(shape) for shape in pattern.cells)
    return own_pattern(cells, pattern.name, pattern.moves_by, pattern.mode, pattern.roots)


def _catalogued(pattern: Pattern) -> Pattern | None:
    """The catalogue's pattern or chord of that id, where it has the same cells and name."""
    try:
        known = (
            chord_pattern(pattern.id) if pattern.id.startswith(PREFIX) else PATTERNS.get(pattern.id)
        )
    except TheoryError:
        return None
    plain = replace(pattern, begin=1, finish=0, groups_of=0)
    kept = replace(plain, descent=Descent.MIRROR, ending=Ending.OVERRUN, roots=())
    return known if known and replace(known, descent=Descent.MIRROR) == kept else None


def _chords(pattern: Pattern, descent: Descent | None) -> list[str]:
    """A progression, by function if it is asked so, else in symbols on C."""
    chords = pattern.functions or symbols_in(pattern, Name("C"))
    line = " ".join(chords)
    lines = [f"progression = {text_literal(line)}"]
    if not pattern.functions:
        lines.append('in = "C" # the key of these symbols')
    if pattern.name != read_progression(line, home=Name("C")).pattern.name:
        lines.insert(0, f"name = {text_literal(pattern.name)}")
    if pattern.led:
        lines.append("voice_leading = true # each chord to the nearest inversion of the next")
    if pattern.guide:
        lines.append("guide_tones = true # 3 and 7 alone")
    if pattern.descent is not (descent or Descent.RETROGRADE):
        lines.append(f'descent = "{pattern.descent}"')
    return lines


def _token(pattern: Pattern, descent: Descent | None, ending: Ending | None) -> str | None:
    """The word in a list of patterns that gives just this one; None where none does."""
    if pattern.chords:
        return None
    token = pattern.id if _catalogued(pattern) else pattern.text
    try:
        found = find_pattern(token)
    except TheoryError:
        return None
    found = same_cell(found) or found
    found = replace(found, descent=descent or found.descent, ending=ending or found.ending)
    return token if found == pattern else None


def _list(patterns: Sequence[Pattern], tokens: list[str], reasons: dict[str, str]) -> list[str]:
    if not any(pattern.id in reasons for pattern in patterns):
        cells = ", ".join(pattern.text for pattern in patterns)
        return [f"patterns = {list_text(tokens)} {comment(cells)}"]
    said = (": ".join(filter(None, (each.text, reasons.get(each.id)))) for each in patterns)
    return commented_list("patterns", zip(tokens, said, strict=True))


def _table(
    pattern: Pattern, descent: Descent | None, ending: Ending | None, reasons: dict[str, str]
) -> list[str]:
    lines = ["[[pattern]]"]
    if pattern.id in reasons:
        lines[0] += f" {comment(reasons[pattern.id])}"
    if pattern.chords:
        return [*lines, *_chords(pattern, descent), *_course(pattern)]
    lines += _what(pattern)
    if pattern.roots:
        names = [name for name, roots in ROOT_ORDERS.items() if roots == pattern.roots]
        lines.append(f"roots = {text_literal(names[0]) if names else list_text(pattern.roots)}")
    if pattern.descent is not (descent or _plain(pattern).descent):
        lines.append(f'descent = "{pattern.descent}"')
    if pattern.ending is not (ending or Ending.OVERRUN):
        lines.append(f'ending = "{pattern.ending}"')
    return lines + _course(pattern)


def _what(pattern: Pattern) -> list[str]:
    """What the pattern is: one of the catalogue, or its cells and how they move."""
    if _catalogued(pattern):
        return [f"id = {text_literal(pattern.id)} {comment(pattern.text)}"]
    named = pattern.name != pattern.text
    lines = [f"name = {text_literal(pattern.name)}"] if named else []
    cells = [shape_text(shape) for shape in pattern.cells]
    if len(cells) == 1:
        lines.append(f"cell = {text_literal(cells[0])}")
    else:
        lines.append(f"cells = {list_text(cells)} # these alternate")
    if pattern.moves_by != 1:
        lines.append(f"moves_by = {pattern.moves_by} # degrees from one start to the next")
    if pattern.mode is Mode.ROOT:
        lines.append('mode = "root" # digits count from a moving root')
    return lines


def _course(pattern: Pattern) -> list[str]:
    """Where a run begins and ends, and how its notes are grouped."""
    lines = []
    if pattern.begin != 1:
        lines.append(f"begin = {pattern.begin} # the degree on which a run begins")
    if pattern.finish:
        lines.append(f"finish = {pattern.finish} # the degree on which a run up ends")
    if pattern.groups_of:
        lines.append(f"groups_of = {pattern.groups_of} # notes, across the cells")
    return lines
