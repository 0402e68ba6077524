"""One and several, and a fault of which only the first line is said."""

from __future__ import annotations

import pytest

from drill.wording.handing import earlier_left_out
from drill.wording.paper import page_failed


def test_one_answer_was_and_several_were() -> None:
    assert earlier_left_out(1, "Few keys") == (
        "1 answer to Few keys was given before the deck was edited, and is not in it: "
        "--earlier takes them too"
    )
    assert earlier_left_out(2, "Few keys") == (
        "2 answers to Few keys were given before the deck was edited, and are not in it: "
        "--earlier takes them too"
    )


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        ("a line\nmore", "a line"),
        ("  one  ", "one"),
        ("", "no reason given"),
        (OSError(), "no reason given"),
    ],
)
def test_the_first_line_of_reasons_is_said(fault: object, said: str) -> None:
    assert page_failed(fault) == f"the page could not be made: {said}"
