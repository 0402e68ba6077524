"""The words of the teacher's desk in the screens: its rows, what each is for, what is missing."""

from __future__ import annotations

DESK = "The teacher's desk"
ROWS: dict[str, tuple[str, str]] = {
    "roster": ("Roster", "Who is in the class: a file with id, name, group and horn."),
    "enrol": (
        "Write a roster",
        "Students with their horns, groups, ids and columns of yours; kept as a file.",
    ),
    "people": ("Change the roster", "Who is in the class, and what stands beside each."),
    "write": ("Write a deck", "Horn, patterns, keys, day; kept as a file."),
    "change": ("Change a deck", "One of those that ship, or your own."),
    "tricky": ("A deck of what goes wrong", "What a class, a student or you yourself get wrong."),
    "assign": ("Assign a deck", "A file for each student, group or level, with its day."),
    "print": (
        "Print a page or a worksheet",
        "A deck as music on paper, or with cells left open to fill in.",
    ),
    "plan": (
        "The plan, week by week",
        "Of a folder of assignments: what is out, due, in, missing.",
    ),
    "collect": (
        "Take in results",
        "What students have handed in is copied to your own folder.",
    ),
    "class": ("Class results", "Who knows what by heart, of all that was taken in."),
    "report": (
        "A report to give away",
        "Class results as a page, or for a grade book.",
    ),
    "look": (
        "Results of a folder",
        "The same of results files that lie elsewhere; nothing is copied.",
    ),
    "add": (
        "Take in an assignment",
        "For a student: a deck that a teacher gave you, among your own decks.",
    ),
    "hand": (
        "Hand in my answers",
        "For a student: your answers to one deck as a small file for the teacher.",
    ),
    "backup": ("Back up my answers", "All answers of yours in one file, safe while you practise."),
    "restore": (
        "Bring a backup back",
        "Its answers in the place of yours, after a question; a copy of yours is kept.",
    ),
    "merge": (
        "Add another log's answers",
        "Those of a backup or of another machine's log, beside yours; none is counted twice.",
    ),
}
"""Label and help of each row of the desk, in order."""
CHOOSE = {
    "roster": "choose a file",
    "people": "choose a file",
    "change": "choose which",
    "collect": "choose a file or folder",
    "look": "choose a file or folder",
    "add": "choose a file",
    "restore": "choose a file",
    "merge": "choose a file",
}
"""What stands beside a row that opens a list of files."""
ONE = "choose one"
NO_ROSTER = "none: choose a file"
ROSTER_THERE = "roster.csv of the folder"


def on_roster(count: int, file: str) -> str:
    """What a roster that was taken holds: ``34 on the roster band.csv``."""
    return f"{count} on the roster {file}"


results_of = "Results of {}".format
"""The title over the results of a file or folder."""


# A roster that is written.

ROSTER_ROWS: dict[str, tuple[str, str]] = {
    "add": (
        "Add a student",
        "A name, or a name, a comma and a horn: Mara Quill, alto sax. Enter keeps each.",
    ),
    "column": ("A column of yours", "Such as level or seat: each student has it then."),
    "file": ("File", "roster.csv, for your eyes alone; any program for tables opens it."),
    "do": ("Keep the roster", "Written to the file, and the roster of the whole desk."),
    "name": ("Name", "As it is shown; the same in whatever they hand in."),
    "id": ("Id", "Tells people of one name apart; may be empty."),
    "group": ("Group", "A section, class or school; may be empty."),
    "horn": ("Horn", "What they play; may be empty."),
    "out": ("Take off the roster", "Their results stay where they are."),
}
"""Label and help of each row of a roster, and of a student in it."""
NO_NAME_YET = "no name"
NO_HORN = "not said"


def roster_title(file: str) -> str:
    """The title over a roster that is changed; empty for a new one."""
    return f"Roster: {file}" if file else ROWS["enrol"][0]


