"""Every field of a deck's [practice] and [goal] and every setting does something: one table.

Each row names what the field does and the tests that show it, in every front end that takes
it.  A field that is not in the table fails, and so does a row whose test is gone.  The tests
that no room has of its own stand below.
"""

from __future__ import annotations

import argparse
import ast
import io
import json
import os
import sys
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from silent_player import SilentPlayer

from drill.commands import practise
from drill.commands.errands import CommandErrands
from drill.commands.table import module_of, parser_of
from drill.decks.load import loads
from drill.decks.patternchoice import PATTERN_KEYS
from drill.decks.schema import Deck, Goal, Practice
from drill.memory.kinds import Kind
from drill.memory.store import Store
from drill.opening import inlines
from drill.opening.house import House
from drill.opening.onscreens import on_screens
from drill.opening.plan import deck_plan, player_for, settings_for
from drill.opening.tools import Tools
from drill.places import places
from drill.practice import machine
from drill.practice.course import Plan, carried
from drill.practice.effects import Prompt
from drill.practice.room import Room
from drill.settings.catalogue import FIELDS
from drill.settings.values import Motion, Overrides, Settings
from drill.sound.limits import Backend
from drill.sound.take import Take

TESTS = Path(__file__).parents[1]
NOW = datetime(2026, 3, 2, 17, 0, tzinfo=UTC)
HERE = "project/test_effects.py::"

