"""One bout in time: a count-in, then cells of a run, each in its bar, each note on its beat.

Conventions: times inside a bout are seconds into its take; the take's first beat
follows the count-in.  The clock is the one that sounds the take (``Playing.at``), and
what a player typed is laid against it afterwards: nothing here waits or plays.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from drill.marking.mark import Marker
from drill.marking.question import Question
from drill.marking.verdict import Verdict
from drill.memory.kinds import Kind
from drill.practice.effects import Prompt
from drill.practice.syllabus import Entry, Syllabus, shape_id
from drill.practice.time.strokes import Sung, laid
from drill.practice.time.timing import FINEST_S, OFF_SHARE, SPREAD_SHARE, Timing, judge
from drill.sound.limits import VOLUME
from drill.sound.phrasing import Manner, Phrase, note_times, phrase_take, read_swing
from drill.sound.spectra import colour_of
from drill.sound.take import Take
from drill.terms import Name, Note
from drill.theory.metre import read_click, read_metre
from drill.theory.names import show_name
from drill.wording.timing import notes_told, tapped_told, timing_told

LEAST_NOTES = 8
"""Fewer notes than this are played round until there are as many: steadiness needs some."""


@dataclass(frozen=True, slots=True)
class Setting:
    """How bouts are set, apart from their tempo."""

    notes_per_beat: int | None = None
    """1: a note a beat, 2: eighths; None takes beats where a cell has room in its bar."""
    letters: bool = False
    """True asks for letters alone, without accidentals."""
    tapped: bool = False
    """True asks for time alone: any key on each note, the notes taken as known."""
    click: str | None = None
    """Which beats click, as ``theory.metre.read_click`` reads it; None as the deck says."""
    metre: str | None = None
    """None as the deck says."""
    count_in_bars: int | None = None
    """1 or 2; None as the deck says."""
    volume: float = VOLUME
    a4: float = 440.0


@dataclass(frozen=True, slots=True)
class Bout:
    """What is to be played in time."""

    entries: tuple[Entry, ...]
    """The cells in order, a bar each."""
    questions: tuple[Question, ...]
    bpm: int
    take: Take
    """The clicks alone."""
    music: Take
    """The same with the notes, to be heard beforehand."""
    due: tuple[float, ...]
    """When each note is due."""
    cell_of: tuple[int, ...]
    """Which cell each note belongs to, from 0."""
    interval_s: float
    """Seconds between two notes as written."""
    notes_per_beat: int
    letters: bool
    number: int
    """From 1, over the practice."""
    tapped: bool
    """Whether time alone is asked."""
    click: str
    """Which beats click."""

    @property
    def notes(self) -> tuple[Note, ...]:
        """The notes asked, in the order played."""
        return tuple(note for question in self.questions for note in question.cell.notes)

    @property
    def pattern(self) -> str:
        """The pattern's name in the tempo book."""
        run = self.entries[0].run
        return shape_id(run.pattern, run.direction)

    @property
    def key(self) -> str:
        """The key's name in the log and the tempo book."""
        return self.entries[0].item.key

    @property
    def beat_s(self) -> float:
        """Seconds from beat to beat."""
        return 60.0 / self.bpm

    @property
    def over_s(self) -> float:
        """When the bout is over: a beat after its last note."""
        return self.due[-1] + self.beat_s

    def prompt(self, cell: int) -> Prompt:
        """A cell of it as a prompt, for the words that are said of one."""
        return Prompt(self.number, self.entries[cell].item, self.questions[cell], Kind.TIME)

    def open_at(self, seconds: float) -> int:
        """The cell whose bar it is, from 0; 0 in the count-in."""
        half = self.interval_s / 2
        place = sum(seconds >= due - half for due in self.due) - 1
        return self.cell_of[max(0, place)]


