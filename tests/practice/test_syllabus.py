"""From decks to items: ids that last, octaves and decks that share, cells left out and said so.

Ids are frozen here: a log written by an older version must go on meaning the same cells.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from practising import deck

from drill.decks.schema import Deck
from drill.errors import DataError
from drill.practice.syllabus import Syllabus, build, item_of
from drill.terms import Direction, Ending, Span
from drill.theory.instruments import INSTRUMENTS
from drill.theory.patterns import PATTERNS, find_pattern, free_pattern
from drill.theory.runs import build_run
from drill.theory.scales import SCALES, has_signature, parse_key
from drill.wording.voice import PLAIN


def table(of: Deck) -> Syllabus:
    return build(of)


def ids(**fields: str) -> list[str]:
    return list(table(deck(**fields)).entries)


FROZEN = [
    ("return3", "G", "up", Span.ONE, "alto_sax", 3, "G:major:1-2-3-1/up:4"),
    ("return3", "G", "down", Span.ONE, "alto_sax", 0, "G:major:1-2-3-1~mirror/down:8"),
    ("return3", "G", "down", Span.ONE, "alto_sax", 6, "G:major:1-2-3-1~mirror/down:2"),
    ("1-2-3-1", "G", "up", Span.ONE, "alto_sax", 3, "G:major:1-2-3-1/up:4"),
    ("thirds_alt", "F#", "up", Span.ONE, None, 1, "F#:major:1-3-4-2~by2/up:3"),
    ("encl_dc", "Bb", "down", Span.ONE, None, 0, "Bb:major:2-l1-1~same-shape/down:8"),
    ("turn", "Eb", "up", Span.ONE, None, 2, "Eb:major:2-1-7.-1/up:3"),
    ("scale", "A harmonic_minor", "up", Span.ONE, None, 6, "A:harmonic_minor:1/up:7"),
    ("groups3", "C whole_tone", "down", Span.ONE, None, 0, "C:whole_tone:1-2-3~mirror/down:7"),
    ("return3", "Cb", "up", Span.TWO, None, 8, "Cb:major:1-2-3-1/up:2"),
    ("chord-m7b5", "Bb", "up", Span.ONE, None, 0, "Bb:major:1-b3-b5-b7/up:1"),
]


@pytest.mark.parametrize(("pattern", "key", "way", "span", "horn", "index", "wanted"), FROZEN)
def test_the_ids_of_items_are_frozen(
    pattern: str, key: str, way: str, span: Span, horn: str | None, index: int, wanted: str
) -> None:
    run = build_run(
        parse_key(key), find_pattern(pattern), Direction(way), span=span,
        horn=INSTRUMENTS[horn] if horn else None,
    )  # fmt: skip
    item = item_of(run, index)
    assert item.id == wanted
    assert item.id.startswith(f"{item.key}:{item.shape}:")


def test_an_item_names_its_key_shape_facts_and_place() -> None:
    run = build_run(parse_key("D"), PATTERNS["return3"], Direction.UP)
    item = item_of(run, 1)
    assert item.key == "D:major"
    assert item.shape == "1-2-3-1/up"
    assert item.facts == ("D:major:E", "D:major:F#", "D:major:G", "D:major:E")
    assert item.accidentals == 2
    assert (item.run, item.place) == ("D:major:1-2-3-1/up", 1)


@pytest.mark.parametrize("horn", ["alto_sax", "clarinet_bb", "flute", "bassoon", "tuba"])
def test_a_cell_is_one_item_on_every_horn_and_in_every_octave(horn: str) -> None:
    key = parse_key("F")
    for way in Direction:
        one = build_run(key, PATTERNS["return3"], way)
        full = build_run(key, PATTERNS["return3"], way, span=Span.FULL, horn=INSTRUMENTS[horn])
        known = {item_of(one, index).id for index in range(7)}
        other = {
            item_of(full, index).id
            for index, cell in enumerate(full.cells)
            if cell.direction is way
        }
        assert other == known


SPANS = (Span.ONE, Span.TWO)


def spelled_ids(descents: bool = True) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each item with its notes, over patterns, endings and spans of one key."""
    for pattern_id in ("return3", "thirds", "triad_broken", "cln", "thirds_alt"):
        for ending in Ending:
            cells = tuple(PATTERNS[pattern_id].cells)
            for descent in (PATTERNS[pattern_id].descent, "retrograde", "same-shape"):
                made = free_pattern(
                    tuple("-".join(map(str, cell)) for cell in cells),
                    moves_by=PATTERNS[pattern_id].moves_by,
                    descent=type(PATTERNS[pattern_id].descent)(descent),
                    ending=ending,
                )
                for span in SPANS:
                    for way in Direction:
                        run = build_run(parse_key("Eb"), made, way, span=span)
                        for index, cell in enumerate(run.cells):
                            names = tuple(str(note.name) for note in cell.notes)
                            yield item_of(run, index).id, names


def test_an_id_always_means_the_same_notes() -> None:
    notes: dict[str, tuple[str, ...]] = {}
    for item, names in spelled_ids():
        assert notes.setdefault(item, names) == names, item
    assert len(notes) > 300


def test_two_decks_with_the_same_cells_share_their_items() -> None:
    catalogue = set(ids(patterns='["return3"]', keys='["G", "F"]'))
    free = set(ids(patterns='["1-2-3-1"]', keys='["F", "C"]', instrument='"flute"'))
    assert catalogue & free == {item for item in catalogue if item.startswith("F:")}
    assert len(catalogue) == 28


