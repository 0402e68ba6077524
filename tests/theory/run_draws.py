"""What hypothesis draws for the tests of runs: horns, keys, patterns, cells."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from drill.terms import (
    Descent,
    Digit,
    Ending,
    Key,
    Pattern,
    Shape,
)
from drill.theory.instruments import INSTRUMENTS
from drill.theory.patterns import PATTERNS
from drill.theory.scales import SCALES, tonics

PATTERN = st.sampled_from(list(PATTERNS.values()))
ANY_WAY = st.builds(
    lambda pattern, descent, ending: replace(pattern, descent=descent, ending=ending),
    PATTERN, st.sampled_from(Descent), st.sampled_from(Ending),
)  # fmt: skip
"""A pattern with any descent and any ending."""
HORN = st.sampled_from(list(INSTRUMENTS.values()))
MAJOR = st.sampled_from([Key(tonic, "major") for tonic in tonics("major")])
ANY_KEY = st.sampled_from(list(SCALES)).flatmap(
    lambda scale: st.sampled_from([Key(tonic, scale) for tonic in tonics(scale)])
)
PLAIN_SHAPE: st.SearchStrategy[Shape] = st.lists(
    st.integers(-8, 9).map(lambda offset: Digit(offset % 7 + 1, offset // 7)),
    min_size=2,
    max_size=6,
).map(tuple)
SHAPE: st.SearchStrategy[Shape] = st.lists(
    st.builds(
        lambda offset, modifier: Digit(offset % 7 + 1, offset // 7, modifier),
        st.integers(-8, 9),
        st.sampled_from(["", "", "l", "u", "ll", "uu"]),
    ),
    min_size=2,
    max_size=6,
).map(tuple)


def free(
    shape: Shape, descent: Descent = Descent.MIRROR, ending: Ending = Ending.OVERRUN
) -> Pattern:
    """A pattern of one cell."""
    return Pattern("free", "free", (shape,), 1, descent, ending)
