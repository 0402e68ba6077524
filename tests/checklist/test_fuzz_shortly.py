"""A few hundred inputs of the fuzzing bench for each reader, and that the bench can fail."""

from __future__ import annotations

import random
import signal
from pathlib import Path

import bench_fuzz
import fuzz_inputs
import pytest

OUTCOMES = ("read", "refused", "told", "nothing new", "whole", "part, told")
READERS = "cells notes settings results decks lines merges logs midi musicxml".split()


@pytest.mark.parametrize("reader", READERS)
def test_a_reader_takes_anything(reader: str, tmp_path: Path) -> None:
    found = {name: (read_one, make) for name, read_one, make in bench_fuzz.readers(tmp_path)}
    read_one, make = found[reader]
    rng = random.Random(f"suite {reader}")
    for _ in range(200 if reader in ("merges", "logs", "midi", "musicxml") else 600):
        assert read_one(make(rng)) in OUTCOMES


def test_the_bench_sees_a_crash_and_a_refusal_without_a_reason() -> None:
    def crashes(text: str) -> str:
        return bench_fuzz.reasoned("")

    figures = bench_fuzz.Figures()
    bench_fuzz.fuzz(crashes, lambda rng: "x", 3, "suite", 1e18, figures)
    assert len(figures.crashes) == 3
    assert figures.outcomes["crashed"] == 3
    assert not figures.good
    assert "suite input 2" in figures.told("notes")
    with pytest.raises(bench_fuzz.BadReasonError):
        bench_fuzz.reasoned("red \x1b[31m")


def test_an_input_is_the_same_wherever_the_bench_begins(tmp_path: Path) -> None:
    def inputs(begin: int) -> list[str]:
        seen: list[str] = []
        figures = bench_fuzz.Figures(next=begin)

        def taken(text: str) -> str:
            seen.append(text)
            return "read"

        bench_fuzz.fuzz(taken, fuzz_inputs.cells, 12_000, "suite", 1e18, figures)
        assert figures.number == 12_000 - begin
        return seen

    assert inputs(11_500) == inputs(0)[11_500:]


def test_the_bench_goes_on_where_it_stopped(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    state = tmp_path / "state.json"
    assert bench_fuzz.main(["cells", "--inputs", "300", "--state", str(state)]) == 0
    assert bench_fuzz.main(["cells", "--inputs", "500", "--state", str(state)]) == 0
    assert "cells     500 inputs" in capsys.readouterr().out
    assert bench_fuzz._kept(state)["cells"].next == 500


@pytest.mark.skipif(not hasattr(signal, "alarm"), reason="no alarm on this system")
def test_what_does_not_end_is_a_hang(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bench_fuzz, "HANGS_S", 1)

    def hangs(text: str) -> str:
        while True:
            try:
                signal.pause()
            except Exception:
                continue

    figures = bench_fuzz.Figures()
    bench_fuzz.fuzz(hangs, lambda rng: "x", 1, "suite", 1e18, figures, slow_s=1e9)
    assert figures.outcomes["hung"] == 1
    assert not figures.good
