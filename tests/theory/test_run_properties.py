"""What holds for every run: range, tonic, spans and roots; descents and endings by themselves.

The whole of 30 instruments x 15 keys x 46 patterns x spans x directions is swept by
``tests/bench/bench_theory.py``; here it is sampled, evenly and by hypothesis.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from run_draws import ANY_KEY, ANY_WAY, HORN, MAJOR, PATTERN, SHAPE, free

from drill.errors import TheoryError
from drill.terms import (
    Descent,
    Direction,
    Fit,
    Instrument,
    Key,
    Mode,
    Name,
    Note,
    Pattern,
    Remark,
    Run,
    Shape,
    Span,
)
from drill.theory.instruments import INSTRUMENTS
from drill.theory.limits import Limits, limits_of
from drill.theory.patterns import PATTERNS, ROOT_ORDERS, find_pattern, free_pattern
from drill.theory.runs import build_run
from drill.theory.scales import SCALES, parse_key, scale_of, tonics
from drill.theory.spelling import parse_note

UP, DOWN = Direction.UP, Direction.DOWN
ALTO = INSTRUMENTS["alto_sax"]


def check(run: Run, limits: Limits) -> None:
    """The promises of every run."""
    assert run.cells
    assert all(limits.hold(cell.notes) for cell in run.cells)
    assert limits.hold((run.close,))
    assert run.close.name == run.key.tonic
    size = len(SCALES[run.key.scale].up)
    assert (run.close_degree - 1) % size == 0


def every_run() -> Iterator[tuple[Instrument, Key, Pattern, Span, Direction]]:
    keys = [Key(tonic, "major") for tonic in tonics("major")]
    return product(INSTRUMENTS.values(), keys, PATTERNS.values(), Span, Direction)


def test_every_101st_run_of_all_instruments_keys_patterns_and_spans_is_on_the_horn() -> None:
    """Some 250 000 runs; 101 is prime to the number of each, so all of each are met."""
    count = 0
    for horn, key, pattern, span, direction in islice(every_run(), 0, None, 101):
        check(build_run(key, pattern, direction, span=span, horn=horn), limits_of(horn))
        count += 1
    every = len(INSTRUMENTS) * 15 * len(PATTERNS) * len(Span) * len(Direction)
    assert every % 101 != 0
    assert count == every // 101 + 1


@settings(deadline=None, max_examples=200)
@given(HORN, ANY_KEY, ANY_WAY, st.sampled_from(Span), st.sampled_from(Direction),
       st.booleans(), st.booleans())  # fmt: skip
def test_any_setting_in_any_scale_is_on_the_horn(
    horn: Instrument,
    key: Key,
    pattern: Pattern,
    span: Span,
    direction: Direction,
    extended: bool,
    joined: bool,
) -> None:
    limits = limits_of(horn, extended=extended)
    try:
        run = build_run(key, pattern, direction, span=span, horn=horn, limits=limits, joined=joined)
    except TheoryError as error:
        if pattern.ending == "clipped" and "within the octave" in str(error):
            return  # a cell wider than an octave
        assert "fits between" in str(error)  # noqa: PT017
        assert horn.high.midi - horn.low.midi < 36
    else:
        check(run, limits)


@settings(deadline=None, max_examples=200)
@given(MAJOR, SHAPE, st.sampled_from(Span), st.sampled_from(Direction), st.integers(40, 70),
       st.integers(3, 30))  # fmt: skip
def test_a_players_own_limits_are_kept_or_the_reason_is_said(
    key: Key, shape: Shape, span: Span, direction: Direction, low: int, width: int
) -> None:
    """A beginner's few notes: a run inside them, or one sentence."""
    limits = Limits(_natural(low), _natural(low + width))
    try:
        run = build_run(key, free(shape), direction, span=span, limits=limits)
    except TheoryError as error:
        assert "no cell" in str(error) or "there is no" in str(error)  # noqa: PT017
    else:
        check(run, limits)


def _natural(midi: int) -> Note:
    """The natural note at or above a MIDI number."""
    return next(
        note
        for note in (parse_note(f"{letter}{octave}") for octave in range(9) for letter in "CDEFGAB")
        if note.midi >= midi
    )


