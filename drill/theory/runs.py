"""Runs: a pattern walked through a key, up or down, on a horn, by counted octaves.

Every cell is first laid out in positions of the scale, then spelled, then fitted
to the horn: a run starts at a tonic on which all of it can be played;
where there is none, the cells that cannot be played are left out and a remark
says so.  No note that the horn does not have is ever returned.  One octave begins in the
horn's usual first octave where it fits there; more octaves begin as low as they can.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from drill.errors import TheoryError
from drill.terms import (
    Cell,
    Descent,
    Direction,
    Ending,
    Fit,
    Instrument,
    Key,
    Mode,
    Pattern,
    Remark,
    Run,
    Shape,
    Span,
)
from drill.theory import faults
from drill.theory.displacing import displaced
from drill.theory.layout import Layout, Placed, steps_from
from drill.theory.limits import HOME_OCTAVE, Limits, left_out, limits_of, usual_first
from drill.theory.roots import build_root_run
from drill.theory.scales import key_label


def _plans(layout: Layout, direction: Direction, octaves: int) -> list[Placed]:
    """The cells of a run of whole octaves, in the order played."""
    pattern = layout.pattern
    low, top = _ends(layout, octaves)
    clip = top if pattern.ending is Ending.CLIPPED else 0
    rising = list(range(low, top, pattern.moves_by))
    if pattern.ending is Ending.CLOSED:
        rising.append(top)
    if direction is Direction.UP:
        starts = rising
    elif pattern.descent is Descent.RETROGRADE:
        starts = rising[::-1]
    else:
        starts = list(range(top, low, -pattern.moves_by))
        if pattern.ending is Ending.CLOSED:
            starts.append(low)
    shapes = pattern.cells
    order = [shapes[index % len(shapes)] for index in range(len(starts))]
    if direction is Direction.DOWN and pattern.descent is Descent.RETROGRADE:
        order.reverse()
    return [
        Placed(start, direction, shape, clip) for start, shape in zip(starts, order, strict=True)
    ]


def _in_turn(layout: Layout, bases: range, octaves: int, horn: Instrument | None) -> list[int]:
    """The octaves of the lower tonic in the order in which they are tried: for one octave the
    horn's usual first one and up, then down from there; for more from the lowest up."""
    if octaves > 1 or horn is None:
        return list(bases)
    return usual_first(bases, lambda base: layout.note(0, base, Direction.UP), horn)


def _ends(layout: Layout, octaves: int) -> tuple[int, int]:
    """The positions of a run's lower and upper end: its tonics, unless the pattern says others."""
    pattern = layout.pattern
    low = pattern.begin - 1
    return low, (pattern.finish or pattern.begin) - 1 + layout.size * octaves


def _close_at(layout: Layout, octaves: int, direction: Direction) -> int:
    """The position of the note on which a run ends, held."""
    low, top = _ends(layout, octaves)
    return top if direction is Direction.UP else low


def _refuse_ends(layout: Layout, key: Key, span: Span) -> None:
    """Raises TheoryError where a run cannot begin or end on the degrees that its pattern says."""
    pattern, size = layout.pattern, layout.size
    if (pattern.begin, pattern.finish) == (1, 0):
        return
    for degree in (pattern.begin, pattern.finish or 1):
        if not 1 <= degree <= size:
            raise faults.no_degree(key_label(key), degree, size)
    if pattern.ending is Ending.CLIPPED or span is Span.FULL:
        raise TheoryError(faults.OFF_THE_TONIC)


def _kept_in(layout: Layout, plans: list[Placed]) -> tuple[list[Placed], tuple[Remark, ...]]:
    """The cells of a clipped run and a remark on those left out.

    Thirds and stepwise groups turn back at the octave (7-9 becomes 7-7).  Turned back, other
    cells would be no longer what they are called: those that pass the octave are left out.
    """
    kept, lost = [], []
    for plan in plans:
        if not plan.clip or _turns_back(plan.shape, layout.size) or layout.is_within(plan):
            kept.append(plan)
        else:
            lost.append(layout.label(plan.start))
    if not lost:
        return kept, ()
    return kept, (Remark(Fit.CLIPPED, tuple(lost)),)


def _turns_back(shape: Shape, size: int) -> bool:
    """Whether a cell keeps its sense when it turns back at the octave."""
    places = [steps_from(item, size) for item in shape]
    if any(item.modifier for item in shape) or min(places) < 0:
        return False
    return places == [0, 2] or all(abs(b - a) == 1 for a, b in pairwise(places)) or len(places) == 1


