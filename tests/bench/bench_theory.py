"""What theory costs, beside a baseline measured in the same run.

    python tests/bench/bench_theory.py            # a minute
    python tests/bench/bench_theory.py --sweep    # and the whole sweep, a few minutes

Prints the time to build a deck of 15 keys x 46 patterns x 2 directions, all 600
scales, one cell, reading a name, beside ``import music21``; and the whole command
``drill spell`` in a fresh interpreter beside ``import numpy``.  The sweep holds every run of
46 instruments x 15 keys x 46 patterns x 5 spans x 2 directions against the range
of the horn and the tonic, and ends with code 1 where one breaks a promise.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from timing import timed  # noqa: E402

from drill.errors import TheoryError  # noqa: E402
from drill.terms import Direction, Key, Span  # noqa: E402
from drill.theory.instruments import INSTRUMENTS  # noqa: E402
from drill.theory.language import Language  # noqa: E402
from drill.theory.limits import limits_of  # noqa: E402
from drill.theory.names import read_name  # noqa: E402
from drill.theory.patterns import PATTERNS  # noqa: E402
from drill.theory.runs import build_run  # noqa: E402
from drill.theory.scales import SCALES, scale_of, tonics  # noqa: E402

ALTO = INSTRUMENTS["alto_sax"]
MAJORS = [Key(tonic, "major") for tonic in tonics("major")]


def best(work: Callable[[], object], times: int = 5) -> float:
    """Seconds of the quickest of several goes."""
    return min(timed(work, times))


def row(what: str, seconds: float, baseline: float, beside: str) -> None:
    unit = f"{seconds * 1000:9.2f} ms" if seconds >= 1e-4 else f"{seconds * 1e6:9.2f} us"
    print(f"{what:58} {unit}  {seconds / baseline:8.3f} x {beside}")


def deck() -> int:
    """Cells of the deck of 15 keys x 46 patterns x 2 directions on alto."""
    return sum(
        len(build_run(key, pattern, direction, horn=ALTO).cells)
        for key in MAJORS
        for pattern in PATTERNS.values()
        for direction in Direction
    )


def scales() -> int:
    return sum(len(scale_of(Key(tonic, scale)).up) for scale in SCALES for tonic in tonics(scale))


def anew(work: Callable[[], object]) -> None:
    """The work where no scale is known."""
    scale_of.cache_clear()
    work()


def native_scales() -> int:
    """The baseline of 15 scales: music21's own major scale classes."""
    from music21 import scale

    return sum(len(scale.MajorScale(str(key.tonic).replace("b", "-")).pitches) for key in MAJORS)


def in_process() -> None:
    loading = time.perf_counter()
    import music21  # noqa: F401

    loading = time.perf_counter() - loading
    print(f"{'import music21, in this process':58} {loading * 1000:9.2f} ms\n")
    beside = "that import"
    row("first deck, no scale known", best(lambda: anew(deck), 1), loading, beside)
    cells = deck()
    again = best(deck, 3)
    row(f"the deck again ({cells} cells)", again, loading, beside)
    row("  a cell of it", again / cells, again, "the deck")
    row("40 scales x 15 tonics, none known", best(lambda: anew(scales), 1), loading, beside)
    row("40 scales x 15 tonics, all known", best(scales), loading, beside)
    native = best(native_scales)
    ours = best(lambda: anew(lambda: [scale_of(key) for key in MAJORS]))
    row("15 major scales by music21's own classes", native, native, "itself")
    row("15 major scales by drill, none known", ours, native, "music21's classes")
    row(
        "reading one typed name",
        best(lambda: [read_name("Bb", Language.ENGLISH) for _ in range(10_000)]) / 10_000,
        loading,
        beside,
    )


SPELL = ("-m", "drill", "spell", "1-2-3-1", "--key", "all", "--json")


def started(home: str, *arguments: str) -> float:
    """Processor time in seconds of a fresh interpreter with its data under ``home``."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={**os.environ, "DRILL_HOME": home},
        check=True,
        stdout=subprocess.DEVNULL,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def starts(times: int = 15) -> None:
    """``drill spell`` of 15 keys both ways in a home where nothing is kept, turn about with
    ``import numpy``, which is small among the libraries that programs load."""
    bare: list[float] = []
    numpy: list[float] = []
    symbols: list[float] = []
    spell: list[float] = []
    for turn in range(times):
        with tempfile.TemporaryDirectory() as home:
            bare.append(started(home, "-c", "pass"))
            numpy.append(started(home, "-c", "import numpy"))
            symbols.append(started(home, "-c", "import music21") if turn < 5 else symbols[-1])
            spell.append(started(home, *SPELL))
    baseline, beside = statistics.median(numpy), "import numpy"
    print()
    row("a bare interpreter", statistics.median(bare), baseline, beside)
    row("import numpy, a fresh interpreter", baseline, baseline, "itself")
    row("import music21, which spelling does without", statistics.median(symbols), baseline, beside)
    row("drill spell of 15 keys, nothing kept", statistics.median(spell), baseline, beside)
    ratio = statistics.median(one / other for one, other in zip(spell, numpy, strict=True))
    print(f"drill spell to import numpy, pair by pair: {ratio:.2f} (aim 1.3)")


def sweep() -> int:
    """Runs that break a promise: a note off the horn, an end that is not a tonic, or no run."""
    broken: Counter[str] = Counter()
    remarked = count = 0
    start = time.perf_counter()
    for horn in INSTRUMENTS.values():
        limits = limits_of(horn)
        for key in MAJORS:
            for pattern in PATTERNS.values():
                for span in Span:
                    for direction in Direction:
                        count += 1
                        try:
                            run = build_run(key, pattern, direction, span=span, horn=horn)
                        except TheoryError:
                            broken["no run"] += 1
                            continue
                        remarked += bool(run.remarks)
                        if not all(limits.hold(cell.notes) for cell in run.cells):
                            broken["a note off the horn"] += 1
                        if run.close.name != key.tonic or not limits.hold((run.close,)):
                            broken["not on the tonic"] += 1
    taken = time.perf_counter() - start
    print(
        f"\nsweep: {count} runs in {taken:.1f} s ({taken / count * 1e6:.0f} us each), "
        f"{remarked} fitted to the horn with a remark, {sum(broken.values())} broken {dict(broken)}"
    )
    return sum(broken.values())


def main() -> int:
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--sweep", action="store_true", help="every run of every instrument")
    asked = reader.parse_args()
    in_process()
    starts()
    return 1 if asked.sweep and sweep() > 0 else 0


if __name__ == "__main__":
    sys.exit(main())