@settings(deadline=None)
@given(ANY_KEY, SHAPE, st.sampled_from(Direction))
def test_without_an_instrument_nothing_is_left_out(
    key: Key, shape: Shape, direction: Direction
) -> None:
    """The tonic stands between C4 and B4, every degree has its cell, and nothing is remarked."""
    run = build_run(key, free(shape, Descent.SAME_SHAPE), direction)
    size = len(scale_of(key).up)
    labels = [str(degree) for degree in range(1, size + 1)]
    assert [cell.label for cell in run.cells] == (
        labels if direction is UP else [str(degree + 1) for degree in range(size, 0, -1)]
    )
    assert run.remarks == ()
    assert run.close.octave == (5 if direction is UP else 4)
    assert run.close_degree == (size + 1 if direction is UP else 1)


@settings(deadline=None, max_examples=60)
@given(HORN, ANY_KEY, PATTERN, st.sampled_from([Span.ONE, Span.TWO, Span.OCTAVES]))
def test_joined_runs_share_their_top_tonic(
    horn: Instrument, key: Key, pattern: Pattern, span: Span
) -> None:
    """Joined at the top: up ends on the note from which down starts counting."""
    try:
        up, down = (
            build_run(key, pattern, way, span=span, horn=horn, joined=True) for way in (UP, DOWN)
        )
    except TheoryError:
        return
    octaves, rest = divmod(up.close_degree - down.close_degree, len(SCALES[key.scale].up))
    assert rest == 0
    assert up.close.midi - down.close.midi == 12 * octaves
    if not up.remarks and not down.remarks:
        assert octaves >= 1


def test_joined_on_alto_in_b_flat_starts_an_octave_up_so_that_both_fit() -> None:
    """A mirrored run needs room below the tonic: the horn has no A3 under its low Bb3."""
    pattern = find_pattern("1-2-3-1")
    key = parse_key("Bb")
    apart = build_run(key, pattern, UP, horn=ALTO)
    assert str(apart.cells[0].notes[0]) == "Bb3"
    joined = [build_run(key, pattern, way, horn=ALTO, joined=True) for way in (UP, DOWN)]
    assert str(joined[0].cells[0].notes[0]) == "Bb4"
    assert joined[0].close == joined[1].cells[0].notes[0]
    assert joined[0].remarks == (Remark(Fit.MOVED, octaves=1),)


def test_alto_in_b_flat_down_starts_an_octave_up_and_says_so() -> None:
    run = build_run(parse_key("Bb"), find_pattern("1-2-3-1"), DOWN, horn=ALTO)
    assert str(run.close) == "Bb4"
    assert run.remarks == (Remark(Fit.MOVED, octaves=1),)


@settings(deadline=None)
@given(HORN, ANY_KEY, PATTERN, st.sampled_from(Direction))
def test_one_octave_starts_at_the_usual_tonic_whose_whole_run_fits(
    horn: Instrument, key: Key, pattern: Pattern, direction: Direction
) -> None:
    """Held against a search over all octaves of the run that nothing limits: the first from the
    horn's usual first note up, else the first below it."""
    free_run = build_run(key, pattern, direction)
    limits = limits_of(horn)
    lowest = [
        shift
        for shift in range(-60, 61, 12)
        if all(
            limits_hold(limits, note.midi + shift)
            for notes in (*(cell.notes for cell in free_run.cells), (free_run.close,))
            for note in notes
        )
    ]
    tonic = free_run.close.midi - (12 if direction is UP else 0)
    lowest = [shift for shift in lowest if limits_hold(limits, tonic + shift)]
    usual = [shift for shift in lowest if tonic + shift >= horn.first.midi]
    if lowest:
        run = build_run(key, pattern, direction, horn=horn)
        assert run.close.midi == free_run.close.midi + (usual[0] if usual else lowest[-1])
        assert len(run.cells) == len(free_run.cells)
        assert not any(remark.labels for remark in run.remarks)


def limits_hold(limits: Limits, midi: int) -> bool:
    assert limits.low is not None
    assert limits.high is not None
    return limits.low.midi <= midi <= limits.high.midi


def test_two_full_octaves_on_alto_in_ten_of_fifteen_keys() -> None:
    """Alto, Bb3 to F6: one octave only in Gb, Ab, G, A and F sharp (arithmetic)."""
    one = {
        str(tonic)
        for tonic in tonics("major")
        if build_run(
            Key(tonic, "major"), PATTERNS["scale"], UP, span=Span.OCTAVES, horn=ALTO
        ).close_degree
        == 8
    }
    assert one == {"Gb", "Ab", "G", "A", "F#"}


