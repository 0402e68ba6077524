"""What can be done is said in the words of who is there."""

from __future__ import annotations

import re

import pytest

from drill.wording.desk import ASSIGN_ROWS, HAND_ROWS, PRINT_ROWS, ROWS, TRICKY_ROWS
from drill.wording.remedies import Remedy

_SHELL = re.compile(r"--[a-z]|\bdrill [a-z]")


@pytest.mark.parametrize("remedy", Remedy)
def test_the_screens_speak_of_no_shell(remedy: Remedy) -> None:
    assert _SHELL.search(remedy.told(on_screen=False))
    assert not _SHELL.search(remedy.told(on_screen=True))


def test_rows_that_are_named_are_there() -> None:
    tables = (ROWS, TRICKY_ROWS, HAND_ROWS, PRINT_ROWS, ASSIGN_ROWS)
    labels = {label for table in tables for label, _ in table.values()}
    named = [
        each.replace("`", "'")
        for remedy in Remedy
        for each in re.findall(r"'([^']+)'", remedy.told(on_screen=True).replace("log's", "log`s"))
    ]
    assert len(set(named)) > 5
    assert set(named) <= labels
