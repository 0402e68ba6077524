"""Of one bar and one note it is said in the singular."""

from __future__ import annotations

import pytest

from drill.theory import faults


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (faults.no_notes(3, 3, "a.mid"), "bar 3 of a.mid has no notes"),
        (faults.no_notes(3, 4, "a.mid"), "bars 3 to 4 of a.mid have no notes"),
        (faults.line_long("a.mid", 1, 16), "a.mid has 1 note; a pattern has 2 to 16"),
        (faults.line_long("a.mid", 19, 16), "a.mid has 19 notes; a pattern has 2 to 16"),
        (
            faults.no_such("bar", 9, "a.mid", faults.bars_told(1, 1)),
            "a.mid has bar 1, and no bar 9",
        ),
    ],
)
def test_one_is_told_as_one(fault: Exception, said: str) -> None:
    assert str(fault) == said
