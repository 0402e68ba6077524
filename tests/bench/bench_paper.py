"""How long a sheet takes: 15 keys, one pattern up and down, from runs to PDF.

Run it from the checkout: ``python tests/bench/bench_paper.py``.  The
baseline, in the same run, is the engraver alone: verovio drawing the same music from
one file on pages of its own, with no headings and no PDF.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "paper"))
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from paper_runs import all_keys, runs
from timing import timed

from drill.paper.engrave import Engraver, line_spaces
from drill.paper.layout import Given, Style, sections
from drill.paper.musicxml import musicxml_bytes
from drill.paper.score import Score
from drill.theory.instruments import INSTRUMENTS

TIMES = 7


def least_and_median(what: Callable[[], object]) -> tuple[float, float]:
    """Of several runs, in milliseconds."""
    spent = [1000 * seconds for seconds in timed(what, TIMES)]
    return min(spent), statistics.median(spent)


def main() -> None:
    """Print the figures."""
    begin = time.perf_counter()
    engraver = Engraver("a4")
    print(f"loading both libraries          {(time.perf_counter() - begin) * 1000:7.0f} ms")
    import verovio

    toolkit = verovio.toolkit()
    horn = INSTRUMENTS["alto_sax"]
    style = Style(line=line_spaces("a4"))
    made = runs(horn, "1-2-3-1", all_keys())
    score = Score("Returning cell", horn, sections(made, horn, style), horn.name)
    music = musicxml_bytes(score).decode()

    def alone() -> int:
        toolkit.setOptions({"header": "none", "footer": "none"})
        toolkit.loadData(music)
        return sum(len(toolkit.renderToSVG(page + 1)) for page in range(toolkit.getPageCount()))

    open_ = Style(line=line_spaces("a4", by_hand=True), given=Given.FIRST)
    sheet = Score(
        "Returning cell", horn, sections(made, horn, open_), worksheet=True, answers=score.sections
    )
    base, _ = least_and_median(alone)
    rows: list[tuple[str, Callable[[], object]]] = [
        ("the engraver alone (baseline)", alone),
        ("layout of 30 runs", lambda: sections(made, horn, style)),
        ("MusicXML", lambda: musicxml_bytes(score)),
        ("PDF", lambda: engraver.pdf(score)),
        ("SVG pages", lambda: engraver.svg(score)),
        ("worksheet with answers, PDF", lambda: engraver.pdf(sheet)),
    ]
    for name, what in rows:
        least, median = least_and_median(what)
        print(
            f"{name:<31} {least:7.1f} ms least {median:7.1f} median {least / base:6.2f} x baseline"
        )
    sizes = {
        "MusicXML": len(music.encode()),
        "PDF": len(engraver.pdf(score)),
        "SVG": sum(map(len, engraver.svg(score))),
        "worksheet PDF": len(engraver.pdf(sheet)),
    }
    for name, size in sizes.items():
        print(f"{name:<31} {size / 1000:7.0f} kB")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{'peak memory of the process':<31} {peak:7.0f} MiB")


if __name__ == "__main__":
    main()
