"""The table of the checklist in DEVELOPERS.md names tests that exist."""

from __future__ import annotations

import re
from pathlib import Path

ROW = re.compile(r"^\| (\d+) \| ([^|]+) \| ([^|]+) \|$", re.MULTILINE)


def test_every_point_names_tests_that_exist(checkout: Path) -> None:
    text = (checkout / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.partition("## The terminal checklist")[2].partition("\n## ")[0]
    rows = ROW.findall(table)
    assert [int(number) for number, _, _ in rows] == list(range(1, 46))
    for number, _, named in rows:
        tests = re.findall(r"`([^`]+)`", named)
        assert tests, f"point {number} has no test"
        for each in tests:
            file, _, name = each.partition("::")
            source = (checkout / "tests" / file).read_text(encoding="utf-8")
            if name:
                assert re.search(rf"^(async )?def {name}\(", source, re.MULTILINE), each
            else:
                assert file.startswith("bench/"), each
