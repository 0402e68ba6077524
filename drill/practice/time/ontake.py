"""A take along with the click, judged as a run in time that is typed, and kept in the log.

Its tempi are a book of their own (``tempi.ON_HORN``): what fingers and breath can do is not
what a keyboard can.  The beat is read off the onsets, for nobody knows how late the devices
are; so what is early or late as a whole is not told, and nothing finer than ``FINEST_MS``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from statistics import median

from drill.hearing.line import Line
from drill.hearing.values import Heard, HeardAs
from drill.memory.items import Answer, Item, NoteResult
from drill.memory.kinds import PLAYED_IN_TIME
from drill.memory.tempo import Try
from drill.practice.syllabus import item_of, key_name, shape_id
from drill.practice.time.tempi import DEFAULT_BPM, ON_HORN, Kept, book_of
from drill.practice.time.timing import Timing, judge
from drill.terms import Run
from drill.wording.sentence import Sentence
from drill.wording.take import FINEST_MS
from drill.wording.timing import kept_on_horn_told

PRACTICE = "takes"
"""All takes of a day are one practice: three that are locked in on end make a step."""
_OUTCOMES = {
    HeardAs.RIGHT: NoteResult.RIGHT,
    HeardAs.WRONG: NoteResult.WRONG,
    HeardAs.UNSURE: NoteResult.MISSING,
    HeardAs.UNHEARD: NoteResult.MISSING,
}


@dataclass(frozen=True, slots=True)
class TakePart:
    """One run of a take: up or down."""

    run: Run
    first: int
    """Its first note in the line."""
    count: int
    """Its notes, the closing tonic among them."""
    timing: Timing

    @property
    def pattern(self) -> str:
        """The pattern's name in the tempo book."""
        return shape_id(self.run.pattern, self.run.direction)

    @property
    def key(self) -> str:
        """The key's name in the tempo book."""
        return key_name(self.run.key)


def timing_of(line: Line, heard: Heard, first: int = 0, count: int | None = None) -> Timing | None:
    """How some notes of a take (all of them) were in time.

    None without a tempo, where notes have more than one length or none was heard, and where the
    player began again: the beat went on meanwhile.
    """
    if line.note_s is None or heard.restarts or not line.even:
        return None
    notes = heard.notes[first:] if count is None else heard.notes[first : first + count]
    onsets = [note.on_s for note in notes]
    due = [line.due_s(first + at) for at in range(len(notes))]
    apart = [on - at for on, at in zip(onsets, due, strict=True) if on is not None]
    if not apart:
        return None
    begin = median(apart)
    return judge(
        onsets,
        [at + begin for at in due],
        line.note_s * line.beat_notes,
        notes_right=all(note.outcome is HeardAs.RIGHT for note in notes),
        jitter_s=FINEST_MS / 1000,
    )


def parts_of(line: Line, heard: Heard, runs: Sequence[Run]) -> tuple[TakePart, ...]:
    """Each run of a take by itself; empty where ``timing_of`` can say nothing."""
    found, first = [], 0
    for run in runs:
        count = sum(len(cell.notes) for cell in run.cells)
        closes = first + count < len(line.places) and not line.places[first + count].cell
        count += closes
        timing = timing_of(line, heard, first, count)
        if timing is None:
            return ()
        found.append(TakePart(run, first, count, timing))
        first += count
    return tuple(found)


@dataclass(frozen=True, slots=True)
class TakeRow:
    """What all rows of a take share."""

    at: datetime
    day: str
    bpm: float
    notes_per_beat: int
    deck: str = ""
    """The deck's fingerprint; empty for none."""
    deck_name: str = ""


def rows_of(
    part: TakePart, heard: Heard, kind: TakeRow, new_id: Callable[[], str]
) -> list[tuple[Item, Answer]]:
    """An answer for each cell of a run, its timing in the details of each."""
    rows, at, name = [], part.first, new_id()
    for index, cell in enumerate(part.run.cells):
        notes = heard.notes[at : at + len(cell.notes)]
        at += len(cell.notes)
        outcomes = tuple(_OUTCOMES[note.outcome].value for note in notes)
        item = item_of(part.run, index)
        row = Answer(
            uuid=new_id(),
            at=kind.at,
            day=kind.day,
            item=item.id,
            right=all(note.outcome is HeardAs.RIGHT for note in notes),
            deck=kind.deck,
            deck_name=kind.deck_name,
            kind=PLAYED_IN_TIME,
            outcomes=outcomes,
            tempo=kind.bpm,
            details=_kept(part, heard, kind, name, index).text(),
        )
        rows.append((item, row))
    return rows


def next_tempo(answers: Iterable[Answer], run: Run, begin: float, day: date) -> float:
    """The tempo of the next take of a run: where its staircase stands, on another day a little
    under what was locked in, and ``begin`` where nothing is known."""
    book = book_of(answers, begin, ON_HORN)
    pattern = shape_id(run.pattern, run.direction)
    return float(book.next_bpm(pattern, key_name(run.key), (day, PRACTICE)))


def keep_tempi(
    parts: Iterable[TakePart],
    heard: Heard,
    kind: TakeRow,
    answers: Iterable[Answer],
    keep: Callable[[Item, Answer], object],
    new_id: Callable[[], str],
) -> list[Sentence]:
    """Keep how each run of a take was in time; a sentence for each, with the tempo that is next.

    ``answers`` are those of the log before the take.
    """
    book, day, told = book_of(answers, DEFAULT_BPM, ON_HORN), date.fromisoformat(kind.day), []
    for part in parts:
        for item, answer in rows_of(part, heard, kind, new_id):
            keep(item, answer)
        one = Try(part.pattern, part.key, kind.bpm, part.timing.locked_in, day, PRACTICE)
        stair = book.tell(one)
        told.append(
            kept_on_horn_told(
                part.run.key,
                part.run.direction.value,
                part.timing.outcome,
                (stair.streak, book.rule.passes),
                stair.bpm,
            )
        )
    return told


def _kept(part: TakePart, heard: Heard, kind: TakeRow, name: str, cell: int) -> Kept:
    timing = part.timing
    notes = heard.notes[part.first : part.first + part.count]
    return Kept(
        bout=name,
        practice=PRACTICE,
        pattern=part.pattern,
        key=part.key,
        cell=cell,
        cells=len(part.run.cells),
        outcome=timing.outcome.value,
        passed=timing.locked_in,
        right=sum(note.outcome is HeardAs.RIGHT for note in notes),
        notes=len(notes),
        lead_ms=0.0,
        spread_ms=float(max(FINEST_MS, round(timing.spread_s * 1000))),
        drift_ms=round(timing.drift_s * 1000, 1),
        jitter_ms=timing.jitter_s * 1000,
        off_ms=(),  # a note's own milliseconds are not measured finely enough to be kept
        notes_per_beat=kind.notes_per_beat,
        uncertain_ms=round(timing.beat_s * 500, 1),
    )