def test_ids_are_unique_and_in_the_deck_order() -> None:
    entries = table(deck(patterns='["return3", "thirds"]')).entries
    assert len(entries) == 4 * 2 * 2 * 7
    assert list(entries)[:8] == [
        *(f"G:major:1-2-3-1/up:{n}" for n in range(1, 8)),
        "G:major:1-2-3-1~mirror/down:8",
    ]
    assert all(entry.item.id == item for item, entry in entries.items())


def test_a_deck_may_ask_some_degrees_only() -> None:
    found = ids(degrees="[4, 8]", keys='["G"]')
    assert found == [
        "G:major:1-2-3-1/up:4", "G:major:1-2-3-1~mirror/down:8", "G:major:1-2-3-1~mirror/down:4",
    ]  # fmt: skip


def test_a_degree_that_is_on_no_run_is_said() -> None:
    with pytest.raises(DataError, match="nothing to ask: none of its runs has the degrees"):
        table(deck(degrees="[13]"))


def test_what_the_horn_cannot_play_is_left_out_and_said() -> None:
    # An alto has no A3: the mirrored cells at the bottom of B flat do not fit there
    # (written range Bb3 to F6, reference/instruments.csv), so that the run begins an octave higher.
    made = table(deck(keys='["Bb"]', directions='["down"]'))
    assert tuple(map(PLAIN.text, made.remarks)) == (
        (
            "returning cell in Bb major down begins an octave higher than usual: "
            "from there all of it is on the horn"
        ),
    )
    low, high = INSTRUMENTS["alto_sax"].low.midi, INSTRUMENTS["alto_sax"].high.midi
    for entry in made.entries.values():
        assert all(low <= note.midi <= high for note in entry.cell.notes)


def test_a_run_that_does_not_fit_at_all_is_left_out_and_the_others_stay() -> None:
    # An octave holds cells of a third and none of a ninth.
    limits = 'range = { low = "C4", high = "C5" }'
    of = deck(patterns='["ninths5", "thirds"]', keys='["C"]', instrument=f'"flute"\n{limits}')
    made = table(of)
    assert {entry.run.pattern.id for entry in made.entries.values()} == {"thirds"}
    assert any(
        "ninth arpeggios in C major up is left out" in PLAIN.text(said) for said in made.remarks
    )
    assert any("leaves out the cell on 7" in PLAIN.text(said) for said in made.remarks)
    alone = deck(patterns='["ninths5"]', keys='["C"]', instrument=f'"flute"\n{limits}')
    with pytest.raises(DataError, match="nothing to ask: ninth arpeggios in C major up is left"):
        table(alone)


def test_the_concert_key_of_the_deck_is_kept() -> None:
    # Concert D flat on alto is written B flat, and sounds as D flat, not C sharp.
    made = table(deck(keys='["Bb"]'))
    assert str(made.concert(parse_key("Bb")).tonic) == "Db"
    entry = next(iter(made.entries.values()))
    assert made.question(entry).concert == parse_key("Db")
    assert made.sounding(parse_key("Bb"), entry.cell) == tuple(
        note.midi - 9 for note in entry.cell.notes
    )


def test_questions_the_other_way_round_have_items_of_their_own() -> None:
    made = build(deck(keys='["G", "D"]'), ("key", "signature", "concert"))
    kinds = {item.rpartition(":")[2] for item in made.entries}
    assert kinds == {"key", "signature", "concert"}
    assert sum(item.endswith(":signature") for item in made.entries) == 2
    both = build(deck(keys='["G"]'), ("next", "signature"))
    assert sum(not entry.back for entry in both.entries.values()) == 14
    assert sum(entry.back == "signature" for entry in both.entries.values()) == 1
    at_pitch = build(deck(keys='["G"]', instrument='"flute"'), ("next", "concert"))
    assert not any(entry.back for entry in at_pitch.entries.values())


def test_a_cell_on_a_root_is_asked_neither_for_its_degree_nor_for_its_key() -> None:
    made = build(deck(patterns='["chord-m7"]', keys='["G"]'), ("next", "key", "which-degree"))
    assert not any(entry.back for entry in made.entries.values())


def test_one_concert_key_is_asked_for_once() -> None:
    made = build(deck(keys='["C#", "Db", "G"]'), ("written",))
    assert [str(entry.run.key.tonic) for entry in made.entries.values()] == ["Db", "G"]


def test_a_signature_is_asked_for_only_where_players_agree_on_one() -> None:
    """Of 40 scales: the modes, the minors and the pentatonics have one (common practice)."""
    have = [kind for kind in SCALES if has_signature(kind)]
    assert have == [
        "major", "natural_minor", "harmonic_minor", "melodic_minor_classical",
        "melodic_minor_jazz", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian",
        "major_pentatonic", "minor_pentatonic",
    ]  # fmt: skip
    for scale in ("altered", "lydian_dominant", "whole_tone"):
        made = build(deck(keys='["C"]', scales=f'["{scale}"]'), ("next", "signature"))
        assert not any(entry.back for entry in made.entries.values())


def test_chords_are_named_the_other_way_round() -> None:
    made = build(deck(patterns='["Dm7 G7 Cmaj7", "return3"]', keys='["G"]'), ("chord",))
    assert [entry.cell.symbol for entry in made.entries.values()] == [
        "Am7", "D7", "Gmaj7", "Am7", "D7", "Gmaj7",
    ]  # fmt: skip
    assert {entry.back for entry in made.entries.values()} == {"chord"}
    both = build(deck(patterns='["Dm7 G7"]', keys='["G"]'), ("degree", "chord"))
    assert len(both.entries) == 8