DECK_FIELDS = {
    "practice.prompts": (
        "prompts asked, the closing round among them",
        HERE + "test_prompts",
        "practice/test_machine.py::test_forty_prompts_are_forty_and_the_copies",
    ),
    "practice.minutes": (
        "time to the end of everything",
        HERE + "test_minutes",
        "practice/test_machine.py::test_minutes_are_to_the_end_of_everything",
        "lines/test_lines.py::test_minutes_that_are_left_are_told_once_a_minute",
    ),
    "practice.ask": (
        "the kinds of prompt that come",
        HERE + "test_ask",
        "practice/test_machine.py::test_the_next_cell_comes_with_the_one_before_it",
    ),
    "practice.again": (
        "a missed cell is copied until it is right",
        HERE + "test_again",
        "practice/test_machine.py::test_a_missed_cell_is_copied_until_it_is_right",
        "lines/test_lines.py::test_a_wrong_answer_is_explained_and_typed_once_more",
        "tui/test_walking.py::test_at_a_copy_tab_goes_on",
    ),
    "practice.missed_again": (
        "missed cells come once more at the end",
        HERE + "test_missed_again",
        "practice/test_machine.py::test_missed_cells_are_asked_once_more_at_the_end_and_there_is_no_loop",
    ),
    "practice.new_cells": (
        "so many cells enter at most",
        HERE + "test_new_cells",
        "memory/test_introducing.py::test_new_cells_are_obeyed_to_the_letter",
    ),
    "practice.new_keys": (
        "so many keys are opened at most",
        HERE + "test_new_keys",
        "memory/test_introducing.py::test_new_keys_are_obeyed_to_the_letter",
        "memory/test_introducing.py::test_all_keys_at_once_for_those_who_want_it",
    ),
    "goal.right": (
        "the recall that by heart takes, and the share that a forecast aims at",
        "memory/test_levels.py::test_the_goal_decides",
    ),
    "goal.days": (
        "different days that by heart takes",
        "memory/test_levels.py::test_the_goal_decides",
    ),
    "goal.tempo": ("the tempo to reach is told in time", HERE + "test_the_tempo_to_reach_is_told"),
    "goal.ask": (
        "kinds that are asked whatever else is, and without which nothing is by heart",
        HERE + "test_the_goal_s_kinds_are_asked",
        HERE + "test_without_the_goal_s_kinds_nothing_is_by_heart",
        "memory/test_levels.py::test_kinds_that_the_goal_names_have_to_come_right_too",
    ),
}
_CHORDS, _COURSE = "decks/test_deck_chords.py::", "decks/test_deck_course.py::"
_ENDS, _RUNS = "theory/test_ends_and_groups.py::", "theory/test_patterns.py::"
_LINES, _AS_ASKED = "decks/test_excerpts.py::", "commands/test_chords_as_asked.py::"
PATTERN_FIELDS = {
    "id": ("the catalogue's cell", _RUNS + "test_every_published_run_in_five_keys"),
    "name": (
        "what the pattern is called",
        "decks/test_deck_load.py::test_a_full_deck_holds_what_its_file_says",
    ),
    "cell": (
        "the notes of each cell",
        "decks/test_deck_load.py::test_a_cell_of_the_catalogue_is_the_catalogues_pattern",
    ),
    "cells": ("cells that alternate", _RUNS + "test_a_cycle_of_two_cells_alternates"),
    "progression": (
        "the chords in every key, spelled, asked, printed and heard",
        _CHORDS + "test_a_line_of_symbols_moves_to_every_key",
        "wording/test_asking.py::test_chords_are_asked_for_by_symbol_or_function",
        "paper/test_musicxml.py::test_chords_stand_above_their_bars",
        _AS_ASKED + "test_the_shipped_turnaround_is_shown_and_written_as_midi",
    ),
    "moves_by": ("the step to the next start", _RUNS + "test_a_start_that_moves_by_two"),
    "descent": ("how it comes down", _RUNS + "test_five_ways_down"),
    "ending": ("what it does at the octave", _RUNS + "test_three_endings_of_thirds"),
    "mode": ("what digits count", _RUNS + "test_a_cell_on_moving_roots_keeps_its_intervals"),
    "roots": ("the roots visited", _RUNS + "test_root_orders_visit_what_the_published_orders_do"),
    "in": ("the key of symbols or of a line", _CHORDS + "test_the_key_of_symbols_can_be_named"),
    "voice_leading": (
        "each chord in its nearest inversion",
        "theory/test_progressions.py::test_voice_leading_goes_to_the_nearest_inversion",
        _CHORDS + "test_voice_leading_and_guide_tones_are_for_all_or_for_one",
    ),
    "guide_tones": (
        "3 and 7 alone",
        "theory/test_progressions.py::test_guide_tones_lead_by_step",
    ),
    "all": (
        "every rotation or permutation of a cell",
        _COURSE + "test_one_line_is_all_rotations_or_permutations",
    ),
    "begin": ("the degree on which runs begin", _ENDS + "test_from_the_third_to_the_third"),
    "finish": ("the degree on which they end", _ENDS + "test_from_one_degree_to_another"),
    "groups_of": (
        "notes in other groups than cells",
        _ENDS + "test_displaced_the_notes_are_the_same_in_other_groups",
        _COURSE + "test_groups_are_asked_in_place_of_cells",
    ),
    "from": (
        "a line out of a file, in every key",
        _LINES + "test_a_bar_of_a_study_is_asked_in_all_keys",
    ),
    "bars": ("which bars of it", _LINES + "test_in_key_mode_it_can_begin_on_every_degree"),
    "part": ("which part of it", _LINES + "test_another_part_may_be_named"),
}
"""The fields of a ``[[pattern]]`` table; some stand at the top of a deck as well."""
SETTING_FIELDS = {
    "names": (
        "notes are typed and shown in the language",
        "lines/test_lines_process.py::test_names_and_words_on_the_command_line",
        "tui/test_settings_form.py::test_note_names_are_read_and_shown_at_once",
    ),
    "glyphs": (
        "the characters drawn",
        "checklist/test_looks.py::test_line_mode_with_ascii_has_no_other_byte",
        "tui/test_actions.py::test_arrows_have_a_name_in_ascii",
    ),
    "theme": ("the colours of the screens", "tui/test_themes.py::test_a_theme_is_in_force"),
    "color": (
        "whether there are colours",
        "checklist/test_looks.py::test_the_colour_option_goes_before_the_environment",
        "tui/test_settings_form.py::test_colours_sound_and_hold_change_at_once",
    ),
    "words": ("notes in words in lines", "lines/test_lines.py::test_names_and_words"),
    "motion": ("nothing on the screens moves", HERE + "test_reduced_motion_keeps_screens_still"),
    "hold": (
        "a right answer waits for Enter",
        "tui/test_flow.py::test_a_held_verdict_waits_for_enter",
        "lines/test_lines.py::test_a_right_answer_is_held_until_enter_where_that_is_wished",
    ),
    "sound": (
        "whether anything sounds",
        HERE + "test_sound_backend_and_room_reach_the_player",
        "tui/test_settings_form.py::test_colours_sound_and_hold_change_at_once",
    ),
    "volume": ("how loud a cell sounds", HERE + "test_volume_and_pitch_reach_what_sounds"),
    "room": (
        "a short room after notes",
        HERE + "test_sound_backend_and_room_reach_the_player",
        "sound/test_spectra.py::test_the_room_can_be_left_and_never_touches_a_click",
    ),
    "a4": ("the pitch of what sounds", HERE + "test_volume_and_pitch_reach_what_sounds"),
    "backend": (
        "the audio library",
        HERE + "test_sound_backend_and_room_reach_the_player",
        "sound/test_output.py::test_the_environment_forces_a_backend",
    ),
    "in_time": ("nothing is asked in time", HERE + "test_in_time_off_asks_nothing_in_time"),
    "horn": (
        "the horn of decks that leave it to the player",
        "decks/test_own_horn.py::test_a_deck_for_one_s_own_horn_waits_for_it",
    ),
    "student": (
        "the name on what is handed in",
        "commands/test_hand_in.py::test_the_name_comes_from_the_settings",
    ),
    **dict.fromkeys(
        (
            f"practice.{field}"
            for field in "prompts minutes new_keys new_cells again missed_again kinds".split()
        ),
        ("as in a deck, in its place", HERE + "test_a_player_s_wish_goes_first"),
    ),
}


