"""A class report for the terminal: plain text, 80 columns, nothing told by colour."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator, Sequence
from datetime import tzinfo
from string import ascii_uppercase

from drill.reports.classroom import Classroom, Lesson
from drill.reports.figures import count, days_ago, duration, fitted, percent, tempo, width
from drill.reports.gathering import Why
from drill.reports.naming import key_text, scale_of, shape_name
from drill.reports.tally import Study
from drill.theory.scales import SCALES
from drill.wording.slips import slip_label

COLUMNS = 80
MOST_ROWS = 60
"""Students shown one by one; of a larger gathering those with the lowest recall."""
MOST_REMARKS = 20


def text(room: Classroom, zone: tzinfo | None = None) -> str:
    """The whole report, each line ended; dates are those of ``zone``, None for UTC."""
    parts = [
        _head(room, zone),
        _teach(room),
        _students(room, zone),
        _class_squares(room),
        _student_keys(room),
        _slips(room),
        _people(room),
        _remarks(room),
    ]
    return "\n".join("\n".join(part) + "\n" for part in parts if part)


def _wrapped(line: str, hang: int = 2) -> list[str]:
    return textwrap.wrap(
        line, COLUMNS - 1, subsequent_indent=" " * hang, break_on_hyphens=False
    ) or [""]


def _head(room: Classroom, zone: tzinfo | None) -> list[str]:
    day = (room.made.astimezone(zone) if zone else room.made).date()
    lines = _wrapped(
        f"Class report of {day.isoformat()}: {count(len(room.students), 'student')}, "
        f"{count(room.asked, 'answer')}, {percent(room.right / room.asked if room.asked else None)}"
        f" % right, predicted recall {percent(room.recall)} %, {duration(room.seconds)} in all."
    )
    for deck in room.decks[:10]:
        due = f", due {deck.due}" if deck.due else ""
        lines += _wrapped(f"Deck: {deck.title} ({deck.name}), goal {percent(deck.right)} %{due}")
    if len(room.decks) > 10:
        lines.append(f"and {len(room.decks) - 10} more decks")
    return lines


def lesson_words(lesson: Lesson) -> str:
    """The numbers behind something to teach, in one sentence."""
    square = lesson.square
    said = (
        f"{square.short} of {count(square.students, 'student')} below the goal; recall "
        f"{percent(square.recall)} %; {square.right} of {square.asked} right "
        f"({percent(square.share)} %)"
    )
    if lesson.degree:
        said += (
            f"; weakest on {lesson.degree} ({lesson.degree_right} of {lesson.degree_asked} right)"
        )
    if lesson.slip:
        said += f"; most often: {slip_label(lesson.slip)} ({lesson.slip_count})"
    return said


def lesson_title(lesson: Lesson) -> str:
    """What it is about: ``Gb major, 1-2-3-1 down``."""
    return f"{key_text(lesson.square.key)}, {shape_name(lesson.square.shape)}"


def _teach(room: Classroom) -> list[str]:
    if not room.lessons:
        return ["Nothing lies below the goal in what was asked."] if room.asked else []
    lines = ["To teach next, the greatest need first (students' worth of recall to win)"]
    for number, lesson in enumerate(room.lessons, start=1):
        lines += _wrapped(f"{number:>2}. {lesson_title(lesson)}: need {lesson.square.need:.1f}", 4)
        lines += _wrapped(f"    {lesson_words(lesson)}", 4)
    return lines


def shown_students(room: Classroom, most: int) -> tuple[Study, ...]:
    """The students shown one by one: all, or those with the lowest recall."""
    if len(room.students) <= most:
        return room.students
    low = sorted(room.students, key=lambda each: 2.0 if each.recall is None else each.recall)
    keep = {id(each) for each in low[:most]}
    return tuple(each for each in room.students if id(each) in keep)


def _left_out(room: Classroom, most: int) -> list[str]:
    more = len(room.students) - most
    if more <= 0:
        return []
    return [f"({count(more, 'student')} with higher recall left out here: --csv has all)"]


def _students(room: Classroom, zone: tzinfo | None) -> list[str]:
    if not room.students:
        return []
    lines = [
        "Student               right recall     cells tempo     time days  last practised",
    ]
    for each in shown_students(room, MOST_ROWS):
        cells = f"{each.cells}/{each.deck_cells}" if each.deck_cells else str(each.cells)
        lines.append(
            f"{fitted(each.name, 20)} {percent(each.share):>4} % {percent(each.recall):>4} % "
            f"{cells:>9} {tempo(each.tempo):>5} {duration(each.seconds):>8} {each.days:>4}  "
            f"{days_ago(each.last, room.made, zone)}"
        )
    lines += _left_out(room, MOST_ROWS)
    lines += _wrapped(
        "right: of all answers that count. recall: predicted now, for the cells asked. cells: "
        "asked, of the deck's. tempo: fastest locked in, beats a minute."
    )
    return lines


def _grid(
    names: Sequence[str], heads: Sequence[str], value: Callable[[int, int], str], wide: int
) -> Iterator[str]:
    """Rows by columns, in as many blocks as the width asks for."""
    left = max(map(width, names), default=0)
    left = min(max(left, 8), 22)
    fit = max(1, (COLUMNS - 1 - left) // wide)
    for start in range(0, len(heads), fit):
        some = range(start, min(start + fit, len(heads)))
        if start:
            yield ""
        yield (" " * left + "".join(f"{heads[at]:>{wide}}" for at in some)).rstrip()
        for row, name in enumerate(names):
            cells = "".join(f"{value(row, at):>{wide}}" for at in some)
            yield f"{fitted(name, left)}{cells}".rstrip()


def letters(number: int) -> str:
    """A letter for a column: A to Z, then AA."""
    return ("" if number < 26 else letters(number // 26 - 1)) + ascii_uppercase[number % 26]


def _class_squares(room: Classroom) -> list[str]:
    if not room.squares:
        return []
    keys, shapes = room.keys, room.shapes
    found = {(each.key, each.shape): each for each in room.squares}

    def value(row: int, column: int) -> str:
        each = found.get((keys[row], shapes[column]))
        return f"{percent(each.share)}/{percent(each.recall)}" if each else "."

    legend = [f"{letters(at)} {shape_name(shape)}" for at, shape in enumerate(shapes)]
    return [
        "Keys by patterns: right / recall of the class in percent; . was not asked",
        *_wrapped("; ".join(legend)),
        *_grid(
            [key_text(key) for key in keys], [letters(at) for at in range(len(shapes))], value, 9
        ),
    ]


def key_recalls(student: Study) -> dict[str, float]:
    """Mean predicted recall of the cells asked in each key."""
    sums: dict[str, tuple[float, int]] = {}
    for each in student.squares:
        if each.cells:
            total, cells = sums.get(each.key, (0.0, 0))
            sums[each.key] = (total + each.recall * each.cells, cells + each.cells)
    return {key: total / cells for key, (total, cells) in sums.items()}


def _student_keys(room: Classroom) -> list[str]:
    students = [each for each in shown_students(room, MOST_ROWS) if each.squares]
    if not students:
        return []
    lines = ["Students by keys: predicted recall in percent; . was not asked"]
    recalls = [key_recalls(each) for each in students]
    for scale in dict.fromkeys(map(scale_of, room.keys)):
        keys = [key for key in room.keys if scale_of(key) == scale]

        def value(row: int, column: int, keys: Sequence[str] = keys) -> str:
            found = recalls[row].get(keys[column])
            return "." if found is None else percent(found)

        heads = [key.partition(":")[0] for key in keys]
        lines.append(f"{SCALES[scale].label}:" if scale in SCALES else scale)
        lines += _grid([each.name for each in students], heads, value, 4)
    return lines + _left_out(room, MOST_ROWS)


def _slips(room: Classroom) -> list[str]:
    if not room.slips:
        return []
    lines = ["Slips                      students  times  most often in"]
    for each in room.slips[:12]:
        where = f"{key_text(each.key)} ({each.key_count})"
        lines.append(
            f"{fitted(slip_label(each.slip), 26)} {each.students:>8} {each.count:>6}  {where}"
        )
    return lines


def _people(room: Classroom) -> list[str]:
    lines = []
    if room.not_started:
        names = ", ".join(room.not_started)
        lines += _wrapped(f"Not started ({len(room.not_started)}): {names}")
    if room.strangers:
        lines += _wrapped(f"Not on the roster ({len(room.strangers)}): {', '.join(room.strangers)}")
    return lines


def _remarks(room: Classroom) -> list[str]:
    if not room.remarks:
        return []
    kinds = [why for why in Why if any(each.why is why for each in room.remarks)]
    lines = []
    for why in kinds:
        some = [each for each in room.remarks if each.why is why]
        lines.append(f"Files {why} ({len(some)}):")
        for each in some[:MOST_REMARKS]:
            lines += _wrapped(f"  {each.file}: {each.reason}", 4)
        if len(some) > MOST_REMARKS:
            lines.append(f"  and {len(some) - MOST_REMARKS} more (--json names all)")
    return lines
