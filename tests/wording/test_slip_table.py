"""The table of slips: one row a kind, in one order, and every sentence of it can be made."""

from __future__ import annotations

from drill.marking.verdict import Slip
from drill.memory.kinds import Kind as Asked
from drill.wording.slips import KEY_SLIPS, KINDS, ORDER, asked_against, slip_label


def test_every_slip_has_one_row() -> None:
    assert [kind.slip for kind in KINDS] == list(dict.fromkeys(kind.slip for kind in KINDS))
    assert {kind.slip for kind in KINDS} == set(Slip)


def test_labels_tell_rows_apart_and_are_no_ids() -> None:
    labels = [kind.label for kind in KINDS]
    assert len(set(labels)) == len(labels)
    assert slip_label("signature-forgotten") == "signature forgotten"
    assert slip_label("of-a-later-version") == "of-a-later-version"


def test_what_is_tried_is_the_table_in_its_order() -> None:
    tried = [kind.slip for kind in KINDS if kind.test is not None]
    assert [slip for slip, _ in ORDER] == tried
    assert Slip.UNEXPLAINED not in tried


def test_brackets_are_of_rows_that_can_be_a_remark() -> None:
    by_slip = {kind.slip: kind for kind in KINDS}
    for kind in KINDS:
        for slip in kind.brackets:
            assert by_slip[slip].aside is not None
            assert slip is not kind.slip


def test_every_slip_has_a_practice_against_it() -> None:
    for kind in KINDS:
        assert kind.against
        assert asked_against(kind.slip.value) == kind.against
    assert asked_against("of-a-later-version") == (Asked.NEXT,)
    assert {Slip.OTHER_KEY.value, Slip.NEIGHBOUR.value} <= KEY_SLIPS
