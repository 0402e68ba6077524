"""How well a take is heard: the goals' table over made takes of seeds that set nothing.

    .drill-env-tests/bin/python tests/bench/bench_take.py [--takes N] [--answers N] [--seed N]
    .drill-env-tests/bin/python tests/bench/bench_take.py --help

The takes are made from sampled sound fonts (see ``made_takes``), none is played by a person: no
figure here says how well a person is heard.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Generator, Iterable, Iterator
from dataclasses import dataclass, field

import made_takes
import numpy as np
import pitch_tracker
from line_states import judged_by_states
from made_takes import KEPT_RATE, Made, Played

import drill.hearing.hear
from drill.hearing.hear import hear
from drill.hearing.horns import octaves_told
from drill.hearing.live import CellEar, learned
from drill.hearing.values import Asked, DoubtKind, Heard, HeardAs, NoteHeard

BLOCK_S = 0.010
"""What a sound card hands over at a time."""
FLAGS = (HeardAs.WRONG, HeardAs.UNHEARD, HeardAs.UNSURE)


def asked_of(made: Made) -> Asked:
    """What was asked of the player of a made take."""
    return Asked(
        tuple(made.asked),
        made.note_s,
        made.spec.swing,
        group=made.group,
        octaves_told=octaves_told(made.spec.horn),
    )


@dataclass
class Table:
    """What is counted over all takes."""

    count: Counter[str] = field(default_factory=Counter)
    onset_slurred: list[float] = field(default_factory=list)
    onset_tongued: list[float] = field(default_factory=list)
    cents: list[float] = field(default_factory=list)
    swing: list[float] = field(default_factory=list)
    spread: list[float] = field(default_factory=list)
    shape: list[float] = field(default_factory=list)
    by_horn: dict[str, Counter[str]] = field(default_factory=dict)
    cpu_s: float = 0.0
    sound_s: float = 0.0


def judge_take(table: Table, seed: int, made: Made, heard: Heard) -> Iterator[str]:
    """Count a take; a line for each false word and each error that was passed over."""
    where = f"{seed} {made.spec.horn} {made.spec.font} {made.spec.art} bpm {made.spec.bpm:g}"
    where += f" room {made.spec.room_s:g} noise {made.spec.snr}"
    horn = table.by_horn.setdefault(made.spec.horn, Counter())
    final = {note.asked: note for note in made.notes if note.asked is not None}
    false = 0
    for truth, note in zip(made.truth, heard.notes, strict=True):
        table.count["notes"] += 1
        flagged = note.outcome in FLAGS
        table.count[f"{truth}:{note.outcome.value}"] += 1
        if truth == "right" and flagged:
            false += 1
            yield f"{where}: note {note.index} called {note.outcome}, heard {note.heard}"
        if truth != "right" and not flagged:
            yield f"{where}: note {note.index} {truth} passed over"
        if truth == "right" and note.outcome is HeardAs.RIGHT and note.index in final:
            _measure(table, final[note.index], note)
    false += yield from _extras(table, made, heard, where)
    again = bool(heard.restarts)
    did = "restart" in made.errors.values()
    table.count[f"restart {did}:{again}"] += 1
    false += again and not did
    table.count["takes"] += 1
    table.count["takes with a false word"] += bool(false)
    horn["takes"] += 1
    horn["false"] += bool(false)
    if not made.errors:
        table.count["clean"] += 1
        table.count["clean with a false word"] += bool(false)
    _whole(table, made, heard, final)


def _measure(table: Table, played: Played, note: NoteHeard) -> None:
    assert note.on_s is not None
    late = (note.on_s - played.onset) * 1000
    (table.onset_slurred if played.slur else table.onset_tongued).append(late)
    if note.cents is not None and played.end - played.onset > 0.07:
        table.cents.append(note.cents - played.cents)


def _extras(table: Table, made: Made, heard: Heard, where: str) -> Generator[str, None, int]:
    false = 0
    left = [each for each in heard.doubts if each.kind is DoubtKind.EXTRA]
    for note in made.notes:
        if note.asked is None and note.kind != "restart":
            reach = 0.12 + made.note_s * (1.3 if note.kind == "repeat" else 0.6)
            hit = next((each for each in left if abs(each.at_s - note.onset) < reach), None)
            table.count[f"{note.kind}:{'mentioned' if hit else 'not'}"] += 1
            if hit:
                left.remove(hit)
    begun = [note.onset for note in made.notes if note.kind == "restart"]
    for each in left:
        if not any(abs(each.at_s - at) < made.note_s for at in begun):
            table.count["false extra"] += 1
            false += 1
            yield f"{where}: extra at {each.at_s:.2f}"
    return false


def _whole(table: Table, made: Made, heard: Heard, final: dict[int, Played]) -> None:
    told, true = [], []
    for note in heard.notes[1:]:
        if note.slurred is not None and made.truth[note.index] == "right" and note.index in final:
            told.append(note.slurred)
            true.append(final[note.index].slur)
    table.count["joins"] += len(true)
    table.count["joins told"] += sum(a == b for a, b in zip(told, true, strict=True))
    period = made.group if made.group > 2 else 4
    passages: dict[tuple[int, int], list[bool]] = {}
    for note in heard.notes[1:]:
        if note.slurred is not None and made.truth[note.index] == "right" and note.index in final:
            key = note.index % period, note.index // (8 * period)
            passages.setdefault(key, []).append(note.slurred == final[note.index].slur)
    table.count["passages"] += len(passages)
    table.count["passages told"] += sum(float(np.mean(each)) > 0.5 for each in passages.values())
    swing = _swing(made, final)
    if heard.swing is not None and swing is not None:
        table.swing.append(heard.swing - swing)
    if heard.spread_ms is not None and not made.errors:
        table.spread.append(heard.spread_ms - _spread(made, final))
    if made.spec.shape and made.spec.horn:
        pairs = [
            (note.db, final[note.index].db)
            for note in heard.notes
            if note.db is not None and note.index in final and final[note.index].db is not None
        ]
        if len(pairs) > 8:
            table.shape.append(float(np.corrcoef(np.array(pairs).T)[0, 1]))


def _beats(made: Made, final: dict[int, Played]) -> list[tuple[float, float]]:
    """First and second note of each beat that was played without a pause, in seconds."""
    found = []
    for at in range(0, len(made.asked) - 2, 2):
        plain = not any(each in made.errors for each in range(at - 1, at + 4))
        if plain and all(each in final for each in (at, at + 1, at + 2)):
            one, two, after = (final[each].onset for each in (at, at + 1, at + 2))
            if after - two > 0.02 and after - one < 2.6 * made.note_s:
                found.append((two - one, after - two))
    return found


def _swing(made: Made, final: dict[int, Played]) -> float | None:
    beats = _beats(made, final)
    if len(beats) < 4:
        return None
    return sum(one for one, _ in beats) / sum(two for _, two in beats)


def _spread(made: Made, final: dict[int, Played]) -> float:
    return made.spec.jitter * 1000


# The table.


def part(one: int, whole: int) -> str:
    return f"{100 * one / whole:.1f} % ({one} of {whole})" if whole else "none"


def spread_of(values: list[float]) -> str:
    if not values:
        return "none"
    off = np.abs(values)
    return f"median {np.median(off):.1f}, p95 {np.percentile(off, 95):.1f}"


def report(table: Table) -> None:
    """Print the table."""
    for name, value in [*_words(table.count), *_measures(table)]:
        print(f"{name:<52} {value}")
    for horn, each in table.by_horn.items():
        print(f"  {horn:<14} no false word in {part(each['takes'] - each['false'], each['takes'])}")


ERRORS = ("accidental", "neighbour", "octave", "missing")


def _words(count: Counter[str]) -> list[tuple[str, str]]:
    """What was said, beside what was played."""

    def total(truths: tuple[str, ...], outcomes: Iterable[HeardAs]) -> int:
        return sum(count[f"{truth}:{each.value}"] for truth in truths for each in outcomes)

    pitch = ("accidental", "neighbour")
    wrong_true = total((*pitch, "octave"), [HeardAs.WRONG])
    wrong_said = wrong_true + total(("right", "missing"), [HeardAs.WRONG])
    played = total(pitch, HeardAs)
    true, false = total(ERRORS, FLAGS), total(("right",), FLAGS)
    octave, unsure = count["octave:unsure"], total(("right",), [HeardAs.UNSURE])
    unheard = total(ERRORS, [HeardAs.UNHEARD])
    takes, bad = count["takes"], count["takes with a false word"]
    clean, blamed = count["clean"], count["clean with a false word"]
    again, missed = count["restart True:True"], count["restart True:False"]
    rows = [
        ("takes, notes", f"{takes}, {count['notes']}"),
        ("called wrong and wrong", part(wrong_true, wrong_said)),
        ("wrong notes that were flagged", part(total(pitch, FLAGS), played)),
        ("wrong notes that were called wrong", part(total(pitch, [HeardAs.WRONG]), played)),
        ("all flags on asked notes: precision", part(true, true + false)),
        ("                          recall", part(true, total(ERRORS, HeardAs))),
        ("takes with no false word", part(takes - bad, takes)),
        ("clean takes with no false word", part(clean - blamed, clean)),
        ("octaves: right where said", part(octave, octave + unsure)),
        ("         said of those played", part(octave, total(("octave",), HeardAs))),
        ("unheard that were missing or wrong", part(unheard, unheard + count["right:unheard"])),
        ("new starts said of those made", part(again, again + missed)),
        ("new starts said and none made", str(count["restart False:True"])),
    ]
    for kind in ("extra", "repeat", "squeak"):
        seen = count[f"{kind}:mentioned"]
        rows.append((f"{kind} mentioned", part(seen, seen + count[f"{kind}:not"])))
    return [*rows, ("false extra sounds", str(count["false extra"]))]


def _measures(table: Table) -> list[tuple[str, str]]:
    """How near what was measured lies."""
    count = table.count
    bias = [f"{np.median(each or [0]):+.1f}" for each in (table.onset_slurred, table.onset_tongued)]
    swing, level, spread = (each or [0] for each in (table.swing, table.shape, table.spread))
    over = f"median {np.median(spread):+.1f}, p90 {np.percentile(spread, 90):+.1f}"
    along = f"median {np.median(level):.2f}, p10 {np.percentile(level, 10):.2f}"
    return [
        ("onset, slurred, ms", spread_of(table.onset_slurred)),
        ("onset, tongued, ms", spread_of(table.onset_tongued)),
        ("bias of onsets, slurred / tongued, ms", " / ".join(bias)),
        ("slurred told from tongued, by note", part(count["joins told"], count["joins"])),
        ("                           by passage", part(count["passages told"], count["passages"])),
        ("swing ratio, p95", f"{np.percentile(np.abs(swing), 95):.3f}"),
        ("spread of a clean take over its player's own, ms", over),
        ("level, r of shaped takes", along),
        ("cents a note", spread_of(table.cents)),
        ("CPU for a second of sound", f"{table.cpu_s / max(1e-9, table.sound_s):.4f} s"),
    ]  # fmt: skip


# Takes, and answers.


def hear_takes(first: int, many: int, show: bool) -> Table:
    """The table over takes of the seeds from ``first`` on, horn by horn."""
    table, bank, horns = Table(), made_takes.bank(), list(made_takes.HORNS)
    for seed in range(first, first + many):
        made = made_takes.make(seed, bank, horns[seed % len(horns)])
        asked = asked_of(made)
        begin = time.process_time()
        heard = hear(made.samples, KEPT_RATE, asked)
        table.cpu_s += time.process_time() - begin
        table.sound_s += len(made.samples) / KEPT_RATE
        for line in judge_take(table, seed, made, heard):
            if show:
                print(line)
    return table


def hear_answers(first: int, many: int, show: bool) -> None:
    """Cells of five notes, played as answers and fed block by block."""
    bank, horns = made_takes.bank(), list(made_takes.HORNS)
    count: Counter[str] = Counter()
    whole: list[float] = []
    quiet: list[float] = []
    stopped: list[float] = []
    cpu = sound = 0.0
    for seed in range(first, first + many):
        made = made_takes.make(seed, bank, horns[seed % len(horns)], cell_of=5)
        room = np.random.default_rng(seed).normal(0, 1e-4, 2 * KEPT_RATE).astype(np.float32)
        samples = np.concatenate([made.samples, room])
        note = made_takes.long_note(made.spec, bank)
        ear = CellEar(
            tuple(made.asked),
            KEPT_RATE,
            octaves_told=octaves_told(made.spec.horn),
            known=learned(note[0], KEPT_RATE, note[1], note[2]) if note else None,
        )
        begin, block = time.process_time(), int(BLOCK_S * KEPT_RATE)
        answer = None
        for at in range(0, len(samples), block):
            answer = ear.feed(samples[at : at + block])
            if answer is not None:
                break
        cpu += time.process_time() - begin
        sound += (answer.at_s if answer else len(samples) / KEPT_RATE) if many else 0
        count["answers"] += 1
        if answer is None:
            count["none"] += 1
            continue
        count[answer.ended.value] += 1
        truth = [kind != "right" for kind in made.truth]
        said = [note.outcome in FLAGS for note in answer.heard.notes]
        count["right verdict"] += any(truth) == any(said)
        count["right notes"] += truth == said
        last = made.notes[-1]
        # A cell that was whole before it was begun again or its last note repeated is judged then.
        first_time = next((x for x in made.notes if x.asked == 4 or x.kind == "restart"), last)
        count["early"] += answer.at_s < min(first_time.onset, last.onset)
        if answer.at_s >= last.onset:
            late = answer.at_s - (last.onset if answer.ended.value == "whole" else last.end)
            missing = made.truth[-1] == "missing"
            (whole if answer.ended.value == "whole" else stopped if missing else quiet).append(late)
        if show and any(truth) != any(said):
            print(f"{seed} {made.spec.horn}: {made.errors}, said {said}")
    print(f"{'answers of five notes':<52} {count['answers']}, none for {count['none']}")
    print(f"{'right or wrong told rightly':<52} {part(count['right verdict'], count['answers'])}")
    print(f"{'every note told rightly':<52} {part(count['right notes'], count['answers'])}")
    print(f"{'judged before the last note':<52} {count['early']}")
    for name, lates in (
        ("whole: after the last onset, ms", whole),
        ("judged on silence: after the end, ms", quiet),
        ("stopped before the last note: after the end, ms", stopped),
    ):
        print(f"{name:<52} {spread_of([1000 * each for each in lates])} ({len(lates)})")
    print(f"{'CPU of a core while listening in blocks of 10 ms':<52} {100 * cpu / sound:.1f} %")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--takes", type=int, default=300)
    parser.add_argument("--answers", type=int, default=120)
    parser.add_argument("--seed", type=int, default=100_000, help="the first seed")
    parser.add_argument("--states", action="store_true", help="hear takes by the line's states")
    parser.add_argument("--show", action="store_true", help="a line for each false word")
    parser.add_argument("--tracker", action="store_true", help="hear takes by librosa's pitches")
    args = parser.parse_args()
    lack = made_takes.lacking() or (pitch_tracker.lacking() if args.tracker else None)
    if lack is not None:
        print(f"skipped: {lack}")
        return
    print(f"fonts: {', '.join(made_takes.bank().fonts)}; seeds from {args.seed}")
    if args.states:
        vars(drill.hearing.hear)["judged"] = judged_by_states
    if args.takes:
        report(hear_takes(args.seed, args.takes, args.show))
    if args.answers:
        hear_answers(args.seed + 50_000, args.answers, args.show)


if __name__ == "__main__":
    main()
