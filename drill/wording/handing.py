"""What is said of results files: to who hands one in, and to who reads it."""

from __future__ import annotations

from collections.abc import Iterable

from drill.shown import counted
from drill.wording.figures import were
from drill.wording.squares import horn_text

# -- to the student

HOLDS_NO_MORE = (
    "What you typed, other decks, and anything else of yours or of this machine are not in it.",
    "It is a record, not an examination: it shows damage, not who sat at the keyboard.",
)


def holds(
    *, name: str, id_: str, line: str, deck: str, program: str, answers: int, cells: int
) -> str:  # fmt: skip
    """What stands in the file of a student."""
    own = f" and the id {id_}" if id_ else ""
    written = f", your line ({line!r})" if line else ""
    return (
        f"It holds the name {name}{own}{written}, your horn, the deck {deck} with its text, the "
        f"version of the program ({program}), today's date, and {counted(answers, 'answer')} to "
        f"{counted(cells, 'cell')}: each with a random id, its instant and day, its cell, how it "
        "was asked, which notes were right, the slip that was named, the seconds and keystrokes it "
        "took, whether it was a retyping or was broken off, and in time its tempo and whether it "
        "was locked in."
    )


def holds_takes(number: int) -> str:
    """What stands in it of so many takes."""
    return (
        f"Of {counted(number, 'take')} on the horn it holds the run by key and pattern, the "
        "instant, how many notes were heard right and wrong, and what was said: no sound."
    )


def holds_undated(number: int) -> str:
    """What becomes of answers that a wrong clock dated."""
    return (
        f"{number} of them {were(number)} given with a wrong clock: kept, and counted without a "
        "date."
    )


NOTHING_YET = "there are no answers to hand in yet: practise first"
NO_DECK_YET = "no deck was practised yet: name one with --deck"
YOUR_NAME = "Your name, as your teacher knows you: "
WHOSE = "under which name? add --name, or set it once: drill config set student NAME"
WHAT_TO_DO = (
    "Give this one file to your teacher: put it into the folder you share, on a USB stick, or into "
    "a mail, as it is or zipped."
)
THE_ID, THE_LINE = "the id", "the line"
NOT_WHOLE = "they do not read back whole"


def none_of_deck(deck: str, before: int, remedy: str) -> str:
    """No answers to a deck; ``before`` of them to it as it was before it was edited."""
    hint = f"; {before} {were(before)} given before it was edited: {remedy}" if before else ""
    return f"there are no answers to the deck {deck} yet{hint}"


def unknown_left_out(count: int, deck: str, remedy: str) -> str:
    """Answers whose cells the log does not know."""
    return (
        f"{counted(count, 'answer')} to {deck} of cells that the log does not know: left out"
        f"{remedy}"
    )


def earlier_left_out(count: int, deck: str, remedy: str) -> str:
    """Answers to the deck as it was."""
    given = f"{counted(count, 'answer')} to {deck} {were(count)} given before the deck was edited"
    return f"{given}, and {'is' if count == 1 else 'are'} not in it: {remedy}"


last_deck_told = "the deck practised last is {}".format
"""Which deck it is where none was named."""
changed_while_read = "{}: it changed while it was read: try again".format
"""A file that another program wrote meanwhile."""
cannot_be_handed_in = "these answers cannot be handed in: {}".format
"""Answers that would not be read."""


def file_written(file: str, size: int) -> str:
    """The file with its size in bytes."""
    return f"{file} written ({max(1, size // 1024)} KiB)"


lies_in = "It lies in {}. Nothing was sent.".format
"""Where it is, and that nobody has it yet."""


# -- to the teacher

two_of_one_name = (
    "two files would be called {}: tell them apart by a letter or digit in a roster"
).format
"""People, groups or levels whose names differ in signs alone."""


def files_there(first: str, more: int, remedy: str) -> str:
    """Files that are not written over, the first by its name."""
    there = f"{first}, and {more} more, exist" if more else f"{first} exists"
    return f"{there} already: {remedy}"


def undated(number: int) -> str:
    """Answers of a wrong clock, in a file that was read."""
    count = "counts" if number == 1 else "count"
    given = f"{counted(number, 'answer')} {were(number)} given with a wrong clock"
    return f"{given}, and {count} without a date"


def several_horns(horns: Iterable[str]) -> str:
    """Files under one name for several horns."""
    return (
        f"files under this name are for several horns ({', '.join(map(horn_text, horns))}) and are "
        "counted as one person: ids in a roster tell people apart"
    )


several_people = (
    "{} people on the roster are called {}, and the file has no id: counted for none of them"
).format
"""A name that several people have, in a file without an id."""


def same_answers(file: str, name: str = "") -> str:
    """What another file holds as well, handed in by ``name`` where that is somebody else."""
    by = f", handed in by {name}" if name else ""
    return f"the same answers as {file}{by}"


in_newer = "every answer is in the newer {}".format


nothing_in_common = (
    "no answer in common with {}, which gives the same name: if these are two people, have one "
    "choose another name"
).format
"""Two files of one name and deck that share nothing."""
