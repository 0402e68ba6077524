"""Typed notes beside the expected ones, aligned so that one slip is one fault."""

from __future__ import annotations

from drill.marking.typed import Typed
from drill.marking.verdict import Marked, Outcome
from drill.terms import Note


def outcome_of(typed: Typed, expected: Note, *, by_sound: bool) -> Outcome:
    """How one typed note answers one expected note.

    ``by_sound`` lets any name of the sound pass.  An octave counts only where
    one was typed.
    """
    if typed.octave is not None:
        sound = Note(typed.name.letter, typed.name.alter, typed.octave).midi == expected.midi
    else:
        sound = typed.name.pitch_class == expected.name.pitch_class
    if not sound:
        return Outcome.WRONG
    if by_sound or typed.name == expected.name:
        return Outcome.RIGHT
    return Outcome.NAME


_COST = {Outcome.RIGHT: 0, Outcome.NAME: 1, Outcome.WRONG: 3}
_GAP = 4
"""A note missing or extra costs more than a wrong one, so that equal lengths stay aligned."""


def compare(
    typed: tuple[Typed, ...], expected: tuple[Note, ...], by_sound: tuple[bool, ...]
) -> tuple[Marked, ...]:
    """The notes marked one by one.

    Equal lengths are marked place by place; else by the alignment with the
    fewest faults (edit distance, Wagner and Fischer 1974).
    """
    if len(typed) == len(expected):
        return tuple(
            Marked(_text(note), str(want), outcome_of(note, want, by_sound=sound))
            for note, want, sound in zip(typed, expected, by_sound, strict=True)
        )
    return _aligned(typed, expected, by_sound)


def _aligned(
    typed: tuple[Typed, ...], expected: tuple[Note, ...], by_sound: tuple[bool, ...]
) -> tuple[Marked, ...]:
    rows, columns = len(typed), len(expected)
    cost = [[0] * (columns + 1) for _ in range(rows + 1)]
    for row in range(rows - 1, -1, -1):
        cost[row][columns] = cost[row + 1][columns] + _GAP
    for column in range(columns - 1, -1, -1):
        cost[rows][column] = cost[rows][column + 1] + _GAP
    outcomes = [
        [
            outcome_of(note, want, by_sound=sound)
            for want, sound in zip(expected, by_sound, strict=True)
        ]
        for note in typed
    ]
    for row in range(rows - 1, -1, -1):
        for column in range(columns - 1, -1, -1):
            cost[row][column] = min(
                cost[row + 1][column + 1] + _COST[outcomes[row][column]],
                cost[row + 1][column] + _GAP,
                cost[row][column + 1] + _GAP,
            )
    marked: list[Marked] = []
    row = column = 0
    while row < rows or column < columns:
        both = row < rows and column < columns
        if both and cost[row][column] == (cost[row + 1][column + 1] + _COST[outcomes[row][column]]):
            note, want = typed[row], expected[column]
            marked.append(Marked(_text(note), str(want), outcomes[row][column]))
            row, column = row + 1, column + 1
        elif row < rows and cost[row][column] == cost[row + 1][column] + _GAP:
            marked.append(Marked(_text(typed[row]), None, Outcome.EXTRA))
            row += 1
        else:
            marked.append(Marked(None, str(expected[column]), Outcome.MISSING))
            column += 1
    return tuple(marked)


def _text(note: Typed) -> str:
    return f"{note.name}" if note.octave is None else f"{note.name}{note.octave}"
