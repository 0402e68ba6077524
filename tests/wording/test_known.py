"""What is said of how much is known, word for word."""

from __future__ import annotations

from drill.wording.known import known_told


def test_cells_answers_and_recall() -> None:
    assert known_told(105, 210, 640, 0.736) == (
        "105 of 210 cells asked, 640 answers; recall expected now 74 %."
    )
    assert known_told(0, 28, 1, 0.0).endswith("1 answer; recall expected now 0 %.")
