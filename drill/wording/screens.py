"""Short words of the screens: what is awaited, which of how many, and the questions."""

from __future__ import annotations

OPENING = "opening the deck…"
READING = "reading…"
COUNTING = "counting…"
WORKING = "working…"
NO_DECKS = "no decks found: the teacher's desk writes one"
NO_RUNS = "no runs this way"
NOTHING_TO_SHOW = "nothing to show"
NOTHING_FOUND = "nothing is called that"
TYPE_TO_SEARCH = "type to search"
CHOOSE_FIRST = "choose one first"
DONE = "done"
TAKE, ADD = "take", "add"
"""What Enter does in a list: takes the row, or adds the one that was found to what is marked."""
NOT_FROM_HERE = "this cannot be done from the screens here"

# Words of the last line that stand in place of the usual ones.
GO_ON = "go on"
BREAK_OFF = "break off"
NEXT_FIGURE = "next figure"
MORE_LINES = "more lines"

# Questions: what is asked, more about it, and the words for yes and no.
KEPT = "Every answer that was marked is kept."
UNKEPT = f"What you changed in a form is not kept yet. {KEPT}"
END_PRACTICE = ("End the practice?", KEPT, ("end it", GO_ON))
LEAVE = "Leave drill?"


def place_told(what: str, at: int, of: int) -> str:
    """Where one stands among several: ``deck 2 of 5``."""
    return f"{what} {at} of {of}"


def lines_told(first: int, last: int, count: int) -> str:
    """Which lines of a long page are seen."""
    return f"lines {first} to {last} of {count}"


def more_told(count: int) -> str:
    """So many are not shown; empty for none."""
    return f"and {count} more" if count else ""


chosen_told = "{} chosen".format
"""How many are marked in a list."""


def too_small_told(least: tuple[int, int], now: tuple[int, int]) -> str:
    """Columns and rows that a screen needs, and those there are."""
    return f"needs {least[0]}x{least[1]}, this is {now[0]}x{now[1]}"
