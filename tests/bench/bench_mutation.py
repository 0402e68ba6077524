"""How many small changes to the program the tests notice.

    python tests/bench/bench_mutation.py --folder DIR [--mutants 300] [--seed N] [--room tui]
    python tests/bench/bench_mutation.py --folder DIR ... --again tests/tui/test_flow.py ...

Each mutant changes one thing at a random place (`mutant_sites`).  It is *killed* where a test
fails on it or takes ten times its time.  Which test runs which line is recorded once, with
`coverage`, which must be there: `pip install coverage` into the environment that runs this.  Of a
mutant the tests that run its line are run, by turns from each file, the quick ones first, until one
fails or ``--longest`` recorded seconds of them have passed.  Every test that kills is run once on
the program as it is, where it must pass.

All of it happens in a copy of the checkout in DIR, which also holds the recording and what was
found: begun again with the same DIR and seed, it goes on where it was.  ``--again`` copies these
test files as they are now and runs them on what survived.  ``--deeper`` gives those so many
seconds of the tests that were left out before.  ``--at FILE:LINE`` tries every change
of a place and keeps nothing.  ``--branches`` tells what the recording covers.
Aims: of 300 over all rooms 90 in 100 killed, of 100 over the screens 85.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

from mutant_record import FOLDER, Recording, covered, settings_text
from mutant_runs import Outcome, Runner, adopt_children
from mutant_sites import Site, changed, sites

ROOT = Path(__file__).resolve().parents[2]
FIRST_TESTS, FIRST_FILES = 40, 5
ALIVE = ("passed", "unrun")
LONGEST_S = 30.0
"""Of a line that is run all over, so many recorded seconds of tests, the likely ones first."""


class Bench:
    """One draw of mutants, its copy of the checkout and what was found."""

    def __init__(self, folder: Path, room: str, seed: int, longest_s: float) -> None:
        self.folder = folder
        self.longest_s = longest_s
        self.copy = folder / "copy"
        self.recording = Recording(folder / "rec", self.copy)
        self.found_file = folder / f"found-{room or 'all'}-{seed}.json"
        self.found: dict[str, dict[str, object]] = {}
        if self.found_file.exists():
            self.found = json.loads(self.found_file.read_text(encoding="utf-8"))
        self.sound_file = folder / "sound.json"
        self.sound: dict[str, bool] = {}
        """Tests that killed, and whether they pass on the program as it is."""
        if self.sound_file.exists():
            self.sound = json.loads(self.sound_file.read_text(encoding="utf-8"))
        self.runner = Runner(self.copy, folder, self.recording.seconds)

    def tests_for(self, site: Site) -> list[str]:
        """The tests that run a place: by turns from each file, those of its room and quick ones
        first."""
        found: set[str] = set()
        if site.at_import:
            found = self.recording.tests_of(site.file, 1, 1_000_000) | self.importing(site)
        else:
            for first, last in (site.lines, site.statement):
                found = found or self.recording.tests_of(site.file, first, last)
        near = self.importing(site)
        seconds = self.recording.seconds
        usable = sorted(
            (test for test in found if self.sound.get(test, True)), key=seconds.__getitem__
        )
        # By turns from each file: tests of one file mostly look at the same.
        turns: Counter[str] = Counter()
        turn = {}
        for test in usable:
            file = test.partition("::")[0]
            turns[file] += 1
            turn[test] = turns[file]
        return sorted(usable, key=lambda test: (turn[test] // 4, test not in near, seconds[test]))

    def importing(self, site: Site) -> set[str]:
        """The tests whose file imports a module, and those of its room: for tables."""
        parts = site.file.removesuffix(".py").split("/")
        module, room = ".".join(parts), f"tests/{parts[1]}/"
        texts: dict[str, bool] = {}
        for test in self.recording.seconds:
            file = test.partition("::")[0]
            if file not in texts:
                text = (self.copy / file).read_text(encoding="utf-8")
                texts[file] = module in text or file.startswith(room)
        return {test for test in self.recording.seconds if texts[test.partition("::")[0]]}

    def see(self, site: Site, again: list[str], deeper: float) -> None:
        """Tries a mutant where that is still to be done, says how it fared and keeps it."""
        name = f"{site.file}:{site.line}+{site.begin}"
        before = self.found.get(name)
        if before is not None and (before["how"] not in ALIVE or not (again or deeper)):
            return
        began = time.monotonic()
        tests = again or self.tests_for(site)
        if not tests:
            outcome, count = Outcome("unrun"), 0
        elif again:
            outcome, count = self.changed_run(site, tests), len(tests)
        elif deeper:
            outcome, count = self.tried_deeper(site, tests, deeper)
        else:
            outcome, count = self.tried(site, tests)
        took = round(time.monotonic() - began, 1)
        print(f"{outcome.how:6s} {took:6.1f} s {name} {site.what} {outcome.test}", flush=True)
        if outcome.how in ALIVE and again:
            return
        self.found[name] = {
            "file": site.file, "line": site.line, "what": site.what, "how": outcome.how,
            "by": outcome.test, "tests": count, "seconds": took, "again": bool(again),
        }  # fmt: skip
        self.found_file.write_text(json.dumps(self.found, indent=1), encoding="utf-8")

    def within(self, tests: list[str], longest_s: float) -> list[str]:
        """As many of the tests as fit into so many seconds; at least one."""
        chosen: list[str] = []
        total = 0.0
        for test in tests:
            seconds = self.recording.seconds[test]
            if not chosen or total + seconds <= longest_s:
                chosen.append(test)
                total += seconds
        return chosen

    def tried(self, site: Site, tests: list[str]) -> tuple[Outcome, int]:
        """How a mutant fares, and how many tests it was given."""
        chosen = self.within(tests, self.longest_s)
        first: list[str] = []
        files: set[str] = set()
        for test in chosen:
            file = test.partition("::")[0]
            if len(first) < FIRST_TESTS and (file in files or len(files) < FIRST_FILES):
                files.add(file)
                first.append(test)
        outcome = self.changed_run(site, first)
        rest = [test for test in chosen if test not in set(first)]
        if outcome.how == "passed" and rest:
            return self.changed_run(site, by_file(rest)), len(chosen)
        return outcome, len(first)

    def tried_deeper(self, site: Site, tests: list[str], longest_s: float) -> tuple[Outcome, int]:
        """The same for one that survived, with tests that were too long before."""
        had = set(self.within(tests, self.longest_s))
        more = self.within([test for test in tests if test not in had] or tests[:1], longest_s)
        return self.changed_run(site, by_file(more)), len(had) + len(more)

    def changed_run(self, site: Site, tests: list[str]) -> Outcome:
        """Runs tests on a mutant; a test that fails without it as well does not count."""
        path = self.copy / site.file
        whole, stat = path.read_bytes(), path.stat()
        unsound: set[str] = set()
        while True:
            try:
                path.write_bytes(changed(site, whole))
                os.utime(path, ns=(stat.st_atime_ns, time.time_ns()))
                outcome = self.runner.run([test for test in tests if test not in unsound], unsound)
            finally:
                path.write_bytes(whole)
                os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))  # its byte code fits again
            if outcome.how in {"passed", "broken"} or self.passes(outcome.test):
                return outcome
            if outcome.test in unsound:
                return Outcome("passed")
            unsound.add(outcome.test)

    def passes(self, test: str) -> bool:
        """Whether a test passes, or a whole file can be read, on the program as it is."""
        if test and test not in self.sound:
            self.sound[test] = self.runner.run([test], collect="::" not in test).how == "passed"
            self.sound_file.write_text(json.dumps(self.sound, indent=1), encoding="utf-8")
        return self.sound.get(test, True)


def by_file(tests: list[str]) -> list[str]:
    """The same tests, those of a file together: it is prepared once."""
    return sorted(tests, key=lambda test: test.partition("::")[0])


def drawn(copy: Path, room: str, count: int, seed: int) -> list[Site]:
    """So many changes at random places; longer modules have more of them."""
    every: list[Site] = []
    for file in sorted((copy / "drill" / room).rglob("*.py")):
        every += sites(copy, file)
    return random.Random(seed).sample(every, min(count, len(every)))


def make_copy(folder: Path) -> None:
    """The checkout as it is now with its environment, and one run of all its tests, recorded.

    Goes on in the environment of the copy.
    """
    copy, rec = folder / "copy", folder / "rec"
    if not copy.exists():
        copy.mkdir(parents=True)
        for name in ("drill", "tests", "decks", ".ci"):
            ignored = shutil.ignore_patterns("__pycache__")
            shutil.copytree(ROOT / name, copy / name, ignore=ignored)
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, copy)
    env = copy / ".drill-env-tests"
    if not env.exists():  # its path file is relative: what is started from it is the copy's program
        shutil.copytree(ROOT / env.name, env, symlinks=True, copy_function=os.link)
    if Path(sys.prefix).resolve() != env.resolve():
        python = str(env / "bin" / "python")
        os.execv(python, [python, *sys.argv])
    if not list(rec.glob("seconds-*.json")):
        rec.mkdir(exist_ok=True)
        (rec / "coveragerc").write_text(settings_text(copy, rec), encoding="utf-8")
        begin = (
            "import sys; sys.path.insert(0, 'tests/bench'); import mutant_record, pytest;"
            "sys.path.pop(0); sys.exit(pytest.main(['-p', 'mutant_record', '-q', '-n', '0']))"
        )
        environment = {**os.environ, FOLDER: str(rec)}
        subprocess.run([sys.executable, "-P", "-c", begin], cwd=copy, env=environment, check=False)


def report(found: dict[str, dict[str, object]]) -> str:
    """What was found, by room, and every survivor."""
    rooms = Counter(str(row["file"]).split("/")[1] for row in found.values())
    alive = {name: row for name, row in found.items() if row["how"] in ALIVE}
    by_room = Counter(str(row["file"]).split("/")[1] for row in alive.values())
    rows = [f"{name:12s} {n - by_room[name]:3d} of {n:3d}" for name, n in sorted(rooms.items())]
    for name, row in sorted(alive.items()):
        tests = "no test runs it" if row["how"] == "unrun" else f"{row['tests']} tests"
        rows.append(f"SURVIVED {name}: {row['what']} ({tests})")
    hung = sum(row["how"] == "hung" for row in found.values())
    dead = len(found) - len(alive)
    rows.append(
        f"{dead} of {len(found)} killed: {100 * dead / max(1, len(found)):.0f} % ({hung} hung)"
    )
    return "\n".join(rows)


def try_at(bench: Bench, place: str) -> None:
    """Tries every change of a line."""
    file, _, line = place.partition(":")
    for site in sites(bench.copy, bench.copy / file):
        if site.line == int(line):
            tests = bench.tests_for(site)
            outcome, count = bench.tried(site, tests) if tests else (Outcome("unrun"), 0)
            print(
                f"{outcome.how:6s} {place} {site.what} ({count} tests) {outcome.test}", flush=True
            )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--mutants", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--room", default="", help="a folder of drill/; all of them if left out")
    parser.add_argument("--minutes", type=float, default=60.0, help="begin no mutant after these")
    parser.add_argument("--longest", type=float, default=LONGEST_S, metavar="SECONDS")
    parser.add_argument("--again", nargs="*", default=[], metavar="TEST_FILE")
    parser.add_argument("--deeper", type=float, default=0.0, metavar="SECONDS")
    parser.add_argument("--at", nargs="*", default=[], metavar="FILE:LINE")
    parser.add_argument("--branches", action="store_true", help="lines and branches by room")
    parser.add_argument("--report", action="store_true", help="run nothing; say what was found")
    args = parser.parse_args()
    end = time.monotonic() + 60 * args.minutes
    make_copy(args.folder)
    if args.branches:
        print(covered(args.folder / "rec", args.folder / "copy"))
        return 0
    adopt_children()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # the copy is made good first
    bench = Bench(args.folder, args.room, args.seed, args.longest)
    for name in args.again:
        shutil.copy(ROOT / name, bench.copy / name)
    for place in args.at:
        try_at(bench, place)
    if args.at:
        return 0
    for site in drawn(bench.copy, args.room, 0 if args.report else args.mutants, args.seed):
        if time.monotonic() > end:
            break
        bench.see(site, args.again, args.deeper)
    print(report(bench.found))
    return 0


if __name__ == "__main__":
    sys.exit(main())