def _octaves_of(limits: Limits, layout: Layout) -> range:
    """The octaves in which the lower tonic may stand, lowest first."""
    if limits.low is None and limits.high is None:
        return range(HOME_OCTAVE, HOME_OCTAVE + 1)
    low = limits.low.octave - 1 if limits.low else 0
    high = limits.high.octave + 1 if limits.high else 9
    tonics = [
        octave
        for octave in range(low, high + 1)
        if limits.hold((layout.note(0, octave, Direction.UP),))
    ]
    return range(tonics[0], tonics[-1] + 1) if tonics else range(0)


def build_run(
    key: Key,
    pattern: Pattern,
    direction: Direction,
    *,
    span: Span = Span.ONE,
    horn: Instrument | None = None,
    limits: Limits | None = None,
    joined: bool = False,
) -> Run:
    """The run of a pattern through a written key in one direction.

    ``limits`` are the player's own and replace the horn's standard range; None
    takes that range.  ``joined`` places up and down on the same tonic, so that
    both fit and meet at the top.  Raises TheoryError where the horn has no
    tonic of the key, no cell of the run fits, or full range lacks an end.
    """
    if limits is None:
        limits = limits_of(horn)
    if pattern.mode is Mode.ROOT:
        run = build_root_run(key, pattern, direction, horn, limits)
    else:
        run = _key_run(key, pattern, direction, span, horn, limits=limits, joined=joined)
    return displaced(run, pattern.groups_of) if pattern.groups_of else run


def _key_run(
    key: Key,
    pattern: Pattern,
    direction: Direction,
    span: Span,
    horn: Instrument | None,
    *,
    limits: Limits,
    joined: bool,
) -> Run:
    """The run of a key-mode pattern; see ``build_run``."""
    layout = Layout(key, pattern)
    _refuse_ends(layout, key, span)
    bases = _octaves_of(limits, layout)
    if not bases:
        raise faults.no_tonic(key.tonic)
    below: tuple[Remark, ...] = ()
    directions = (Direction.UP, Direction.DOWN) if joined else (direction,)
    if not all(_any_fits(layout, bases, limits, each) for each in directions):
        # A cell far above its degree, such as 5-8-9-10, may fit under the lowest tonic only.
        bases = range(bases[0] - 1, bases[0])
        below = (Remark(Fit.BELOW),)
    name = horn.id if horn else None
    if span is Span.FULL:
        cells, at, remarks = _full(layout, direction, bases[0], limits, key)
        close = layout.note(at, bases[0], Direction.UP)
        return Run(key, pattern, direction, name, span, cells, close, at + 1, below + remarks)
    octaves = 2 if span is Span.TWO else 1
    if span is Span.OCTAVES:
        octaves = _complete_octaves(layout, bases, limits, directions)
    turns = _in_turn(layout, bases, octaves, horn)
    base, fits = _best_base(layout, turns, limits, octaves, directions)
    plans = _plans(layout, direction, octaves)
    plans, clipped = _kept_in(layout, plans)
    cells = tuple(layout.cell(plan, base) for plan in plans)
    kept = tuple(cell for cell in cells if limits.hold(cell.notes))
    close_at = _close_at(layout, octaves, direction)
    close = layout.note(close_at, base, direction)
    if not cells:
        raise faults.past_octave(pattern.text, key_label(key))
    if not kept:
        raise _no_cell(layout, key, limits)
    if not limits.hold((close,)):
        close_at = _nearest_tonic(layout, kept[-1].degree - 1, base, limits)
        close = layout.note(close_at, base, direction)
    remarks = below + clipped + _remarks(layout, cells, kept, base - turns[0] if fits else 0)
    return Run(key, pattern, direction, name, span, kept, close, close_at + 1, remarks)


def _best_base(
    layout: Layout,
    bases: Sequence[int],
    limits: Limits,
    octaves: int,
    directions: tuple[Direction, ...],
) -> tuple[int, bool]:
    """The first of the octaves in which the whole run fits and True, or the one that loses the
    fewest cells and False."""
    losses: dict[int, int] = {}
    for base in bases:
        missing = 0
        for direction in directions:
            for plan in _plans(layout, direction, octaves):
                missing += not limits.hold(layout.cell(plan, base).notes)
            close = layout.note(_close_at(layout, octaves, direction), base, direction)
            missing += not limits.hold((close,))
        if missing == 0:
            return base, True
        losses[base] = missing
    return min(losses, key=losses.__getitem__), False


