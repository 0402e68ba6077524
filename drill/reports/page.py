"""A class report as one HTML page that stands alone: no script, no other file, no network.

Every mark of a square is a black square on paper: the larger, the less is recalled; a
small ring was not asked.  The figure stands beside it wherever there is room, so that
nothing rests on colour, and a print in black and white says the same.
"""

from __future__ import annotations

from datetime import tzinfo

from drill.reports.classroom import Classroom, ClassSquare, Lesson
from drill.reports.classtext import key_recalls, letters, shown_students
from drill.reports.figures import days_ago, duration, percent, tempo
from drill.reports.frame import LINE, document, figures, row, section, table
from drill.reports.gathering import Why
from drill.reports.markup import Child, Safe, inner, tag
from drill.reports.naming import scale_of, shape_name
from drill.reports.pictures import bar, key_signs, picture, signs, square
from drill.reports.tally import Study
from drill.theory.scales import SCALES
from drill.wording.slips import slip_label

MOST_CARDS = 60
"""Students with a picture of their own; of a larger gathering those with the lowest recall."""
MOST_ROWS = 1000
MOST_REMARKS = 200


def page(room: Classroom, zone: tzinfo | None = None) -> str:
    """The whole page; dates are those of ``zone``, None for UTC."""
    day = (room.made.astimezone(zone) if zone else room.made).date().isoformat()
    return document(
        f"Class report, {day}",
        _top(room, day),
        _teach(room),
        _class_map(room),
        _cards(room, zone),
        _student_keys(room),
        _students(room, zone),
        _slips(room),
        _people(room),
        _remarks(room),
        _notes(),
    )


def _top(room: Classroom, day: str) -> Safe:
    share = room.right / room.asked if room.asked else None
    facts = (
        ("students", f"{len(room.students):,}"),
        ("answers", f"{room.asked:,}"),
        ("right", f"{percent(share)} %"),
        ("recall now", f"{percent(room.recall)} %"),
        ("time spent", duration(room.seconds)),
    )
    decks = [
        tag(
            "li",
            tag("b", deck.title),
            f" ({deck.name}), goal {percent(deck.right)} %",
            f", due {deck.due}" if deck.due else None,
        )
        for deck in room.decks[:12]
    ]
    return tag(
        "header",
        tag("p", "Class report", class_="kicker"),
        tag("h1", day),
        tag("ul", *decks, class_="decks") if decks else None,
        figures(facts),
    )


# -- sections


def _teach(room: Classroom) -> Safe | None:
    if not room.lessons:
        return None
    most = max(each.square.need for each in room.lessons)
    rows = [_lesson(number, each, most) for number, each in enumerate(room.lessons, start=1)]
    return section(
        "Teach next",
        "teach",
        tag(
            "p",
            "The greatest need first. Need adds up how far each student below the goal is from it: "
            "1.0 is one student’s whole recall.",
            class_="how",
        ),
        table(
            ("", "Need", "Below goal", "Recall", "Right", "Weakest on", "Most often"),
            rows,
            "teach",
        ),
    )


def _lesson(number: int, lesson: Lesson, most: float) -> Safe:
    here = lesson.square
    weakest = (
        f"{lesson.degree} ({lesson.degree_right} of {lesson.degree_asked})"
        if lesson.degree
        else "-"
    )
    return row(
        inner(
            tag("span", f"{number}", class_="rank"),
            f"{key_signs(here.key)}, {shape_name(here.shape)}",
        ),
        inner(bar(here.need / most, f"need {here.need:.1f}"), " ", tag("b", f"{here.need:.1f}")),
        f"{here.short} of {here.students}",
        f"{percent(here.recall)} %",
        f"{percent(here.share)} % of {here.asked}",
        weakest,
        f"{slip_label(lesson.slip)} ({lesson.slip_count})" if lesson.slip else "-",
    )


def _class_map(room: Classroom) -> Safe | None:
    if not room.squares:
        return None
    shapes = room.shapes
    found = {(each.key, each.shape): each for each in room.squares}
    rows = [
        row(key_signs(key), *(_class_cell(found.get((key, shape))) for shape in shapes))
        for key in room.keys
    ]
    heads: list[Child] = [""]
    for at, shape in enumerate(shapes):
        name = shape_name(shape)
        heads.append(
            inner(
                tag("span", letters(at), class_="letter"),
                tag("br"),
                name.cell,
                tag("br"),
                " ".join(part for part in (name.direction, name.more) if part),
            )
        )
    return section(
        "The class: keys by patterns",
        "map",
        tag(
            "p",
            "The larger the square, the less is recalled. Bold: predicted recall now, in percent; "
            "beside it the share of right answers so far, and how many were below the goal.",
            class_="how",
        ),
        table(heads, rows, "map"),
    )


def _class_cell(here: ClassSquare | None) -> Safe:
    if here is None:
        return inner(square(None, 24))
    return inner(
        square(here.recall, 24),
        tag("b", percent(here.recall)),
        tag("small", f"{percent(here.share)} · {here.short}/{here.students}"),
    )


