"""A list to choose from: the row stood on is always seen, what is said of it too."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from drill.tui.glyphs import UNICODE
from drill.tui.sheet import moved, too_small
from drill.tui.text import Stretch, line, plain
from drill.tui.views.pick import Choice, Pick, pick_lines

LONG = tuple(Choice(f"n{n}", f"row {n:02d}", f"more {n}") for n in range(40))
LIST = Pick("Which row", LONG, "One of them is wanted.")


def rows(view: Pick, height: int = 20, width: int = 60) -> list[str]:
    return [plain(row).rstrip() for row in pick_lines(view, UNICODE, width, height)]


@pytest.mark.parametrize("height", [9, 12, 20, 23])
@pytest.mark.parametrize("chosen", [0, 1, 20, 38, 39])
def test_the_row_stood_on_and_the_notice_are_seen_at_every_height(height: int, chosen: int) -> None:
    for notice, aside in product(("", "That one will not do."), ((), (line(), line(), line()))):
        view = replace(LIST, chosen=chosen, notice=notice, aside=aside)
        shown = rows(view, height)
        assert len(shown) == height
        assert f" {UNICODE.pointer} row {chosen:02d}   more {chosen}" in shown
        assert not notice or shown[-1] == f" {notice}"


def test_no_row_is_left_empty_while_there_are_more() -> None:
    shown = rows(replace(LIST, chosen=20))
    listed = [row for row in shown if "row " in row]
    assert len(listed) == 20 - 5  # a title, a sentence, the search with a blank row either side
    at = next(index for index, row in enumerate(listed) if "row 20" in row)
    assert at == len(listed) // 2
    assert [row for row in rows(replace(LIST, chosen=39)) if "row " in row][-1].endswith("more 39")


def test_what_is_said_of_a_row_stands_under_the_list_where_three_rows_are_left() -> None:
    said = tuple(line(Stretch(f" about {n}")) for n in range(4))
    view = replace(LIST, aside=said)
    assert rows(view, 12)[-4:] == [" about 0", " about 1", " about 2", " about 3"]
    assert sum("row " in row for row in rows(view, 12)) == 12 - 5 - 4 - 1
    assert not any("about 0" in row for row in rows(view, 11))


def test_the_search_is_in_labels_and_more_and_beginnings_come_first() -> None:
    choices = (
        Choice("a", "alto in E♭", "saxophone"),
        Choice("b", "saxophone"),
        Choice("c", "oboe"),
    )
    view = Pick("Horn", choices).searched("sax")
    assert [each.id for each in view.found] == ["b", "a"]
    assert [each.id for each in view.searched("eb alto").found] == ["a"]
    assert view.searched("tuba").here is None
    assert " nothing is called that" in rows(view.searched("tuba"))


def test_what_is_marked_is_taken_in_its_order_and_counted() -> None:
    view = replace(LIST, several=True)
    assert view.taken == ("n0",)
    view = replace(replace(view, chosen=3).marking(), chosen=1).marking()
    assert view.taken == ("n3", "n1")
    assert rows(view)[0].endswith("2 chosen")
    assert f" {UNICODE.pointer} {UNICODE.right} row 01   more 1" in rows(view)
    assert f"   {UNICODE.right} row 03   more 3" in rows(view)
    assert "     row 02   more 2" in rows(view)
    assert view.marking().taken == ("n3",)
    assert replace(LIST, chosen=5).marking().taken == ("n5",)  # one alone: nothing is marked


def test_a_row_that_was_searched_for_is_added_to_what_is_marked() -> None:
    """Marked beforehand or not, what was typed is not lost by Enter."""
    view = replace(LIST, several=True, marked=("n3",))
    found = view.searched("07")
    assert (found.adds, found.taken) == (True, ("n3", "n7"))
    assert (found.marking().adds, found.marking().taken) == (False, ("n3", "n7"))
    again = view.searched("03")
    assert (again.adds, again.taken) == (False, ("n3",))
    assert again.marking().taken == ("n3",)  # unmarked by hand: the row stood on, as ever
    moved_on = replace(found.marking(), search="0", chosen=5)
    assert moved_on.taken == ("n3", "n7")
    assert found.searched("").taken == view.searched("nothing").taken == ("n3",)


@pytest.mark.parametrize(
    ("verb", "chosen", "to"),
    [("up", 0, 0), ("up", 3, 2), ("down", 3, 4), ("down", 4, 4), ("first", 3, 0), ("last", 1, 4)],
)
def test_the_arrows_stop_at_both_ends(verb: str, chosen: int, to: int) -> None:
    assert moved(verb, chosen, 5) == to
    assert moved(verb, 0, 0) == 0


@pytest.mark.parametrize("height", [1, 2, 5, 8, 10])
def test_a_terminal_that_is_too_small_is_told_in_its_middle(height: int) -> None:
    told = too_small(30, height)
    assert told is not None
    assert len(told) == height
    assert [at for at, row in enumerate(told) if plain(row).strip()] == [(height - 1) // 2]