def _complete_octaves(
    layout: Layout, bases: range, limits: Limits, directions: tuple[Direction, ...]
) -> int:
    """How many complete octaves the run can have: the most that fit whole, and 1 at least."""
    most = range(len(bases), 1, -1)
    fitting = (each for each in most if _best_base(layout, bases, limits, each, directions)[1])
    return next(fitting, 1)


def _remarks(
    layout: Layout, cells: tuple[Cell, ...], kept: tuple[Cell, ...], raised: int
) -> tuple[Remark, ...]:
    remarks = [Remark(Fit.MOVED, octaves=raised)] if raised else []
    remarks.extend(left_out([cell.label for cell in cells if cell not in kept]))
    return tuple(remarks)


def _full(
    layout: Layout, direction: Direction, base: int, limits: Limits, key: Key
) -> tuple[tuple[Cell, ...], int, tuple[Remark, ...]]:
    """Full range: up from the lowest tonic while the horn lasts; or down from the top to the
    lowest cell and back up to the tonic."""
    if limits.low is None or limits.high is None:
        raise TheoryError(faults.FULL_NEEDS_HORN)
    step = layout.pattern.moves_by
    if direction is Direction.UP:
        # A cell that dips below the lowest tonic is not on the horn: begin with the first that is.
        start = _first_fit(layout, direction, base, limits, range(0, layout.size * 9, step))
        if start is None:
            raise _no_cell(layout, key, limits)
        cells = tuple(_walk(layout, Direction.UP, base, limits, start, step))
        last = cells[-1].degree - 1
        dropped = [layout.label(at) for at in range(0, start, step)]
        return cells, _nearest_tonic(layout, last, base, limits), left_out(dropped)
    tops = range(layout.size * 9 // step * step, -layout.size * 2, -step)
    top = _first_fit(layout, direction, base, limits, tops)
    if top is None:
        raise _no_cell(layout, key, limits)
    falling = list(_walk(layout, Direction.DOWN, base, limits, top, -step))
    back: list[Cell] = []
    lowest = falling[-1].degree - 1
    if lowest <= 0:
        start = _first_fit(layout, Direction.UP, base, limits, range(-layout.size, 0)) or 0
        rising = _walk(layout, Direction.UP, base, limits, start, step)
        back = [cell for cell in rising if cell.degree < 1]
    return (*falling, *back), _nearest_tonic(layout, 0, base, limits), ()


def _no_cell(layout: Layout, key: Key, limits: Limits) -> TheoryError:
    return faults.no_cell(layout.pattern.text, key_label(key), limits.low, limits.high)


def _first_fit(
    layout: Layout, direction: Direction, base: int, limits: Limits, starts: range
) -> int | None:
    """The first start on which every cell of the pattern is on the horn; None for none."""
    for start in starts:
        plans = (Placed(start, direction, shape, 0) for shape in layout.pattern.cells)
        if all(limits.hold(layout.cell(plan, base).notes) for plan in plans):
            return start
    return None


def _walk(
    layout: Layout, direction: Direction, base: int, limits: Limits, start: int, step: int
) -> Iterator[Cell]:
    """Cells from a start on while all their notes are on the horn."""
    shapes, at, turn = layout.pattern.cells, start, 0
    while True:
        cell = layout.cell(Placed(at, direction, shapes[turn % len(shapes)], 0), base)
        if not limits.hold(cell.notes):
            return
        yield cell
        at, turn = at + step, turn + 1


def _nearest_tonic(layout: Layout, position: int, base: int, limits: Limits) -> int:
    """The tonic nearest to a position that the horn has; the upper one of two as near."""
    near = position // layout.size * layout.size
    options = [
        at
        for at in range(near + 3 * layout.size, near - 4 * layout.size, -layout.size)
        if limits.hold((layout.note(at, base, Direction.UP),))
    ]
    return min(options, key=lambda at: abs(at - position))


def _any_fits(layout: Layout, bases: range, limits: Limits, direction: Direction) -> bool:
    """Whether a horn has one cell at least of a run of one octave from one of its tonics."""
    return any(
        limits.hold(layout.cell(plan, base).notes)
        for base in bases
        for plan in _plans(layout, direction, 1)
    )