taken_off = "{} is off the roster, once it is kept".format
"""A student was taken off; it is not kept yet."""
column_told = "each student has {} now".format
"""A column that every student has now."""


COLUMN_THERE = "there is that column already"

# A file that is there already.

THERE = "is there already"
NOTHING_YET = "Nothing was written."
ANOTHER, OVER, LEAVE = "give it another name", "write over it", "leave it as it is"

# Assigning a deck.

ASSIGN = ROWS["assign"][0]
_DUE = ("To be known by", "The day, such as 2030-10-15; empty for none.")
_RESULTS = "What was taken in, or another file or folder."
_WRITE = ("Write it", "")
FOR_EACH = {"student": "each student", "group": "each group"}
EVERYBODY = "everybody on the roster"
ASSIGN_ROWS: dict[str, tuple[str, str]] = {
    "deck": ("Deck", "One in concert keys for everyone's own horn does for the whole band."),
    "roster": ("Roster", "roster.csv with id, name, group, horn, and columns of your own."),
    "by": ("A file for", "One for each student has the name in it; a level is a column of yours."),
    "only": ("Given to", "Everybody, or those with one value in a column, such as a level."),
    "due": (_DUE[0], "The day, such as 2030-10-15; empty for the deck's own."),
    "line": ("A line to them", "Shown when they take it in, and on Today."),
    "id": ("Called", "What you call the assignment; empty for the deck's own name."),
    "folder": ("Folder", "The files go there."),
    "do": ("Write the assignments", "Nothing is sent: give the files out as you like."),
}

# A deck of what goes wrong.

TRICKY = ROWS["tricky"][0]
TAKEN_IN, OWN, ELSEWHERE = "what was taken in", "my own answers", "another file or folder"
TOGETHER = "one deck for all"
DECK_FOR = {"": TOGETHER, "student": "each student", "group": "each group", "horn": "each horn"}
COUNTED = {"": "as the answers were", "--concert": "in concert keys, over all horns"}
TRICKY_ROWS: dict[str, tuple[str, str]] = {
    "from": ("Answers", "Whose answers are counted."),
    "place": ("Which", "A results file, or a folder of them."),
    "for": ("Decks", "One for all of them, or one for each."),
    "worst": ("Keys", "How many of the keys that go wrong most, 1 to 15."),
    "count": ("Keys are counted", "Over several horns only concert keys are the same for all."),
    "instrument": ("Horn", "Of the deck; that of the answers where none is chosen."),
    "title": ("Title", "What the deck is called."),
    "due": _DUE,
    "note": ("A note to them", "Shown with the deck."),
    "file": ("File", "Kept in your own folder, it is among your decks."),
    "folder": ("Folder", "The decks go there."),
    "do": _WRITE,
}
OF_THE_ANSWERS = "that of the answers"

# The plan.

PLAN = ROWS["plan"][0]
PLAN_ROWS: dict[str, tuple[str, str]] = {
    "plan": ("Folder", "Where the assignments lie: decks with dates, in folders below it too."),
    "roster": ("Roster", "Who should hand in; else roster.csv in the folder itself."),
    "results": ("Handed in", _RESULTS),
    "do": ("Show the plan", ""),
}

# The class report as files.

REPORT = ROWS["report"][0]
REPORT_KINDS = {
    "--html": "a page to read and print",
    "--csv": "a row a student, for a grade book",
    "--pages": "a page for each student",
}
REPORT_NAMES = {"": "with names", "initials": "with initials alone", "ids": "with ids alone"}
REPORT_ROWS: dict[str, tuple[str, str]] = {
    "kind": ("What", "HTML opens in a browser; CSV in any program for tables."),
    "names": ("Students", "Initials or ids alone for a page that hangs on a wall."),
    "results": ("Results", _RESULTS),
    "roster": ("Roster", "Who has not begun stands in it too."),
    "file": ("File", "For your eyes alone: others on this machine cannot read it."),
    "folder": ("Folder", "The pages go there, with one file of them all to print."),
    "do": _WRITE,
}

