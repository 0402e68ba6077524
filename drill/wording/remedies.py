"""What somebody can do about it: by an option or a command in a shell, by a row on the screens.

Who raises or says something for both front ends takes the words from here, by
``Tools.do(remedy)``.
"""

from __future__ import annotations

from enum import Enum

from drill.wording.decks import NAME_YOUR_HORN


class Remedy(Enum):
    """A way out, in the words of a shell and of the screens."""

    EARLIER = (
        "--earlier takes them",
        "turn 'Answers' to take them",
    )
    EARLIER_TOO = (
        "--earlier takes them too",
        "turn 'Answers' to take them too",
    )
    NAME_HORN = (
        f"name it once with {NAME_YOUR_HORN}",
        "name it once in Settings",
    )
    SET_HORN = (
        f"sets it once: {NAME_YOUR_HORN}",
        "names it once in Settings",
    )
    PRINTED_HORN = (
        f"name one with --instrument, several with --horns, or yours with {NAME_YOUR_HORN}",
        "turn 'For' to other horns, or name yours in Settings",
    )
    FEWER_KEYS = (
        "--key C,G takes some of the keys",
        "a deck of fewer keys is shorter",
    )
    NO_ANSWERS = (
        "--no-answers leaves the answers out",
        "turn 'Answers' to leave them out",
    )
    TRICKY_HORN = (
        (
            "name one with --instrument, count in concert keys with --concert, or write one "
            "deck for each with --by horn --out-dir FOLDER"
        ),
        "choose the horn, turn 'Keys are counted' to concert keys, or turn 'Decks' to each horn",
    )
    WHICH_HORN = (
        "add --instrument",
        "choose the horn",
    )
    TAKE_IN = (
        "name results files or a folder of them, or take some in: drill take-in",
        "nothing was taken in yet: 'Take in results' on the teacher's desk does it",
    )
    ONLY = (
        "nobody on the roster fits --only",
        "nobody on the roster fits 'Given to'",
    )
    ADD_DECK = (
        "each takes a file in with\n  drill deck add FILE",
        "each\ntakes a file in by 'Take in an assignment' on the desk",
    )
    READ_RESULTS = (
        "The teacher reads it with drill take-in.",
        "The teacher reads it by 'Take in results' on the desk.",
    )
    LOG_CHECK = (
        " (drill log --check)",
        "",
    )
    PRACTISE = (
        "  drill --deck {}",
        "it stands on Today, where Enter begins it",
    )
    NAME_DECK = (
        "add --as NAME",
        "give its file another name first",
    )
    REPLACE = (
        "add --replace",
        "have it written over",
    )
    KEEP_BOTH = (
        "add --as NAME to keep both, or --replace to put this one in its place",
        "give its file another name to keep both, or put this one in its place",
    )
    RESTORE = (
        "drill restore {} brings them back, drill merge adds them to others",
        (
            "'Bring a backup back' puts them in the place of yours, 'Add another log's answers' "
            "adds them to others"
        ),
    )
    MERGE = (
        "drill merge takes them in again",
        "'Add another log's answers' takes them in again",
    )

    def told(self, *, on_screen: bool) -> str:
        """In the words of the screens, else of a shell."""
        return self.value[on_screen]