def bout_of(
    syllabus: Syllabus,
    entries: Sequence[Entry],
    bpm: float,
    setting: Setting,
    number: int,
) -> Bout:
    """The bout over some cells of one run at a tempo, 20 to 400.  Raises UsageError beyond."""
    entries = _round(entries)
    deck = syllabus.deck
    metre = read_metre(setting.metre or deck.metre)
    click = setting.click or deck.click
    size = max(len(entry.cell.notes) for entry in entries)
    ways = (1, 3) if metre.compound else (1, 2, 4)
    fitting = next((per for per in ways if size <= per * metre.beats), ways[-1])
    per_beat = setting.notes_per_beat or fitting
    manner = Manner(
        bpm=round(bpm),
        notes_per_beat=per_beat,
        swing=read_swing(str(deck.swing)),
        tonguing=deck.articulation,
        contour=deck.contour,
        cell_per_bar=True,
        count_in_bars=setting.count_in_bars or deck.count_in,
        click=read_click(click),
        beats_per_bar=metre.beats,
        accents=metre.accents,
        volume=setting.volume,
        a4=setting.a4,
    )
    cells = tuple(syllabus.sounding(entry.run.key, entry.cell) for entry in entries)
    phrase = Phrase(cells, entries[0].run.direction)
    music = phrase_take((phrase,), manner, colour_of(syllabus.horn.program))
    return Bout(
        tuple(entries),
        tuple(syllabus.question(entry) for entry in entries),
        round(bpm),
        replace(music, events=()),
        music,
        note_times(phrase, manner),
        tuple(index for index, cell in enumerate(cells) for _ in cell),
        60.0 / round(bpm) / per_beat,
        per_beat,
        setting.letters,
        number,
        setting.tapped,
        click,
    )


def _round(entries: Sequence[Entry]) -> list[Entry]:
    """The cells, played round until there are notes enough to judge."""
    found = list(entries)
    while sum(len(entry.cell.notes) for entry in found) < LEAST_NOTES:
        found.extend(entries)
    return found


@dataclass(frozen=True, slots=True)
class TimedNote:
    """One note of a bout as it came."""

    expected: Note
    typed: str
    """As typed; empty where it did not come."""
    right: bool
    """Whether its name was right (its letter, where letters are asked)."""
    off_s: float | None
    """Typed minus due, negative when early; None where it did not come."""


@dataclass(frozen=True, slots=True)
class Result:
    """How a bout went."""

    bout: Bout
    notes: tuple[TimedNote, ...]
    verdicts: tuple[Verdict | None, ...]
    """Of each cell; None for those that were not reached."""
    typed: tuple[str, ...]
    """What was typed in each cell."""
    timing: Timing
    extra: int
    """Notes too many."""
    sound: bool = True
    """Whether the click was heard."""

    @property
    def passed(self) -> bool:
        """Whether it was locked in: every note right, and steady."""
        return self.timing.locked_in

    @property
    def right(self) -> int:
        """Notes with the right name."""
        return sum(note.right for note in self.notes)

    @property
    def accuracy(self) -> float:
        """Share of the notes with the right name."""
        return self.right / len(self.notes)

    def side(self, note: int) -> int | None:
        """-1 where a note came early, 1 late, 0 on its beat; None where it did not come.

        Early and late begin where the spread of a locked-in run ends.  The player's
        usual lead is taken off, unless the whole run is that far away.
        """
        off = self.notes[note].off_s
        if off is None:
            return None
        beat = self.bout.beat_s
        lead = self.timing.lead_s if abs(self.timing.lead_s) <= OFF_SHARE * beat else 0.0
        if abs(off - lead) <= SPREAD_SHARE * beat:
            return 0
        return 1 if off > lead else -1

    def say(self) -> tuple[str, ...]:
        """The result in sentences: the time, then the notes."""
        count = len(self.notes)
        if self.bout.tapped:
            came = count - sum(note.off_s is None for note in self.notes)
            return (timing_told(self.timing), tapped_told(came, count))
        return (timing_told(self.timing), notes_told(self.right, count, self.extra))


