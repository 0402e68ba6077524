"""Where runs of a deck begin and end, how their notes are grouped, all turns of a cell."""

from __future__ import annotations

from drill.decks.load import loads
from drill.decks.schema import Deck
from drill.practice.syllabus import build

HEAD = 'title = "T"\ninstrument = "flute"\nkeys = ["G"]\ndirections = ["up"]\n'


def deck(text: str) -> Deck:
    return loads(HEAD + text, "d.toml")


def test_begin_and_finish_move_the_ends_of_the_runs() -> None:
    made = build(deck('patterns = ["scale"]\nbegin = 5\nfinish = 1'))
    assert [cell.label for cell in made.runs[0].cells] == ["5", "6", "7"]
    assert str(made.runs[0].close) == "G5"
    plain = build(deck('patterns = ["scale"]'))
    # The cells are the same items as in a run on the tonic; the run is another.
    shared = {item.id for item in made.items} & {item.id for item in plain.items}
    assert len(shared) == len(made.items) == 3
    assert made.items[0].run != plain.items[0].run


def test_groups_are_asked_in_place_of_cells() -> None:
    made = build(deck('patterns = ["return3"]\ngroups_of = 3'))
    assert {len(entry.cell.notes) for entry in made.entries.values()} == {1, 3}
    assert len(made.entries) == 10
    both = build(deck('patterns = ["return3"]\ngroups_of = 3'), ("degree", "key"))
    assert not any(entry.back for entry in both.entries.values())


def test_one_line_is_all_rotations_or_permutations() -> None:
    rotations = deck('patterns = [{ cell = "1-2-3-5", all = "rotations" }]').patterns
    assert [each.text for each in rotations] == ["1-2-3-5", "2-3-5-8", "3-5-8-9", "5-8-9-10"]
    assert len(deck('[[pattern]]\ncell = "1-2-3-5"\nall = "permutations"').patterns) == 24
    assert deck('[[pattern]]\nid = "c1235"\nall = "rotations"').patterns == rotations


def test_each_changes_the_fingerprint() -> None:
    texts = ["", "begin = 3", "begin = 3\nfinish = 5", "groups_of = 3", "groups_of = 5"]
    prints = {deck(f'patterns = ["return3"]\n{text}').fingerprint for text in texts}
    assert len(prints) == len(texts)
