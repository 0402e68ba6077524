"""What a deck is: one frozen value that says what to drill, how, and until when.

Written keys and notes throughout, but for ``concert_keys``.  The file format that
becomes a ``Deck`` is described in ``build``; the shipped decks teach it by example.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import MISSING, dataclass, field, fields, replace
from enum import StrEnum
from pathlib import Path

from drill.terms import Contour, Direction, Instrument, Key, Note, Pattern, Span, Tonguing
from drill.theory.instruments import INSTRUMENTS, NO_HORN, OWN
from drill.theory.keys import written_key
from drill.theory.limits import Limits, limits_of


class AskKind(StrEnum):
    """The kinds of prompt, from the easiest to the hardest."""

    NEXT = "next"
    """The next cell, the previous one shown."""
    DEGREE = "degree"
    """The cell on a named degree, nothing shown."""
    RUN = "run"
    """The whole run from memory."""
    EAR = "ear"
    """The cell that was sounded."""
    TIME = "time"
    """The cell in time with the metronome."""
    KEY = "key"
    """The other way round: which key has this cell."""
    WHICH_DEGREE = "which-degree"
    CONCERT = "concert"
    """Which concert key sounds."""
    WRITTEN = "written"
    """Which key is written for a concert key."""
    SIGNATURE = "signature"
    DIFFERENT = "different"
    """By ear: which note was different the second time."""
    CHORD = "chord"
    """The other way round: which chord these notes are."""


class Swing(StrEnum):
    """How eighths are divided, where no ratio is given."""

    STRAIGHT = "straight"
    BY_TEMPO = "by-tempo"
    """As uneven as the tempo asks for, as published for soloists (Friberg and Sundström 2002)."""
    TRIPLET = "triplet"
    """Two to one."""


@dataclass(frozen=True, slots=True)
class Compass:
    """Which part of the horn's range may be used."""

    extended: bool = False
    """True adds the low keys and the high register that not every horn or player has."""
    low: Note | None = None
    """The player's own lowest written note; None is the horn's."""
    high: Note | None = None
    """The player's own highest written note; None is the horn's."""

    def limits(self, horn: Instrument) -> Limits:
        """The written notes that may be used on that horn, both ends included."""
        whole = limits_of(horn, extended=self.extended)
        return Limits(self.low or whole.low, self.high or whole.high)


@dataclass(frozen=True, slots=True)
class Goal:
    """When the teacher calls the deck known by heart."""

    right: float = 0.9
    """Share of cells that recall must reach, above 0 and up to 1."""
    tempo: int | None = None
    """Beats a minute at which it is played in the end; None asks for no tempo."""
    days: int = 3
    """Different days on which a cell has to come right."""
    ask: tuple[AskKind, ...] = ()
    """Kinds of prompt in which it has to come right in the end: they are asked, also where
    ``Practice.ask`` leaves them out, and a cell is by heart only when it was right in each of
    those in which a cell can be asked.  Empty adds none."""


@dataclass(frozen=True, slots=True)
class Practice:
    """How one practice with the deck goes, where the player's settings say nothing else."""

    prompts: int | None = 40
    """Prompts in one practice, those asked once more at its end among them; None where its
    minutes alone end it."""
    minutes: int | None = None
    """Minutes to the end of everything, if the prompts have not ended it; None for no limit."""
    ask: tuple[AskKind, ...] = (AskKind.NEXT, AskKind.DEGREE, AskKind.RUN)
    """Kinds of prompt that may be asked; which one, recall decides."""
    again: bool = True
    """True has a missed cell typed once more, the right one in view, before going on."""
    missed_again: bool = True
    """True asks the missed cells once more at the end of the practice."""
    new_cells: int | None = None
    """New cells that may enter in one practice, 0 for none; None for no limit."""
    new_keys: int | None = None
    """New keys that may be opened in one practice; 0 (``"all"`` in the file) opens every key at
    once; None opens four, then two more a practice, and more where first meetings go well."""


@dataclass(frozen=True, slots=True)
class Assignment:
    """For whom a deck was written, and when; ``due`` is the deck's own."""

    id: str = ""
    """What the teacher calls it, such as ``week-3``; empty for the deck's name."""
    given: dt.date | None = None
    """The day from which it is out; None where it is not said."""
    student: str = ""
    """The id of the student on the roster; empty where it is for several."""
    name: str = ""
    """The student's name; empty where it is for several."""
    group: str = ""
    who: str = ""
    """Columns of the roster that tell for whom it is, ``level=1; group=winds``; empty for one
    student or for everybody."""
    horn: str = ""
    """The instrument on which a deck for one's own horn is opened; empty leaves it to the player's
    settings."""
    line: str = ""
    """A line from the teacher, shown when the deck is taken in; empty for none."""