# Answers as a whole.

BACKUP = ROWS["backup"][0]
BACKUP_ROWS: dict[str, tuple[str, str]] = {
    "file": ("File", "One that does not exist yet."),
    "do": ("Write the backup", ""),
}
RESTORE = ROWS["restore"][0]
RESTORE_ASKED = "Put this backup in the place of your answers?"
RESTORE_MORE = "A copy of the answers you have now is kept beside them."
RESTORE_WORDS = ("put it there", "leave mine")
MERGE = ROWS["merge"][0]

# What is missing.

NO_DECK = "choose a deck first"
NO_ROSTER_YET = "choose the roster first: it says who is in the class"
NO_FOLDER = "choose the folder first"
NO_PLACE = "choose the results file or folder first"
NO_DAY = "expected a day such as 2030-10-15"
NO_NAME = "say your name first: the teacher must know whose it is"

# Files and folders.

WHERE = "Where to"
A_DECK = "A deck"
AN_ASSIGNMENT = "An assignment"
ASSIGNMENTS = "Assignments"
A_ROSTER = "A roster"
RESULTS_FILES = "Results"
WHICH_DECK = "Which deck?"
THIS_FOLDER = ("this folder", "it is written here")
ALL_OF_FOLDER = ("this folder", "all that lies in it")
ABOVE = "the folder above"
A_FILE = ("a file elsewhere", "choose it from its folder")


folder_about = "In {}: type to find, or a whole path.".format
"""Over the list of a folder."""


def in_folder(told: str, folder: str) -> str:
    """What a file is for, and where it lies; an empty folder is not told."""
    return f"{told} In {folder}." if folder else told


def new_told(*, folder: bool, there: bool = False) -> str:
    """A name that does not exist yet, in the folder shown or where a path leads."""
    return f"a new {'folder' if folder else 'file'} {'there' if there else 'here'}"


unread_told = "cannot be read: {}".format
"""A folder that the system does not show."""
each_told = "each {}".format
"""A file for each value of a column."""


# Handing in, and printing.

HAND_ROWS: dict[str, tuple[str, str]] = {
    "deck": ("Deck", ""),
    "name": ("Your name", "As the teacher knows you."),
    "line": ("A line to the teacher", ""),
    "earlier": ("Answers", "A deck that was edited is another: its answers before count with it."),
    "file": ("File", "Give this file to the teacher."),
    "do": _WRITE,
}
EDITIONS = {
    "": "to the deck as it is now",
    "--earlier": "also those from before it was edited",
}
PRINT_ROWS: dict[str, tuple[str, str]] = {
    "deck": ("Deck", ""),
    "what": ("What", ""),
    "format": ("As", ""),
    "for": ("For", "A part for each goes into one file, each in its own written keys."),
    "paper": ("Paper", ""),
    "answers": ("Answers", ""),
    "file": ("File", "Where it is written."),
    "do": ("Print it to the file", ""),
}
PRINT_CHOICES: dict[str, dict[str, str]] = {
    "what": {"": "the page, every cell printed", "--worksheet": "a worksheet, cells to fill in"},
    "format": {
        "--pdf": "PDF, to print",
        "--svg": "SVG pictures",
        "--musicxml": "MusicXML",
        "--midi": "MIDI",
    },
    "for": {
        "": "one horn: the deck's, or yours",
        "--horns=roster": "each horn on the roster",
        "--horns=students": "each student, by name",
        "--horns=all": "every horn there is",
    },
    "paper": {"--paper=a4": "A4", "--paper=letter": "letter"},
    "answers": {"--answers": "with an answer page", "--no-answers": "without"},
}
"""What is chosen by turns, by the options that say so."""
TRICKY_TITLE = "Tricky keys"
"""What such a deck is called where no title is given."""
