"""What stands in reports for a teacher or a player: heads, titles, and how to read a table.

Names in CSV and JSON are no words of this room: other programs rely on them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum

from drill.shown import counted
from drill.terms import Direction
from drill.wording.figures import in_percent, out_of, percent
from drill.wording.sentence import going
from drill.wording.slips import slip_label
from drill.wording.squares import horn_text, key_text

MOST_NAMED = 4
"""Students named beside something to teach."""
MOST_DECKS = 8
"""Decks named at the head of a report."""


class Head(StrEnum):
    """Over a column."""

    ANSWERS = "Answers"
    ASKED = "Asked"
    ASSIGNMENT = "Assignment"
    BELOW_GOAL = "Below goal"
    BROKE = "Whole runs broke here"
    BY_HEART = "By heart"
    AT = "At"
    CELL = "Cell"
    CENTS = "Cents"
    DAYS = "Days"
    DECK = "Deck"
    DEGREE = "Degree"
    DRILL = "The practice that answers it"
    DUE = "Due"
    ERRORS = "Errors"
    FILE = "File"
    FOR = "For"
    GIVEN = "Given"
    GOAL = "Goal"
    GOAL_MET = "Goal met"
    GROUP = "Group"
    HEARD = "Heard as asked"
    HEARD_AS = "Heard"
    HORN = "Horn"
    ID = "Id"
    IN = "In"
    INSTEAD = "For"
    KEY = "Key"
    KEY_AND_PATTERN = "Key and pattern"
    LAST = "Last"
    LATE = "Late"
    LEVEL = "Level"
    LINE = "Line"
    MARK = "Mark"
    MET = "Met"
    MET_ON = "Met on"
    MISSED = "Missed"
    MISSING = "Missing"
    MORE = "More"
    MOST_OFTEN = "Most often"
    MOST_OFTEN_IN = "Most often in"
    NEED = "Need"
    NOTE = "Note"
    OF = "Of"
    ON_THE_HORN = "On the horn"
    ON_TIME = "On time"
    PATTERN = "Pattern"
    PLAYED = "Played"
    RECALL = "Recall"
    RIGHT = "Right"
    RUN = "Run"
    SAID = "Said"
    SECONDS = "Seconds"
    SHARE = "Share"
    SLIP = "Slip"
    SLIPS_MOST = "Slips made most"
    STARTED = "Started"
    STATE = "State"
    STUDENT = "Student"
    STUDENTS = "Students"
    TEMPO = "Tempo"
    TIME = "Time"
    TIMES = "Times"
    WEAKEST_FOR_MOST = "Weakest for most"
    WEAKEST_KEYS = "Weakest keys"
    WEAKEST_ON = "Weakest on"
    WEEK_OF = "Week of"
    WHAT = "What"
    WRITTEN = "Written"


class FigureHead(StrEnum):
    """Beside a large figure."""

    ANSWERS = "answers"
    ASSIGNMENTS = "assignments"
    BEFORE = "taken in before"
    BY_HEART = "cells by heart"
    CELLS = "cells"
    DAYS = "practice days"
    DUE = "due within a week"
    ERRORS = "errors"
    GOAL = "goal"
    GOAL_MET = "goal met"
    GOAL_MET_ON = "goal met on"
    OUT = "out"
    OVERDUE = "missing after the day"
    RECALL = "recall"
    RECALL_NOW = "recall now"
    RIGHT = "right"
    STARTED = "started"
    STUDENTS = "students"
    TIME = "time spent"
    UNREADABLE = "not readable"


class ReportKind(StrEnum):
    """What kind of report it is."""

    CLASS = "Class report"
    PAGES = "Student pages"
    PLAN = "Plan"
    PROGRESS = "Progress"
    TAKE = "Take"
    TAKEN_IN = "Taken in"


class Title(StrEnum):
    """Over a table or a note."""

    ABSENT = "Who is missing"
    ACCIDENTALS = "Accidentals you miss"
    ASSIGNMENTS = "Assignments"
    BY_HEART = "Who knows what by heart"
    DECKS = "Deck by deck"
    DEGREES = "Where runs break: cells missed on each degree"
    FILES = "Files to look at"
    GROUPS = "Group by group"
    HORNS = "Horn by horn"
    HORN_MAP = "On the horn: keys by patterns"
    KEYS = "Keys"
    KEYS_AROUND = "Keys around the circle of fifths"
    KEYS_BY_PATTERN = "Keys by pattern"
    LEVEL = "Level"
    LINE = "The line"
    LINES = "What they write"
    MAP = "Keys by patterns"
    MIXED = "Keys you take for another"
    NEW = "New"
    NOTES = "Note by note"
    READING = "How to read this"
    SLIPS = "Slips they share"
    SLIPS_MOST = "Slips made most"
    SLOWEST = "Slowest cells, right answers only"
    TEACH = "To teach next, the greatest need first"
    TIME = "Time"
    TRIPS = "What trips you: slips by kind, and the practice that answers each"
    WEAKEST = "Weakest keys and slips, one by one"
    WEEKS = "Week by week"


# -- how to read a table

NEED = (
    "Need adds up how far each student below the goal is from it: 1.0 is one student's "
    "whole recall."
)
BY_HEART = (
    "By heart: right and not slow on as many days as the deck asks, and still expected to "
    "be right. Goal: the cells that are to be by heart. Met on: the first day on which they "
    "were. Recall: predicted for the day of this report, for the cells that were asked."
)
ON_THE_HORN = (
    "On the horn: notes that the program heard as asked, in the newest take of each run; no mark."
)
WEAKEST = "Lowest recall first. Tempo: locked in, beats a minute."
MAP = "Recall predicted for the day of this report; on a page, the larger the square, the less."
RECALLS = "Predicted recall in percent, over the patterns asked."
READING = (
    "Right: the share of right answers; a cell typed once more after a slip, or asked "
    "once more at the end of a practice, does not count. Recall and by heart are what the "
    "model of memory says, from the answers handed in and nothing else; they fall with "
    "days away. A results file is a record, not an examination: it shows damage, not who "
    "sat at the keyboard."
)
TEMPO = "Tempo: locked in last, beats a minute."
HORN_TEMPO = f"{TEMPO} On the horn: the same of takes along with the click (drill take --log)."
WEEKS = (
    "Recall: predicted for the whole deck at the week's last answer. Seconds: median of "
    "right answers."
)
BREAKS = "Of the whole runs that came so far without a slip."
PLAN = (
    "In: handed in. Met: the goal, by what was handed in. Missing: nothing handed in yet, due or "
    "not. Due: within seven days; over: the day has passed."
)
EARLY_AND_LATE = (
    "Each note above the line came early, below it late, against its own even line; the strip is "
    "60 ms high each way."
)
STRIP = "how early or late each note came"
LOUDNESS = "Loudness of each note, in decibels."

# -- where there is nothing

ALL_KNOWN = "Nothing lies below the goal in what was asked."
NOT_STARTED = "Not started yet."
NOTHING_TRIPS = "What trips you: nothing so far has a name."
MORE_BY_HEART = "more by heart"
NOT_YET = "not yet"
NOT_ASKED = "not asked"
YES, NO = "yes", "no"
NOT_TIMED = "Too few notes follow each other to tell."
NOT_LEVELLED = "Too few notes were heard."


TOO_FEW = "not enough answers yet"


def recall_how(fewest: int) -> str:
    """How to read a table of keys, where so many answers make an error rate."""
    return (
        "Recall: predicted now, in percent, untried cells too; the larger the square on a page, "
        f"the less. Errors: {TOO_FEW} to say where there is none (under {fewest} in the key)."
    )


# -- numbers in words


def times(what: str, number: int) -> str:
    """``signature forgotten (3)``."""
    return f"{what} ({number})"


def slip_times(slip: str, number: int) -> str:
    """A slip and how often."""
    return times(slip_label(slip), number)


then_head = "On {}".format
"""Over what was known on an earlier day."""


# -- a take

MARKED_RIGHT, MARKED_WRONG, NOT_HEARD, UNSURE = "right", "wrong", "not heard", "unsure"


def marks_how(marks: Iterable[tuple[str, str]], clef: str) -> str:
    """What the signs beside notes mean, and how the notes are read."""
    signs = " · ".join(f"{sign} {word}" for sign, word in marks)
    return f"{signs}; as written, in the {clef} clef"


notes_label = "Notes {} to {}".format
"""What a line of staff shows."""
loudness = "Loudness, {:.0f} dB from the softest note to the loudest.".format


# -- the class


def deck_line(title: str, name: str, right: float, due: str) -> str:
    """A deck with its goal."""
    by = f", due {due}" if due else ""
    return f"{title} ({name}): goal {in_percent(right)} by heart{by}."


def more_decks(number: int) -> str:
    return f"And {counted(number, 'deck')} more."


FEW_HORNS = 3
"""So many horns are named in a line."""


def counted_words(concert: bool, written: bool, horns: Iterable[str]) -> str:
    """In which keys a class is counted: concert ones, or the written ones of those horns."""
    listed = tuple(map(horn_text, horns))
    named = ", ".join(listed) if len(listed) <= FEW_HORNS else "horn by horn"
    if not written:
        return "Keys are concert keys, over all horns."
    if not concert:
        return f"Keys are written keys ({named})."
    return f"Keys are concert keys where the deck names them so, else written ones ({named})."


def concert(key: str) -> str:
    return f"concert {key_text(key)}"


def written(key: str) -> str:
    return f"written {key_text(key)}"


def on_horn(key: str, horn: str) -> str:
    """A written key of one horn among several."""
    return f"{key_text(key)}, {horn_text(horn)}"


def recalls_title(horn: str) -> str:
    """Over the students by the keys of a horn, or by the concert keys (empty)."""
    kind = f"written keys, {horn_text(horn)}" if horn else "concert keys"
    return f"Students by keys: {kind}"


def named(names: Sequence[str]) -> tuple[str, ...]:
    """The first of some people, and how many more there are."""
    more = len(names) - MOST_NAMED
    return (*names[:MOST_NAMED], f"and {more} more") if more > 0 else tuple(names)


def absent_line(names: Sequence[str]) -> str:
    return listed("Not started", names)


def strangers_line(names: Sequence[str]) -> str:
    return listed("Not on the roster", names)


def not_among_line(names: Sequence[str]) -> str:
    return listed("Not among them", names)


def listed(title: str, names: Sequence[str]) -> str:
    """``Not started (2): Ann, Bo``."""
    return f"{title} ({len(names)}): {', '.join(names)}"


def square_rest(share: float | None, short: int, students: int) -> tuple[str, ...]:
    """Beside the recall of a square."""
    return f"{percent(share)} % right", out_of(short, students, "below")


def has_all(number: int, what: str, in_csv: str) -> str:
    """Rows that are not shown, in a terminal; ``in_csv`` is the option that has them too."""
    return f"({_more(number, what)}: {f'{in_csv} or ' if in_csv else ''}--json has all)"


def and_more(number: int, what: str) -> str:
    """Rows that are not shown, on a page."""
    return f"and {_more(number, what)}"


def _more(number: int, what: str) -> str:
    return f"{number:,} more{f' with {what}' if what else ''}"


def wrong_of(wrong: int, asked: int) -> str:
    """Why something is drilled."""
    return f"{out_of(wrong, asked, 'answers wrong')} ({in_percent(wrong / asked)})"


# -- a deck of what goes wrong

COUNTED_IN_CONCERT = "Keys are concert keys, counted over all horns."


made_from = "Made from {}: what was answered wrong most often.".format


def nearly_all(direction: Direction) -> str:
    """Where one direction alone is drilled."""
    return f"Nearly all of it {going(direction)}."


by_students = ", {} students".format


def most_often(slip: str, number: int) -> str:
    return f"; most often: {slip_times(slip, number)}"
