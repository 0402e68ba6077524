"""What a prompt says of digits in scales that have not seven notes."""

from __future__ import annotations

import pytest

from drill.theory.scales import parse_key
from drill.wording.asking import counted_told


@pytest.mark.parametrize(
    ("key", "told"),
    [
        ("G", ""),
        ("G harmonic_minor", ""),
        ("A minor_pentatonic", "notes 1 to 5 are 1 b3 4 5 b7"),
        ("F bebop_dominant", "notes 1 to 8 are 1 2 3 4 5 6 b7 7"),
        ("C chromatic", "notes 1 to 12 by half steps"),
    ],
)
def test_what_the_digits_count(key: str, told: str) -> None:
    """The cell on 2 of A minor pentatonic begins on C, which players call flat 3."""
    assert counted_told(parse_key(key)) == told
