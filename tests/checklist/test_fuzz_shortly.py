"""A few hundred inputs of the fuzzing bench for each reader, and that the bench can fail."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "bench"))

import bench_fuzz

READERS = "cells notes settings results decks lines merges midi musicxml".split()


@pytest.mark.parametrize("reader", READERS)
def test_a_reader_takes_anything(reader: str, tmp_path: Path) -> None:
    found = {name: (read_one, make) for name, read_one, make in bench_fuzz.readers(tmp_path)}
    read_one, make = found[reader]
    rng = random.Random(f"suite {reader}")
    for _ in range(200 if reader in ("merges", "midi", "musicxml") else 600):
        assert read_one(make(rng)) in ("read", "refused", "told", "nothing new")


def test_the_bench_sees_a_crash_and_a_refusal_without_a_reason() -> None:
    def crashes(text: str) -> str:
        return bench_fuzz.reasoned("")

    figures = bench_fuzz.fuzz(crashes, lambda rng: "x", 3, random.Random(1), 1e18)
    assert len(figures.crashes) == 3
    assert not figures.good
    with pytest.raises(bench_fuzz.BadReasonError):
        bench_fuzz.reasoned("red \x1b[31m")