@dataclass(frozen=True, slots=True)
class Deck:
    """What to drill.  Equal decks drill the same, whatever their files are called."""

    title: str
    """One line, without control characters."""
    instrument: str
    """Instrument id; ``own`` where the player's own horn is asked for and not known yet."""
    patterns: tuple[Pattern, ...]
    """At least one, each with its descent and ending as the deck wants them."""
    keys: tuple[Key, ...]
    """Written keys, scale by scale, in the order in which the deck names them."""
    scales: tuple[str, ...] = ("major",)
    """Scale ids, in order; each has at least one key."""
    concert_keys: tuple[Key, ...] = ()
    """The concert keys that ``keys`` were derived from; empty where the deck names
    written keys."""
    directions: tuple[Direction, ...] = (Direction.UP, Direction.DOWN)
    degrees: tuple[int, ...] = ()
    """Only the cells begun on these degrees (``Cell.degree``, 8 the upper tonic); empty
    means every cell."""
    span: Span = Span.ONE
    compass: Compass = field(default_factory=Compass)
    joined: bool = False
    """True walks up and down as one run, the top tonic played once."""
    tempo: int | None = None
    """Beats a minute to begin at; None leaves it to the player."""
    due: dt.date | None = None
    """The day by which it should be known; None for none."""
    goal: Goal = field(default_factory=Goal)
    practice: Practice = field(default_factory=Practice)
    articulation: Tonguing = Tonguing.SLURRED
    swing: Swing | float = Swing.STRAIGHT
    """A kind of swing, or the ratio of the first eighth to the second (1.0 to 4.0)."""
    contour: Contour = Contour.RISE_AND_FALL
    """``shape`` in the file."""
    metre: str = "4/4"
    """As ``theory.metre.read_metre`` reads it."""
    click: str = "all"
    """Which beats click in time, as ``theory.metre.read_click`` reads it."""
    count_in: int = 1
    """Bars counted in before playing in time, 1 or 2."""
    own: bool = False
    """True where each player opens the deck on a horn of his own: see ``played_on``."""
    made: Instrument | None = None
    """The horn that the deck describes itself, or the player's own one; None takes the table's
    by ``instrument``."""
    note: str = ""
    """The teacher's note to the student; may have several lines."""
    assignment: Assignment | None = None
    """For whom it was written; None for a deck that is nobody's assignment."""
    name: str = field(default="", compare=False)
    """The file's name without ``.toml``: how commands call the deck."""
    path: Path | None = field(default=None, compare=False)
    """The file; None where the deck came from no file."""

    @property
    def horn(self) -> Instrument:
        """The horn that plays it: a stand-in at concert pitch while an own one is not known."""
        return self.made or INSTRUMENTS.get(self.instrument, NO_HORN)

    @property
    def unplayed(self) -> bool:
        """Whether it waits for the player's own horn."""
        return self.own and self.instrument == OWN

    def played_on(self, horn: Instrument) -> Deck:
        """The deck on another horn: concert keys are written anew for it, written keys stand."""
        keys = self.keys
        if self.concert_keys:
            keys = tuple(dict.fromkeys(written_key(key, horn) for key in self.concert_keys))
        made = None if INSTRUMENTS.get(horn.id) == horn else horn
        return replace(self, instrument=horn.id, made=made, keys=keys)

    @property
    def fingerprint(self) -> str:
        """16 hex digits of SHA-256 over what the deck drills and asks for.

        Comments, layout, title, note, date, assignment and file name do not count, nor a setting
        left at its default: so a corrected note, or a later version of the program
        with more settings, keeps the fingerprint.  A deck for everyone's own horn has one
        fingerprint on all of them.
        """
        passed_over = {
            "title", "note", "due", "name", "path", "scales", "concert_keys", "assignment",
        }  # fmt: skip
        if self.own:
            passed_over |= {"instrument", "keys", "made"}
            said = _plain(self.concert_keys or self.keys)
            parts_of_own = [f"concert={said}" if self.concert_keys else f"keys={said}"]
        else:
            parts_of_own = []
        parts = [f"patterns={[_meaning(pattern) for pattern in self.patterns]}"]
        for each in fields(self):
            value = getattr(self, each.name)
            factory = each.default_factory
            default = each.default if factory is MISSING else factory()
            if each.name not in passed_over | {"patterns"} and value != default:
                parts.append(f"{each.name}={_plain(value)}")
        parts += parts_of_own
        return hashlib.sha256("\n".join(sorted(parts)).encode()).hexdigest()[:16]


def _meaning(pattern: Pattern) -> str:
    """What a pattern plays, whatever it is called."""
    return "/".join(
        (
            pattern.text,
            str(pattern.moves_by),
            pattern.descent.value,
            pattern.ending.value,
            pattern.mode.value,
            " ".join(pattern.roots),
            *(["chords", *pattern.chords] if pattern.guide else ()),
            *(["functions", *pattern.functions] if pattern.functions else ()),
            *(["led"] if pattern.led else ()),
            *([f"from {pattern.begin}"] if pattern.begin != 1 else ()),
            *([f"to {pattern.finish}"] if pattern.finish else ()),
            *([f"in groups of {pattern.groups_of}"] if pattern.groups_of else ()),
        )
    )


def _plain(value: object) -> str:
    """A value in a form that stays the same from version to version."""
    if isinstance(value, tuple):
        return "[" + ",".join(_plain(each) for each in value) + "]"
    if isinstance(value, Instrument):
        ends = value.low, value.high, value.low_extended, value.high_extended, value.first
        return " ".join(map(str, (value.clef, value.steps, value.semitones, *ends)))
    if isinstance(value, (Goal, Practice, Compass)):
        names = [each.name for each in fields(value)]
        kept = {name: getattr(value, name) for name in names}
        plain = type(value)()
        return ";".join(
            f"{name}={_plain(kept[name])}" for name in names if kept[name] != getattr(plain, name)
        )
    return str(value)
