"""What can be done is said in the words of who is there."""

from __future__ import annotations

import re

import pytest

from drill.wording.desk import ROWS, TRICKY_ROWS
from drill.wording.remedies import Remedy

_SHELL = re.compile(r"--[a-z]|\bdrill [a-z]")


@pytest.mark.parametrize("remedy", Remedy)
def test_the_screens_speak_of_no_shell(remedy: Remedy) -> None:
    assert _SHELL.search(remedy.told(on_screen=False))
    assert not _SHELL.search(remedy.told(on_screen=True))


def test_rows_that_are_named_are_there() -> None:
    labels = {label for table in (ROWS, TRICKY_ROWS) for label, _ in table.values()}
    labels |= {"Answers", "For", "Given to"}
    for remedy in Remedy:
        told = remedy.told(on_screen=True).replace("another log's", "another log`s")
        for named in re.findall(r"'([^']+)'", told):
            assert named.replace("`", "'") in labels
