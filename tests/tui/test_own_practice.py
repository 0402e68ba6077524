"""A practice of one's own in the screens: put together, widened, practised, kept, changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from real_house import RealHouse
from tui_user import SMALL, User, at_keys

from drill.decks.load import listing, load
from drill.decks.schema import Deck
from drill.decks.shipped import shipped_folder
from drill.theory.scales import signature
from drill.tui.formed.deckdraft import WIDEST, DeckDraft, widened
from drill.tui.formed.deckrows import deck_rows
from drill.tui.formed.patterns import PROGRESSIONS, pattern_choices, run_of
from drill.tui.screens.stand import StandScreen
from drill.tui.trainer import Trainer
from drill.tui.ways import ToDecks

SHIPPED = [load(path) for path in listing((shipped_folder(),))]


HORN = "tenor_sax"


def practised(user: User) -> Deck:
    return user.on(StandScreen).sitting.seat.desk.syllabus.deck


def own(user: User) -> None:
    user.today("o", sees=("A practice of your own", "your own (Tenor saxophone"))


def test_a_tenor_player_practises_four_sharps_to_four_flats_and_widens_by_two_keys(
    real: RealHouse, user: User
) -> None:
    own(user)
    user.golden("own", user.see("up to 4 sharps and 4 flats, 9 keys"))
    user.go("Minutes", "enter", "2", "0", "enter")
    user.enter("Practise it now", sees=("The cell on", ", 20 min"))
    deck = practised(user)
    assert deck.instrument == "tenor_sax"
    assert {signature(key) for key in deck.keys} == set(range(-4, 5))
    user.press("escape", sees="A practice of your own")
    user.go("how many", "right", "right", sees="up to 5 sharps and 5 flats, 11 keys")
    user.enter("Keep it as a deck", sees="kept as my-own-practice")
    user.press("escape", sees="▸ My own practice")
    deck = load(real.house.places.decks / "my-own-practice.toml")
    assert {signature(key) for key in deck.keys} == set(range(-5, 6))
    assert (deck.practice.minutes, deck.practice.prompts) == (20, None)


@SMALL
def test_the_form_at_60_by_20_has_its_rows_and_a_fault_in_place(user: User) -> None:
    own(user)
    user.golden("own-fault", user.go("Tempo", "enter", *"fast", "enter", sees="✗ expected beats"))
    shown = user.go(
        "Known by", "enter", *"2030-13-40", "enter", sees="expected a day, such as 2030-06-14"
    )
    assert "quotes" not in shown  # as in a file, where nothing is typed in quotes here
    user.press("enter", "ctrl+u", "enter")
    user.enter("Practise it now", sees=("expected beats a minute", "A practice of your own"))
    user.go("Tempo", "enter", "ctrl+u", *"72", "enter")
    assert "✗" not in user.see("72")


def test_patterns_are_searched_shown_on_the_staff_heard_and_typed(user: User) -> None:
    own(user)
    user.enter("Patterns", sees=("Patterns", "1 chosen"))
    user.type("thirds")
    user.golden("own-patterns", user.see("scale in thirds", "in C major"))
    before = len(user.trainer.studio.player.played)  # type: ignore[union-attr]
    user.press("right")
    assert len(user.trainer.studio.player.played) == before + 1  # type: ignore[union-attr]
    user.press("tab", "ctrl+u", *"1-2-4-1", sees=("▸   1-2-4-1", "the cell as typed", "2 chosen"))
    user.press("tab", "ctrl+u", *"ii-v-i", "tab", "enter", sees="1-2-3-1, 1-3, 1-2-4-1, ii-V-I")
    user.enter("Practise it now", sees="prompt 1 of 20")
    texts = [pattern.text for pattern in practised(user).patterns]
    assert texts[:3] == ["1-2-3-1", "1-3", "1-2-4-1"]
    assert practised(user).patterns[3].roots == ("2", "5", "1")


def test_a_pattern_that_is_typed_is_in_without_marking_it(user: User) -> None:
    own(user)
    user.enter("Patterns", sees=("▸ ✓ 1-2-3-1", "enter done"))
    user.press(*"1-2-4-1", sees=("the cell as typed", "enter add"))
    user.press("enter", sees="1-2-3-1, 1-2-4-1")


def test_a_name_is_typed_in_the_place_of_the_one_that_every_new_deck_has(user: User) -> None:
    own(user)
    user.go("Name", "enter", *"Flats", "enter", sees="Name               Flats ")
    user.press("enter", *" first", "enter", sees="Name               Flats first ")
    user.press("escape", "enter")
    own(user)
    user.go("Name", "enter", "enter", sees="Name               My own practice ")


def test_a_shipped_deck_is_changed_as_a_copy_of_one_s_own(real: RealHouse, user: User) -> None:
    user.today()
    user.does(user.trainer.go, ToDecks(shipped_folder() / "thirds.toml"))
    user.see("Thirds", "run 1 of")
    user.press("e", sees=("Deck: Thirds", "most sharps"))
    user.go("Directions", "right", sees=("Directions", "up"))
    user.enter("Keep it as a deck", sees="kept as thirds")
    user.go("most sharps", "left")
    user.enter("Keep it as a deck")
    user.press("escape")  # Decks stands on what was kept, as it is now
    user.see("Thirds", "8 keys", "run 1 of 16")
    mine, theirs = (
        load(real.house.places.decks / "thirds.toml"),
        load(shipped_folder() / "thirds.toml"),
    )
    assert [each.value for each in mine.directions] == ["up"]
    assert {key for key in theirs.keys if signature(key) < 4} == set(mine.keys)
    assert mine.note == theirs.note


def test_another_deck_is_not_written_over_without_a_question(
    real: RealHouse, trainer: Trainer
) -> None:
    folder = real.house.places.decks
    folder.mkdir(parents=True, exist_ok=True)
    kept = folder / "my-own-practice.toml"
    kept.write_text(
        'title = "Old"\ninstrument = "flute"\npatterns = ["thirds"]\n', encoding="utf-8"
    )

    with at_keys(trainer) as user:
        own(user)
        user.enter("Keep it as a deck", sees="my-own-practice.toml is there already")
        user.press("escape", sees="A practice of your own")
        assert load(kept).title == "Old"
        user.press("enter", sees="my-own-practice.toml is there already")
        user.press("down", "enter", sees="kept as my-own-practice")
    assert load(kept).title == "My own practice"


@pytest.mark.parametrize("deck", SHIPPED, ids=lambda deck: deck.name)
def test_every_shipped_deck_comes_through_the_form_unchanged(deck: Deck) -> None:
    draft = DeckDraft(deck)
    assert draft.deck() == deck
    assert draft.faults() == ()
    assert all(not row.fault for row in deck_rows(draft, ""))


@given(st.integers(0, WIDEST), st.integers(0, WIDEST))
def test_wider_and_narrower_go_one_key_at_a_time(sharps: int, flats: int) -> None:
    wide = widened((sharps, flats), "window", 1)
    assert sum(wide) == min(sharps + flats + 1, 2 * WIDEST)
    assert sum(widened((sharps, flats), "window", -1)) == max(0, sharps + flats - 1)
    if 0 < abs(sharps - flats) < 2 and sum(wide) > sharps + flats:
        assert wide[0] == wide[1]


@given(st.sampled_from(["sharps", "flats"]), st.sampled_from([-1, 1]), st.integers(0, WIDEST))
def test_one_side_alone_can_be_moved(side: str, by: int, other: int) -> None:
    before = (3, other) if side == "sharps" else (other, 3)
    after = widened(before, side, by)
    assert after == ((3 + by, other) if side == "sharps" else (other, 3 + by))


def test_keys_can_be_picked_and_go_back_to_a_window() -> None:
    draft = DeckDraft()
    draft.turn("keys", 1)
    assert draft.window is None
    assert len(draft.keys) == 9
    draft.set("keys", ["C", "Bb"])
    assert [str(key.tonic) for key in draft.keys] == ["C", "Bb"]
    draft.turn("keys", 1)
    assert draft.window == (4, 4)


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("practice.prompts", "30", 30),
        ("practice.minutes", "", None),
        ("tempo", "fast", "fast"),
        ("due", "2030-13-01", "2030-13-01"),
        ("note", " slowly ", "slowly"),
    ],
)
def test_what_is_typed_is_taken_or_told(name: str, text: str, value: object) -> None:
    draft = DeckDraft()
    draft.put(name, text)
    assert draft.get(name) == value
    assert bool(draft.faults()) == (value == text and name in ("tempo", "due"))


def test_minutes_of_a_new_practice_are_not_cut_short_by_its_prompts() -> None:
    draft = DeckDraft()
    typed = (
        ("20", None),
        ("25", None),
        ("", 20),
        ("2.5", 20),
        ("abc", 20),
        ("0", 20),
        ("9", None),
        ("x", None),
        ("", 20),
    )
    for text, prompts in typed:
        draft.put("practice.minutes", text)
        assert draft.get("practice.prompts") == prompts
    draft.put("practice.minutes", "20")
    assert draft.faults() == ()
    draft.put("practice.prompts", "30")
    draft.put("practice.minutes", "25")
    assert draft.get("practice.prompts") == 30  # as was said


def test_minutes_of_a_deck_that_is_there_leave_its_prompts_alone() -> None:
    draft = DeckDraft(replace(DeckDraft().deck(), path=Path("kept.toml")))
    assert draft.get("practice.prompts") == 20
    draft.put("practice.minutes", "20")
    assert draft.get("practice.prompts") == 20


def test_every_choice_of_patterns_is_a_run() -> None:
    from drill.terms import Key, Name

    choices = pattern_choices()
    assert len({each.id for each in choices}) == len(choices)
    assert len(choices) > 46 + len(PROGRESSIONS)
    for each in choices:
        assert run_of(each.id, Key(Name("C", 0), "major"), None).cells


def test_a_fault_that_is_of_no_row_stands_at_the_one_that_keeps_the_deck() -> None:
    draft = DeckDraft(SHIPPED[0])
    draft.set("colour", "red")
    *rows, last = deck_rows(draft, "")
    assert "colour" in last.fault
    assert not any(row.fault for row in rows)


def test_what_is_in_no_deck_yet_is_not_left_without_a_question(real: RealHouse, user: User) -> None:
    own(user)
    user.press("escape")
    user.see("Today", "due")  # nothing was changed, nothing is asked
    own(user)
    user.go("most flats", "right", sees="up to 4 sharps and 5 flats")
    user.press("q", sees=("Leave it without keeping it?", "enter leave it"))
    user.press("escape", sees="up to 4 sharps and 5 flats")
    user.enter("Keep it as a deck", sees="kept as my-own-practice")
    user.press("escape", sees="▸ My own practice")
    own(user)
    user.go("most flats", "right", sees="up to 4 sharps and 5 flats")
    user.press("escape", "enter", sees="▸ My own practice")
    assert not list(real.house.places.decks.glob("my-own-practice-*"))


def test_the_help_of_a_form_tells_what_left_and_right_do_there(user: User) -> None:
    own(user)
    user.press("question_mark")
    told = user.see("Take the next value, or one more.")
    assert "run" not in told