def result_of(
    bout: Bout,
    notes: Sequence[Sung],
    began_at: float,
    marker: Marker,
    *,
    jitter_s: float = FINEST_S,
    sound: bool = True,
    uncertain_s: float = 0.0,
) -> Result | None:
    """How a bout went; None where no note was typed that can be read.

    ``began_at`` is the instant at which the take began to be heard, known to ``uncertain_s``.
    """
    key = bout.entries[0].run.key
    heard = _read(bout, notes, began_at, marker)
    if not heard:
        return None
    expected = bout.notes
    by_sound = [
        flag
        for question in bout.questions
        for flag in question.cell.by_sound or (False,) * len(question.cell.notes)
    ]

    def right(i: int, j: int) -> bool:
        if bout.tapped:
            return True
        got, want = heard[i][1], expected[j].name
        if bout.letters:
            return got.letter == want.letter
        return got == want or (by_sound[j] and got.pitch_class == want.pitch_class)

    sung = [note for note, _ in heard]
    found, extra = laid(sung, bout.due, bout.interval_s, right)
    timed = tuple(
        TimedNote(want, "", False, None)
        if i is None
        else TimedNote(want, sung[i].text, right(i, j), sung[i].at - bout.due[j])
        for j, (i, want) in enumerate(zip(found, expected, strict=True))
    )

    def shown(i: int, j: int) -> str:
        if (bout.letters or bout.tapped) and right(i, j):
            return show_name(expected[j].name, marker.language, key=key)
        return sung[i].text

    typed = _by_cell(bout, sung, found, shown)
    last = max((bout.cell_of[j] for j, i in enumerate(found) if i is not None), default=0)
    verdicts = tuple(
        _verdict(question, text, marker) if index <= last else None
        for index, (question, text) in enumerate(zip(bout.questions, typed, strict=True))
    )
    timing = judge(
        [None if i is None else sung[i].at for i in found],
        bout.due,
        bout.beat_s,
        notes_right=all(note.right for note in timed) and not extra,
        jitter_s=jitter_s,
        uncertain_s=uncertain_s,
    )
    return Result(bout, timed, verdicts, typed, timing, len(extra), sound)


def _read(
    bout: Bout, notes: Sequence[Sung], began_at: float, marker: Marker
) -> list[tuple[Sung, Name]]:
    """The notes that came, in seconds of the take, with their names; a tap has any name."""
    if bout.tapped:
        return [(Sung(note.text, note.at - began_at), bout.notes[0].name) for note in notes]
    key = bout.entries[0].run.key
    heard: list[tuple[Sung, Name]] = []
    for note in notes:
        reading = marker.read(note.text, key)
        if reading.readable:
            at = note.at - began_at
            heard += [
                (Sung(show_name(typed.name, marker.language, key=key), at), typed.name)
                for typed in reading.notes
            ]
    return heard


def _by_cell(
    bout: Bout, sung: Sequence[Sung], found: Sequence[int | None], show: Callable[[int, int], str]
) -> tuple[str, ...]:
    """What was typed in each cell, as a line; a note too many stands with the note before it.

    ``show(i, j)`` is note i as it is to be marked on beat j.
    """
    beat_of = {i: j for j, i in enumerate(found) if i is not None}
    cells: list[list[str]] = [[] for _ in bout.questions]
    cell = bout.cell_of[min(beat_of.values(), default=0)]
    for i, note in enumerate(sung):
        if i in beat_of:
            cell = bout.cell_of[beat_of[i]]
            cells[cell].append(show(i, beat_of[i]))
        else:
            cells[cell].append(note.text)
    return tuple(" ".join(words) for words in cells)


def _verdict(question: Question, text: str, marker: Marker) -> Verdict:
    """The marking's verdict on one cell; a cell that was passed over was not answered."""
    return marker.mark(question, text) if text else marker.unanswered(question)
