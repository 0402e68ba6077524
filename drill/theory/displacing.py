"""Displacement: the notes of a run in groups of another size than its cells.

A four-note cell in threes begins on another note of the group each time, until both meet
again: what players practise against a beat (common practice).
"""

from __future__ import annotations

from dataclasses import replace

from drill.terms import Cell, Run


def displaced(run: Run, size: int) -> Run:
    """The run with its notes in groups of ``size``, the last one with what is left over.

    A group is labelled by its notes, counted from the first of the run: ``13-15``.
    """
    notes = [
        (note, bool(cell.by_sound) and cell.by_sound[place], cell)
        for cell in run.cells
        for place, note in enumerate(cell.notes)
    ]
    groups = []
    for at in range(0, len(notes), size):
        group = notes[at : at + size]
        groups.append(
            Cell(
                group[0][2].degree,
                f"{at + 1}-{at + len(group)}" if len(group) > 1 else str(at + 1),
                group[0][2].direction,
                tuple(note for note, _, _ in group),
                "",
                tuple(sound for _, sound, _ in group),
            )
        )
    return replace(run, cells=tuple(groups))