@cache
def named_in(file: Path) -> frozenset[str]:
    """The tests of a file, by name."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    found = (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))
    return frozenset(node.name for node in found if node.name.startswith("test_"))


def test_every_field_of_practice_and_goal_has_its_effect() -> None:
    known = {f"practice.{each.name}" for each in fields(Practice)}
    known |= {f"goal.{each.name}" for each in fields(Goal)}
    assert set(DECK_FIELDS) == known


def test_every_setting_has_its_effect() -> None:
    assert set(SETTING_FIELDS) == {each.name for each in FIELDS}


def test_every_field_of_a_pattern_has_its_effect() -> None:
    assert set(PATTERN_FIELDS) == set(PATTERN_KEYS)


@pytest.mark.parametrize(
    "row", [*DECK_FIELDS.values(), *PATTERN_FIELDS.values(), *SETTING_FIELDS.values()]
)
def test_every_row_names_tests_that_exist(row: tuple[str, ...]) -> None:
    effect, *tests = row
    assert effect
    assert tests
    for test in tests:
        file, _, name = test.partition("::")
        assert name in named_in(TESTS / file), test


# A deck's [practice], field by field: the same practice with it and without it.


def deck(practice: str = "", more: str = "") -> Deck:
    return loads(
        'title = "Six keys"\ninstrument = "alto_sax"\npatterns = ["return3"]\n'
        f'keys = ["C", "G", "F", "D", "Bb", "A"]\n{more}\n[practice]\n{practice}\n',
        "six-keys.toml",
    )


def prompts_of(
    folder: Path, of: Deck, right: str = "never", plan: Plan | None = None, seconds: float = 12.0
) -> list[Prompt]:
    """Every prompt of one practice; copies are typed right."""
    from datetime import timedelta

    numbers = iter(range(10_000))
    store = Store.open(folder / "answers.db")
    room = Room(store, zone=UTC)
    plan = plan or machine.plan_for(of, NOW)
    made = room.syllabus(of, plan.kinds)
    desk = room.desk(made, plan, 1, lambda: f"{next(numbers):06}")
    now, found = NOW, []
    state, _ = machine.begin(desk, now)
    while (prompt := state.prompt) is not None:
        found.append(prompt)
        now += timedelta(seconds=seconds)
        good = prompt.again or right == "always"
        text = " ".join(str(note.name) for note in prompt.cell.notes) if good else "C"
        step = machine.answer(desk, state, text, now, seconds)
        state, _ = carried(machine, room, desk, step, now)
    store.close()
    return found


def test_prompts(tmp_path: Path) -> None:
    assert len(prompts_of(tmp_path, deck("prompts = 7"), "always")) == 7


def test_minutes(tmp_path: Path) -> None:
    assert len(prompts_of(tmp_path, deck("minutes = 2"), "always")) == 10  # 12 seconds each


def test_ask(tmp_path: Path) -> None:
    found = prompts_of(tmp_path, deck('ask = ["next"]'), "always")
    assert any(prompt.given for prompt in found)
    (tmp_path / "b").mkdir()
    found = prompts_of(tmp_path / "b", deck('ask = ["degree"]'), "always")
    assert {prompt.kind for prompt in found} == {Kind.DEGREE}


def test_again(tmp_path: Path) -> None:
    assert any(prompt.again for prompt in prompts_of(tmp_path, deck("again = true")))
    (tmp_path / "b").mkdir()
    assert not any(prompt.again for prompt in prompts_of(tmp_path / "b", deck("again = false")))


def test_missed_again(tmp_path: Path) -> None:
    assert any(prompt.closing for prompt in prompts_of(tmp_path, deck("missed_again = true")))
    (tmp_path / "b").mkdir()
    found = prompts_of(tmp_path / "b", deck("missed_again = false"))
    assert not any(prompt.closing for prompt in found)


@pytest.mark.parametrize("right", ["always", "never"])
def test_new_cells(tmp_path: Path, right: str) -> None:
    found = prompts_of(tmp_path, deck("new_cells = 5"), right)
    assert len({prompt.item.id for prompt in found}) == 5


@pytest.mark.parametrize("right", ["always", "never"])
def test_new_keys(tmp_path: Path, right: str) -> None:
    found = prompts_of(tmp_path, deck("new_keys = 2"), right)
    assert {prompt.item.key for prompt in found} == {"C:major", "G:major"}
    (tmp_path / "b").mkdir()
    found = prompts_of(tmp_path / "b", deck('new_keys = "all"'), right)
    assert len({prompt.item.key for prompt in found}) == 6


def test_the_goal_s_kinds_are_asked() -> None:
    with_goal = deck('ask = ["next"]', "").practice
    assert with_goal.ask
    of = loads(
        'title = "Goal"\ninstrument = "alto_sax"\npatterns = ["return3"]\nkeys = ["C"]\n'
        '[practice]\nask = ["next"]\n[goal]\nask = ["run"]\n',
        "goal.toml",
    )
    assert machine.plan_for(of, NOW).kinds == ("next", "run")


@pytest.mark.parametrize(("ask", "by_heart"), [("", 1), ('ask = ["ear"]', 0)])
def test_without_the_goal_s_kinds_nothing_is_by_heart(
    tmp_path: Path, ask: str, by_heart: int
) -> None:
    """One cell, right by its degree on four days: on the screens, and in ``drill progress``."""
    from drill.memory.pool import Pool
    from drill.practice.introduction import introduction
    from drill.tui.seats import counted

    home = tmp_path / "home"
    folder = home / "decks"
    folder.mkdir(parents=True)
    file = folder / "goal.toml"
    file.write_text(
        'title = "Goal"\ninstrument = "alto_sax"\npatterns = ["return3"]\nkeys = ["C"]\n'
        'directions = ["up"]\ndegrees = [1]\n[practice]\nprompts = 8\nask = ["degree"]\n'
        f"[goal]\nright = 0.6\n{ask}\n",
        encoding="utf-8",
    )
    now = NOW
    for day in range(4):
        now = NOW + timedelta(days=day)
        tools = Tools(house_at(home), io.StringIO("C D E C\n" * 8), io.StringIO(), io.StringIO(),
                      lambda now=now: now, {})  # type: ignore[misc]  # fmt: skip
        words = ["--plain", "--deck", "goal", "--prompts", "8", "--ask", "degree", "--mute"]
        practise.run(parser_of("practise", practise).parse_args(words), tools)
    out = io.StringIO()
    told = Tools(house_at(home), io.StringIO(), out, io.StringIO(), lambda: now, {})
    module = module_of("progress")
    module.run(parser_of("progress", module).parse_args(["--deck", "goal", "--json"]), told)
    assert json.loads(out.getvalue())["levels"]["by-heart"] == by_heart
    with Store.open(house_at(home).log) as store:
        room = Room(store, zone=UTC)
        of = house_at(home).deck("goal")
        syllabus = room.syllabus(of)
        pool = Pool(room.memory, syllabus.items, 1, introduction(syllabus))
        tally = counted(file, syllabus, pool, room, machine.plan_for(of, now), now)
    assert tally.by_heart == by_heart


def house_at(home: Path) -> House:
    return House(places({"DRILL_HOME": str(home)}), UTC, {})


def test_the_tempo_to_reach_is_told(tmp_path: Path) -> None:
    from drill.practice.time.course import Offer, TimePlan, begin, time_desk
    from drill.theory.language import Language
    from drill.tui.glyphs import UNICODE
    from drill.tui.views.time import InTime, Phase, in_time
    from drill.tui.words import Words

    with Store.open(tmp_path / "answers.db") as store:
        room = Room(store, zone=UTC)
        desk = time_desk(room, room.syllabus(deck()), TimePlan(), 1, lambda: "id")
        _, effects = begin(desk, NOW)
    offer = next(effect for effect in effects if isinstance(effect, Offer))

    def told(goal: int | None) -> str:
        view = InTime(title="Goal", goal=goal, phase=Phase.WAITING, offer=offer)
        rows = in_time(view, Words(Language.ENGLISH, UNICODE), 80, 24)
        return "\n".join("".join(span.text for span in row) for row in rows)

    assert "goal 96" in told(96)
    assert "goal" not in told(None)


# Settings.


@pytest.mark.parametrize(
    ("wish", "field", "value"),
    [
        (Overrides(prompts=9), "prompts", 9),
        (Overrides(prompts=0), "prompts", None),
        (Overrides(minutes=2.5), "minutes", 2.5),
        (Overrides(minutes=2.5), "prompts", None),
        (Overrides(again=False), "again", False),
        (Overrides(missed_again=False), "missed_again", False),
        (Overrides(kinds=(Kind.DEGREE,)), "kinds", (Kind.DEGREE,)),
    ],
)
def test_a_player_s_wish_goes_first(wish: Overrides, field: str, value: object) -> None:
    of = deck("prompts = 30\nminutes = 9")
    plan = deck_plan(of, NOW, Settings(practice=wish), None)
    assert getattr(plan, field) == value
    assert getattr(deck_plan(of, NOW, Settings(), None), field) != value
    new = Overrides(new_keys=1, new_cells=3)
    limits = deck_plan(of, NOW, Settings(practice=new), None).options.new
    assert (limits.keys, limits.cells) == (1, 3)


@pytest.mark.parametrize(
    ("said", "wish", "prompts", "minutes"),
    [
        ("", Overrides(), 40, None),
        ("minutes = 9", Overrides(), None, 9),
        ("prompts = 30\nminutes = 9", Overrides(minutes=20), None, 20),
        ("prompts = 30\nminutes = 9", Overrides(minutes=0), 30, None),
        ("prompts = 30", Overrides(prompts=50, minutes=20), 50, 20),
        ("minutes = 9", Overrides(minutes=0), 40, None),
        ("minutes = 9", Overrides(prompts=0, minutes=0), None, None),
    ],
)
def test_minutes_that_stand_alone_are_not_cut_short_by_prompts(
    said: str, wish: Overrides, prompts: int | None, minutes: float | None
) -> None:
    plan = deck_plan(deck(said), NOW, Settings(practice=wish), None)
    assert (plan.prompts, plan.minutes) == (prompts, minutes)


def test_in_time_off_asks_nothing_in_time() -> None:
    of = deck('ask = ["degree", "time"]')
    assert Kind.TIME in deck_plan(of, NOW, Settings(), None).kinds
    assert Kind.TIME not in deck_plan(of, NOW, Settings(in_time=False), None).kinds


def tools_at(folder: Path, typed: str = "", settings: str = "") -> Tools:
    home = House(places({"DRILL_HOME": str(folder)}), UTC)
    home.places.settings.parent.mkdir(parents=True, exist_ok=True)
    home.places.settings.write_text(settings, encoding="utf-8")
    return Tools(home, io.StringIO(typed), io.StringIO(), io.StringIO(), lambda: NOW, {})


class Listener(SilentPlayer):
    """A player that keeps what it is given."""

    def __init__(self) -> None:
        super().__init__()
        self.takes: list[Take] = []

    def play(self, take: Take, *, stale_s: float = 0.0, **more: object) -> bool:
        self.takes.append(take)
        return True


def test_volume_and_pitch_reach_what_sounds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    heard = Listener()
    monkeypatch.setattr(inlines, "player_for", lambda settings, tools: heard)
    tools = tools_at(tmp_path, "show\nquit\n", "volume = 0.2\na4 = 432\n")
    parser = practise_parser()
    practise.run(parser.parse_args(["--plain", "--deck", "major-returning-cells"]), tools)
    assert [(take.volume, take.a4) for take in heard.takes] == [(0.2, 432)]


def practise_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser()
    practise.arguments(parser)
    return parser


def test_sound_backend_and_room_reach_the_player(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[dict[str, object]] = []
    import drill.sound.player as player_room

    def make(clock: object, **wishes: object) -> Listener:
        made.append(wishes)
        return Listener()

    monkeypatch.setattr(player_room, "Player", make)
    plain = Settings()
    wished = replace(plain, sound=False, room=not plain.room, backend=Backend.SILENT)
    for settings in (plain, wished):
        player_for(settings, tools_at(tmp_path))
    first, second = made
    assert (first["muted"], second["muted"]) == (False, True)
    assert first["room"] is not second["room"]
    assert second["environment"] == {"DRILL_SOUND": "silent"}
    assert first["environment"] == {}


@pytest.fixture
def animations() -> Iterator[None]:
    before = os.environ.pop("TEXTUAL_ANIMATIONS", None)
    yield
    os.environ.pop("TEXTUAL_ANIMATIONS", None)
    if before is not None:
        os.environ["TEXTUAL_ANIMATIONS"] = before


@pytest.mark.usefixtures("animations")
@pytest.mark.parametrize("motion", list(Motion))
def test_reduced_motion_keeps_screens_still(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, motion: Motion
) -> None:
    """Textual's own variable turns every animation off (its documentation)."""
    from drill.tui import app

    monkeypatch.setattr(app, "run", lambda context: 0)
    tools = tools_at(tmp_path, settings=f'motion = "{motion.value}"\n')
    args = practise_parser().parse_args([])
    loaded = settings_for(args, tools)
    on_screens(args, loaded, None, tools, CommandErrands(tools))
    wanted = "none" if motion is Motion.REDUCED else None
    assert os.environ.get("TEXTUAL_ANIMATIONS") == wanted
    assert sys.modules["drill.tui.app"] is app