@settings(deadline=None)
@given(HORN, MAJOR)
def test_full_range_of_the_plain_scale_covers_the_horn(horn: Instrument, key: Key) -> None:
    """Up to the highest note of the key, down to the lowest, back to the tonic."""
    up = build_run(key, PATTERNS["scale"], UP, span=Span.FULL, horn=horn)
    down = build_run(key, PATTERNS["scale"], DOWN, span=Span.FULL, horn=horn)
    heard = [cell.notes[0].midi for cell in up.cells]
    assert heard == sorted(heard)
    all_notes = {
        midi
        for midi in range(horn.low.midi, horn.high.midi + 1)
        if midi % 12 in {name.pitch_class for name in scale_of(key).up}
    }
    assert max(heard) == max(all_notes)
    walked = [cell.notes[0].midi for cell in down.cells]
    assert walked[0] == max(all_notes)
    assert min(walked) == min(all_notes)
    assert set(walked) | {down.close.midi} == all_notes
    turn = walked.index(min(walked))
    assert walked[: turn + 1] == sorted(walked[: turn + 1], reverse=True)
    assert walked[turn:] == sorted(walked[turn:])
    assert down.close.midi == min(midi for midi in all_notes if midi % 12 == key.tonic.pitch_class)


def test_full_range_needs_two_ends() -> None:
    with pytest.raises(TheoryError, match="full range needs an instrument"):
        build_run(parse_key("C"), PATTERNS["scale"], UP, span=Span.FULL)


def test_a_cell_far_above_its_degree_starts_under_the_lowest_tonic() -> None:
    """5-8-9-10 in B on a descant recorder, C4 to C6: from B4 no cell of it fits."""
    run = build_run(
        parse_key("B"), find_pattern("5-8-9-10"), UP, horn=INSTRUMENTS["recorder_descant"]
    )
    assert " ".join(map(str, run.cells[0].notes)) == "F#4 B4 C#5 D#5"
    assert str(run.close) == "B4"
    assert run.remarks[0] == Remark(Fit.BELOW)


def test_cells_that_do_not_fit_are_left_out_and_named() -> None:
    run = build_run(
        parse_key("C"),
        PATTERNS["octaves"],
        UP,
        limits=Limits(parse_note("C4"), parse_note("G5")),
    )
    assert [cell.label for cell in run.cells] == ["1", "2", "3", "4", "5"]
    assert run.remarks == (Remark(Fit.LACKING, ("6", "7")),)


def test_a_range_without_a_tonic_is_said() -> None:
    limits = Limits(parse_note("D4"), parse_note("B4"))
    with pytest.raises(TheoryError, match="there is no C on the horn"):
        build_run(parse_key("C"), PATTERNS["scale"], UP, limits=limits)


@settings(deadline=None, max_examples=60)
@given(HORN, st.sampled_from(sorted(ROOT_ORDERS)), st.sampled_from(Direction), MAJOR)
def test_root_runs_are_on_the_horn_and_end_on_the_tonic(
    horn: Instrument, order: str, direction: Direction, key: Key
) -> None:
    pattern = free_pattern(("1-2-b3-5",), mode=Mode.ROOT, roots=ROOT_ORDERS[order])
    run = build_run(key, pattern, direction, horn=horn)
    check(run, limits_of(horn))
    assert len(run.cells) == len(ROOT_ORDERS[order])


def test_degree_one_of_a_major_key_is_where_both_modes_coincide() -> None:
    """1-2-3-5 in key mode on 1 is 1-2-3-5 in root mode; on 2 they differ."""
    diatonic = build_run(parse_key("D"), free_pattern(("1-2-3-5",)), UP)
    exact = build_run(
        parse_key("D"), free_pattern(("1-2-3-5",), mode=Mode.ROOT, roots=("1", "2")), UP
    )
    assert diatonic.cells[0].notes == exact.cells[0].notes
    assert diatonic.cells[1].notes[2].name == Name("G")
    assert exact.cells[1].notes[2].name == Name("G", 1)


@pytest.mark.parametrize("direction", [UP, DOWN])
def test_two_cells_take_turns_over_the_whole_horn(direction: Direction) -> None:
    pattern = free_pattern(("1-2-3-1", "3-2-1-3"))
    run = build_run(parse_key("C"), pattern, direction, span=Span.FULL, horn=ALTO)
    walked = [cell for cell in run.cells if cell.degree >= 1] if direction is DOWN else run.cells
    rises = [cell.notes[1].midi > cell.notes[0].midi for cell in walked]
    assert len(rises) > 10
    assert all(one != next_one for one, next_one in pairwise(rises))
