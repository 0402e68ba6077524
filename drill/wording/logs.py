"""What is said of the answer log: while it is open, and by the commands that copy and check it."""

from __future__ import annotations

from drill.shown import counted
from drill.wording.figures import were

NO_ANSWERS = "there are no answers to back up yet"
NO_LOG = "there is no answer log yet"
UNCHANGED = "nothing was changed"
SAY_YES = "this puts another log in the place of yours: add --yes if you mean it"
REPAIR_ALONE = "--repair goes with --check: drill log --check --repair"
SOUND = "every row is whole and within its bounds"
HOW_TO_REPAIR = "drill log --check --repair sets them aside"


def restored_words(count: int) -> str:
    """Another program put another log in the place of this one, which holds ``count`` now."""
    return (
        f"the answer log was changed by drill restore or repair meanwhile and holds "
        f"{counted(count, 'answer')} now; what you answer goes on being kept in it"
    )


def answer_told(*, right: bool, again: bool) -> str:
    """How an answer was, in the list of all."""
    return ("right" if right else "not right") + (" again" if again else "")


# Copies and other logs.


backup_there = "{} exists already: name a new file for the backup".format
"""A backup is never written over anything."""


def backed_up(count: int, path: str, remedy: str) -> str:
    """How many answers went where, and how they come back."""
    return f"{counted(count, 'answer')} copied to {path}; {remedy}"


no_file = "there is no file {}".format
"""A backup that is not there."""


def restore_asked(count: int, file: str) -> str:
    """The question before a log is put in the place of another."""
    return (
        f"Your log holds {counted(count, 'answer')}. Put those of {file} in their place? "
        "A copy is kept. (yes or no) "
    )


def restored(count: int, file: str) -> str:
    """What the log holds after it."""
    return f"the log now holds the {counted(count, 'answer')} of {file}"


def kept_aside(count: int, path: str, remedy: str) -> str:
    """Where the answers are that it held before, and how they come back."""
    held = "answer it held before is" if count == 1 else f"{count:,} answers it held before are"
    return f"the {held} kept in {path}; {remedy}"


left_out = "{}: {}: left out".format
"""A row of another log that was not taken."""


def more_left_out(file: str, count: int) -> str:
    """Those that are not told one by one."""
    return f"{file}: {count} more {were(count)} left out"


def merged(added: int, known: int, total: int, file: str) -> str:
    """What was taken in from another log."""
    here = f"; {known} {were(known)} here already" if known else ""
    return f"{counted(added, 'answer')} taken in from {file}{here}; the log now holds {total}"


# The check.


def holds(answers: int, cells: int) -> str:
    """What the log holds."""
    return f"{counted(answers, 'answer')}, {counted(cells, 'cell')}"


unfit = "cannot be right: {}".format
"""A row that this program cannot have written."""


def more_unfit(count: int) -> str:
    """Those that are not told one by one."""
    return unfit(f"{count} more")


def orphans(count: int) -> str:
    """Answers without their cell."""
    told = f"{counted(count, 'answer')} to cells that the log does not know"
    return f"{told}: kept, and left out of reports"


def misdated(count: int) -> str:
    """Answers of a wrong clock."""
    told = f"{counted(count, 'answer')} given with a wrong clock"
    return f"{told}: kept, and without a date where one is needed"


set_aside = "set aside as {}; the log as it was is kept as {}".format
"""Where a repair put what cannot be right."""