def _cards(room: Classroom, zone: tzinfo | None) -> Safe | None:
    students = [each for each in shown_students(room, MOST_CARDS) if each.squares]
    if not students:
        return None
    shapes = room.shapes
    legend = [
        tag("li", tag("b", letters(at)), f" {shape_name(shape)}") for at, shape in enumerate(shapes)
    ]
    cards = [inner(LINE, _card(room, each, zone)) for each in students]
    more = len(room.students) - MOST_CARDS
    return section(
        "One by one",
        "students",
        tag("ul", *legend, class_="legend"),
        tag("p", f"Those with the lowest recall; {more:,} more are in the table.", class_="how")
        if more > 0
        else None,
        tag("div", *cards, class_="cards"),
    )


def _card(room: Classroom, student: Study, zone: tzinfo | None) -> Safe:
    pictures = []
    for scale in dict.fromkeys(map(scale_of, room.keys)):
        keys = [key for key in room.keys if scale_of(key) == scale]
        if any(each.key in set(keys) for each in student.squares):
            several = len({scale_of(key) for key in room.keys}) > 1
            name = SCALES[scale].label if several and scale in SCALES else ""
            pictures.append(picture(room, student, keys, name))
    return tag(
        "figure",
        tag(
            "figcaption",
            tag("b", tag("bdi", student.name)),
            tag(
                "span",
                f"{percent(student.share)} % right · recall {percent(student.recall)} % · "
                f"{days_ago(student.last, room.made, zone)}",
            ),
        ),
        *pictures,
    )


def _student_keys(room: Classroom) -> Safe | None:
    students = [each for each in shown_students(room, MOST_ROWS) if each.squares]
    if not students:
        return None
    recalls = [key_recalls(each) for each in students]
    tables: list[Child] = []
    for scale in dict.fromkeys(map(scale_of, room.keys)):
        keys = [key for key in room.keys if scale_of(key) == scale]
        rows = [
            row(each.name, *(_recall_cell(known.get(key)) for key in keys))
            for each, known in zip(students, recalls, strict=True)
        ]
        heads = ["", *(signs(key.partition(":")[0]) for key in keys)]
        tables += [
            tag("h3", SCALES[scale].label if scale in SCALES else scale),
            table(heads, rows, "recalls"),
        ]
    return section(
        "Students by keys",
        "keys",
        tag("p", "Predicted recall now, in percent, over the patterns asked.", class_="how"),
        *tables,
    )


def _recall_cell(recall: float | None) -> Safe:
    if recall is None:
        return inner(square(None, 14))
    return inner(square(recall, 14), percent(recall))


def _students(room: Classroom, zone: tzinfo | None) -> Safe | None:
    if not room.students:
        return None
    rows = [
        row(
            each.name,
            f"{each.asked:,}",
            f"{percent(each.share)} %",
            f"{percent(each.recall)} %",
            f"{each.cells} of {each.deck_cells}" if each.deck_cells else f"{each.cells}",
            tempo(each.tempo),
            duration(each.seconds),
            f"{each.days}",
            days_ago(each.last, room.made, zone),
        )
        for each in shown_students(room, MOST_ROWS)
    ]
    heads = (
        "Student", "Answers", "Right", "Recall", "Cells", "Locked in", "Time", "Days", "Last",
    )  # fmt: skip
    return section("Students", "table", table(heads, rows, "students"))


def _slips(room: Classroom) -> Safe | None:
    if not room.slips:
        return None
    most = max(each.students for each in room.slips)
    rows = [
        row(
            slip_label(each.slip),
            inner(bar(each.students / most, ""), " ", tag("b", f"{each.students}")),
            f"{each.count:,}",
            f"{key_signs(each.key)} ({each.key_count:,})",
        )
        for each in room.slips[:15]
    ]
    return section(
        "Slips they share",
        "slips",
        table(("Slip", "Students", "Times", "Most often in"), rows, "slips"),
    )


def _people(room: Classroom) -> Safe | None:
    if not room.not_started and not room.strangers:
        return None
    parts = [
        tag(
            "p",
            tag("b", f"{title} ({len(names)}): "),
            *(inner(", " if at else None, tag("bdi", name)) for at, name in enumerate(names)),
        )
        for title, names in (
            ("Not started", room.not_started),
            ("Not on the roster", room.strangers),
        )
        if names
    ]
    return section("Who is missing", "absent", *parts)


def _remarks(room: Classroom) -> Safe | None:
    if not room.remarks:
        return None
    order = list(Why)
    some = sorted(room.remarks, key=lambda each: order.index(each.why))[:MOST_REMARKS]
    rows = [row(each.file, str(each.why), each.reason) for each in some]
    more = len(room.remarks) - len(rows)
    return section(
        "Files",
        "files",
        table(("File", "", "Reason"), rows, "files"),
        tag("p", f"and {more} more", class_="how") if more else None,
    )


def _notes() -> Safe:
    return section(
        "How to read this",
        "notes",
        tag(
            "p",
            "Right: the share of right answers; a cell typed once more after a slip, or asked "
            "once more at the end of a practice, does not count. Recall: what the program’s "
            "model of memory predicts for this moment, for the cells that were asked, from the "
            "answers handed in and nothing else; it falls with days away. Locked in: the "
            "fastest tempo, in beats a minute, at which notes and time were right three times "
            "running. Cells: those asked, of all that the deck asks. A results file is a record, "
            "not an examination: it shows damage, not who sat at the "
            "keyboard.",
        ),
    )
