"""The screens' small steps: lists and tables at their edges, staffs sign by sign, and what a form
or screen does with one key."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from tui_desk import DECK, MORNING, golden, prompt_of, text_of

from drill.decks.load import loads
from drill.marking.typed import Reading
from drill.memory.items import Answer, practice_day
from drill.memory.state import State
from drill.practice.effects import Summary
from drill.practice.syllabus import build
from drill.practice.time.course import Timed
from drill.reports.report import Column, Report, Table
from drill.settings.describe import SettingRow
from drill.settings.load import Layer, Origin
from drill.settings.values import Settings
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.tui import charts, crash
from drill.tui.actions import Place, key_line
from drill.tui.draft import Draft
from drill.tui.edges import EndingApp
from drill.tui.formed import own
from drill.tui.formed.deckdraft import widened
from drill.tui.formed.decklists import deck_list
from drill.tui.formed.handing import HandInForm
from drill.tui.formed.printing import PrintForm
from drill.tui.formed.settings import SettingsForm
from drill.tui.formed.tricky import TrickyForm
from drill.tui.glyphs import ASCII, UNICODE, Glyphs
from drill.tui.layout import shortened, window
from drill.tui.rehearsal import CLICKS, HeldKey, Rehearsal, Tapping, Told, next_click
from drill.tui.screens import stand, time
from drill.tui.screens.errand import ErrandScreen
from drill.tui.screens.form import FormScreen
from drill.tui.screens.map import MapScreen
from drill.tui.screens.report import ReportScreen
from drill.tui.screens.stand import StandScreen
from drill.tui.screens.tapping import TapScreen
from drill.tui.sheet import too_small
from drill.tui.staff import Group, NoteColumn, Staff, draw
from drill.tui.tally import Tally
from drill.tui.text import Stretch, line, plain
from drill.tui.views import stand as stand_view
from drill.tui.views import time as in_time
from drill.tui.views import verdict
from drill.tui.views.decks import Decks, decks
from drill.tui.views.form import FormView, Row, RowKind, form_lines
from drill.tui.views.map import Map
from drill.tui.views.pick import Choice, Pick, pick_lines
from drill.tui.views.report import Shown, report_lines
from drill.tui.views.stand import stand as draw_stand
from drill.tui.views.summary import SummaryView, summary
from drill.tui.views.take import _meter
from drill.tui.views.time import InTime
from drill.tui.views.today import Today, today
from drill.tui.views.verdict import Stand, verdict_lines
from drill.tui.ways import ToErrand
from drill.tui.words import Words
from drill.wording.desk import HAND_ROWS
from drill.wording.today import COLUMNS

# What a square opens.


def test_the_slips_of_a_cell_are_its_own() -> None:
    syllabus = build(loads(DECK, "two-keys.toml"))
    mine, other, bare = list(syllabus.entries)[:3]
    log = [
        Answer(f"{n}", MORNING, practice_day(MORNING), item, False, slip=slip, again=again)
        for n, (item, slip, again) in enumerate(
            [(mine, "degree", False), (mine, "degree", False), (mine, "swap", False),
             (other, "letter", False), (mine, "letter", True), (bare, "key", False)]
        )
    ]  # fmt: skip
    found = charts.opened(syllabus, [mine, other], State(), MORNING, log)
    assert [cell.named for cell in found] == [(("degree", 2), ("swap", 1)), (("letter", 1),)]


# Keys of the library underneath.


def test_no_key_of_the_library_s_own_is_left() -> None:
    """Textual has ctrl+q and ctrl+c for every program: ours are in one table.  Its ctrl+p, of the
    list of commands, comes with no inheritance."""
    assert set(EndingApp()._bindings.key_to_bindings) <= {"ctrl+p"}


# Forms.


class Desk:
    """Settings of which one is weighed down by the environment."""

    def __init__(self, origin: Origin) -> None:
        self.origin = origin

    def put(self, name: str, text: str) -> str:
        return ""

    def settings(self) -> list[Any]:
        return [SettingRow("a4", 442.0, "442", self.origin)]


@pytest.mark.parametrize(
    ("origin", "weighed"),
    [
        (Origin(Layer.ENVIRONMENT, "DRILL_A4"), True),
        (Origin(Layer.FLAG), True),
        (Origin(Layer.PROJECT, "drill.toml:1:1"), False),
        (Origin(Layer.USER, "settings.toml:1:1"), False),
        (Origin(Layer.DEFAULT), False),
    ],
)
def test_a_setting_that_something_else_outweighs_is_told(origin: Origin, weighed: bool) -> None:
    context = SimpleNamespace(settings=Desk(origin))
    program: Any = SimpleNamespace(follow=lambda: None, studio=SimpleNamespace(context=context))
    told = SettingsForm(program).put("a4", "440")
    assert (str(origin) in told) is weighed
    same = SettingsForm(program).put("a4", "442")
    assert "442" in same
    assert not weighed or told != same


def test_where_a_page_goes_is_chosen_among_files(tmp_path: Path) -> None:
    went: list[object] = []
    program: Any = SimpleNamespace(go=went.append, studio=None, back=lambda: None)
    form = PrintForm(program, tmp_path / "x.toml")
    assert not form.press("file")
    assert len(went) == 1


@pytest.mark.parametrize(
    ("window", "name", "by", "then"),
    [
        ((0, 0), "flats", -1, (0, 0)), ((0, 1), "flats", -1, (0, 0)), ((7, 7), "flats", 1, (7, 7)),
        ((0, 0), "sharps", -1, (0, 0)), ((7, 3), "sharps", 1, (7, 3)),
        ((3, 3), "window", 1, (4, 3)), ((4, 3), "window", 1, (4, 4)),
        ((4, 4), "window", -1, (4, 3)), ((4, 3), "window", -1, (3, 3)),
        ((7, 7), "window", 1, (7, 7)), ((0, 0), "window", -1, (0, 0)),
        ((2, 7), "window", 1, (3, 7)), ((0, 4), "window", -1, (0, 3)),
    ],
)  # fmt: skip
def test_a_window_of_keys_is_widened_by_one_to_the_side_whose_turn_it_is(
    window: tuple[int, int], name: str, by: int, then: tuple[int, int]
) -> None:
    assert widened(window, name, by) == then


def test_a_row_that_is_typed_into_shows_what_stands_there_at_once() -> None:
    drawn: list[str] = []
    row = Row("title", "Title", "Keys", RowKind.TEXT, text="Keys")
    screen: Any = SimpleNamespace(
        _view=FormView("x", (row,)), answer=SimpleNamespace(draft=Draft(), open=False)
    )
    screen.redraw = lambda: drawn.append(screen._view.editing)
    screen.show = lambda **changed: FormScreen.show(screen, **changed)
    screen.typed = lambda draft: FormScreen.typed(screen, draft)
    FormScreen._change(screen)
    assert (screen.answer.open, screen.answer.draft.text) == (True, "Keys")
    FormScreen.typed(screen, Draft("Keyss"))
    assert drawn == ["Keys", "Keyss"]


def test_what_the_map_has_to_say_is_seen_at_once() -> None:
    drawn: list[str] = []
    screen: Any = SimpleNamespace(_view=Map(None, 0, 0))
    screen.redraw = lambda: drawn.append(screen._view.notice)
    screen.show = lambda **changed: MapScreen.show(screen, **changed)
    MapScreen.say(screen, "one\ntwo")
    assert drawn == ["one"]


@pytest.mark.parametrize(("reading", "left"), [("Bb Eb", "Bb Eb"), (None, "bbeb")])
def test_a_digit_chooses_among_the_readings_and_is_no_part_of_the_answer(
    monkeypatch: pytest.MonkeyPatch, reading: str | None, left: str
) -> None:
    asked: list[object] = []

    def chosen(text: str, number: int, ways: object) -> str | None:
        asked.append((text, number, ways))
        return reading

    monkeypatch.setattr(stand, "chosen", chosen)
    monkeypatch.setattr(stand, "ways_of", lambda sitting: "ways")
    monkeypatch.setattr(stand, "read_draft", lambda sitting, draft: draft.text)
    sitting = SimpleNamespace(held=False, choices=("a", "b"), problem="x", notice="x")
    screen: Any = SimpleNamespace(
        sitting=sitting, answer=SimpleNamespace(draft=None), page=SimpleNamespace(update=list)
    )
    StandScreen.typed(screen, Draft("bbeb2"))
    assert asked == [("bbeb", 2, "ways")]
    assert screen.answer.draft.text == screen._reading == left
    assert (sitting.problem, sitting.choices, sitting.notice) == ("", (), "")


def test_how_late_taps_are_is_said_when_there_are_enough() -> None:
    said: list[str] = []
    tapping: Any = SimpleNamespace(over=lambda: False, told=lambda: "40 ms late")
    bout: Any = SimpleNamespace(_tapping=tapping, beat=None, say=said.append)
    assert Rehearsal.tick(bout) is False
    assert said == []
    tapping.over = lambda: True
    assert Rehearsal.tick(bout) is True
    assert said == ["40 ms late"]
    assert bout._tapping is None


# Lists.


def choices(count: int) -> tuple[Choice, ...]:
    return tuple(Choice(f"{n}", f"row {n}") for n in range(count))


@pytest.mark.parametrize(("count", "searched"), [(6, False), (7, True)])
def test_a_list_of_more_than_six_can_be_searched(count: int, searched: bool) -> None:
    shown = text_of(pick_lines(Pick("Horn", choices(count)), ASCII, 60, 20))
    assert ("type to search" in shown.lower()) is searched


@pytest.mark.parametrize(
    ("chosen", "first"), [(0, 0), (3, 0), (4, 1), (5, 2), (6, 3), (16, 13), (19, 13)]
)
def test_the_row_stood_on_is_in_the_middle_of_a_long_list(chosen: int, first: int) -> None:
    """Eleven rows: four of the title and the search, seven of the list."""
    rows = pick_lines(Pick("Horn", choices(20), chosen=chosen), ASCII, 60, 11)
    listed = [plain(row).split()[-1] for row in rows if "row" in plain(row)]
    assert len(rows) == 11
    assert listed[0] == f"{first}"
    assert f"{chosen}" in listed


def test_rows_of_a_form_that_do_something_stand_apart() -> None:
    rows = (
        Row("a", "Title", "x", RowKind.TEXT), Row("b", "Keys", "", RowKind.OPEN),
        Row("c", "Keep it", kind=RowKind.ACT), Row("d", "Begin", kind=RowKind.ACT),
    )  # fmt: skip
    lines = form_lines(FormView("A form", rows, 1), ASCII, 40, 12)
    golden("form-edges", text_of(lines))


# Staffs.


def group(*notes: tuple[str, int, str]) -> Group:
    return Group(tuple(NoteColumn(label, step, sign) for label, step, sign in notes))


TWO_BARS = Staff(
    "treble",
    2,
    (
        group(("G", 32, ""), ("A", 33, ""), ("B", 34, "")),
        group(("F#", 38, "#"), ("E", 37, "")),
    ),
)
STAFFS = (
    (TWO_BARS, 50, 9, ASCII),
    (TWO_BARS, 50, 12, UNICODE),
    (Staff("tenor", 4, (group(("C", 28, ""), ("D", 29, "")),)), 30, 9, ASCII),
    (Staff("treble", 0, (group(("C", 42, ""), ("D", 43, "")),)), 40, 12, ASCII),
    (Staff("treble", 0, (group(("C", 28, "")),)), 24, 10, ASCII),
    (Staff("treble", -1, (group(("E", 44, ""), ("F", 45, "b")),)), 40, 9, ASCII),
    (Staff("bass", -3, (group(("Ab", 19, ""), ("C", 21, ""), ("Bb", 27, "b")),)), 44, 12, ASCII),
    (Staff("treble", 0, (group(("C", 49, ""), ("D", 50, "")),)), 30, 9, ASCII),
    (Staff("treble", 0, (group(("C", 21, ""), ("D", 22, "")),)), 30, 9, ASCII),
    (Staff("tenor", 1, (group(("C", 28, "")),)), 24, 9, ASCII),
    (Staff("treble", 0, (group(("F", 31, ""), ("D", 36, "")),)), 30, 9, ASCII),
    (Staff("treble 8va", 3, (group(("C", 28, "x"), ("G", 25, "")),)), 40, 13, UNICODE),
)


def test_staffs_sign_by_sign() -> None:
    """Bar lines, ledger lines, stems on their side, signs before heads, marks of octaves: each
    was read by eye against common practice."""
    drawn: list[str] = []
    for staff, width, rows, glyphs in STAFFS:
        lines = draw(staff, width, rows, glyphs)
        assert len(lines) == rows + 1
        assert all(len(plain(row)) <= width for row in lines)
        drawn.append(text_of(lines))
    golden("staffs-edges", "\n\n".join(drawn))


@pytest.mark.parametrize("glyphs", [ASCII, UNICODE])
def test_every_cell_of_a_staff_has_one_sign(glyphs: Glyphs) -> None:
    lines = draw(TWO_BARS, 50, 9, glyphs)
    counted = Counter(sign for row in lines[:-1] for sign in plain(row))
    assert counted[glyphs.head] == 5
    # each end of nine rows, and the bar line of nine
    assert counted[glyphs.bar] >= 2 * 9 + 9


def test_a_click_of_something_else_is_not_tapped_along_with() -> None:
    """The output may still hold an older take when the taps are looked at."""
    mine, other = (SimpleNamespace(take=SimpleNamespace(clicks=at)) for at in (1, 2))
    sounds: list[Any] = [other]
    now = [0.0]
    studio = SimpleNamespace(
        player=SimpleNamespace(playing=lambda: sounds[0]),
        context=SimpleNamespace(monotonic=lambda: now[0]),
    )
    tapping: Any = SimpleNamespace(
        _studio=studio, _take=mine.take, _playing=None, _asked_at=0.0, taps=[]
    )
    followed: list[object] = []
    for sounds[0] in (other, mine):
        assert not Tapping.over(tapping)
        followed.append(tapping._playing)
    assert followed == [None, mine]
    sounds[0] = None
    assert Tapping.over(tapping)
    tapping._playing, now[0] = None, 1000.0
    assert Tapping.over(tapping)  # it never came


def test_a_screen_that_is_too_small_says_how_large_it_should_be() -> None:
    told = too_small(30, 9)
    assert told is not None
    assert "60" in text_of(told)
    assert "20" in text_of(told)
    assert too_small(36, 10) is None
    assert too_small(35, 10) is not None
    assert too_small(36, 9) is not None


@pytest.mark.parametrize(("letters", "cut"), [(24, False), (25, True)])
def test_a_name_in_a_table_has_24_columns_where_others_need_the_room(
    letters: int, cut: bool
) -> None:
    columns = (
        Column("name", "Name", str),
        *(Column(f"c{n}", "x" * 18, lambda item: "y" * 18) for n in range(3)),
    )
    table = Table("t", "Table", columns, ["a" * letters])
    report = Report("Report", "test", MORNING, (), (table,))
    shown = text_of(report_lines(Shown("Report", report), ASCII, 60, 20))
    assert ("a" * letters in shown) is not cut


def test_sorting_goes_through_the_columns_and_back_to_their_own_order() -> None:
    columns = (Column("a", "A", str), Column("b", "B", str))
    report = Report("Report", "test", MORNING, (), (Table("t", "Table", columns, ["x", "y"]),))
    screen: Any = SimpleNamespace(_view=Shown("Report", report, chosen=1), redraw=lambda: None)
    screen.show = lambda **changed: ReportScreen.show(screen, **changed)
    sorts = []
    for _ in range(4):
        ReportScreen._sort(screen)
        sorts.append(screen._view.sort)
    assert sorts == [0, 1, None, 0]
    assert screen._view.chosen == 0
    opened = screen._view = replace(screen._view, chosen=1, opened=True)
    ReportScreen._sort(screen)  # else another row would stand there opened
    assert screen._view == opened


@pytest.mark.parametrize(
    ("beat", "tapping", "said"), [(None, None, []), (1, None, ["over"]), (None, 1, ["over"])]
)
def test_what_is_broken_off_is_said_where_there_was_something(
    beat: int | None, tapping: int | None, said: list[str]
) -> None:
    told: list[str] = []
    bout: Any = SimpleNamespace(
        _studio=SimpleNamespace(player=None), beat=beat, _tapping=tapping, say=told.append
    )
    bout.busy = Rehearsal.busy.fget(bout)  # type: ignore[attr-defined]
    Rehearsal.stop(bout, "over")
    assert told == said
    assert (bout.beat, bout._tapping) == (None, None)


def test_rows_of_handing_in_have_their_labels() -> None:
    program: Any = SimpleNamespace(studio=SimpleNamespace(wishes=Settings()))
    rows = {row.name: row.label for row in HandInForm(program, Path("x.toml")).rows()}
    assert rows == {name: HAND_ROWS[name][0] for name in rows}


@pytest.mark.parametrize(("width", "brief"), [(69, True), (70, False)])
def test_the_way_is_told_in_short_below_seventy_columns(
    monkeypatch: pytest.MonkeyPatch, width: int, brief: bool
) -> None:
    monkeypatch.setattr(stand_view, "way_shown", lambda prompt, brief: f"in short: {brief}")
    prompt = prompt_of("G", 2)
    words = Words(Language.ENGLISH, ASCII)
    view = Stand("Two keys", prompt, None, Draft(), Reading())
    assert f"in short: {brief}" in text_of(draw_stand(view, words, width, 23))


@pytest.mark.parametrize(
    ("written", "shown"),
    [("", ""), ("C", "C"), ("Bb", "B♭"), ("F##", "Fx"), ("Ebb", "E♭♭"), ("bII7", "♭II7"),
     ("#iv", "♯iv")],
)  # fmt: skip
def test_a_spelling_is_shown_in_signs(written: str, shown: str) -> None:
    assert UNICODE.spelled(written) == shown
    assert ASCII.spelled(written) == written


def test_the_clicks_go_round() -> None:
    assert [next_click(each) for each in CLICKS] == [*CLICKS[1:], CLICKS[0]]
    assert next_click("gaps:1:3") == CLICKS[0]


@pytest.mark.parametrize(("passed", "locked"), [(True, 2), (False, 1)])
def test_a_bout_counts_once_and_as_locked_in_where_it_was(passed: bool, locked: int) -> None:
    told = Told(InTime("x", bouts=2, locked_in=1), "tab")
    result: Any = SimpleNamespace(passed=passed)
    told.show(Timed(result, 90))
    assert (told._view.bouts, told._view.locked_in) == (3, locked)


def test_what_an_errand_says_begins_at_its_first_line() -> None:
    program: Any = SimpleNamespace()
    screen = ErrandScreen(program, ToErrand("An errand", ("x",)))
    assert screen._top == 0
    program.studio = SimpleNamespace(glyphs=ASCII)
    screen._said = "\n".join(map(str, range(30)))
    assert screen.words_instead() == {}
    shown = text_of(screen.lines(40, 12)).splitlines()
    assert shown[0].split() == "An errand lines 1 to 10 of 30".split()
    assert shown[2:] == [f" {n}" for n in range(10)]
    assert screen.words_instead() == {"down": "more lines"}
    screen._top = 99
    assert text_of(screen.lines(40, 12)).splitlines()[-1] == " 29"
    assert text_of(screen.lines(40, 32)).splitlines()[0] == " An errand"


def test_a_tap_is_counted_on_the_screen() -> None:
    drawn: list[int] = []
    taps: list[float] = []
    screen: Any = SimpleNamespace(_tapping=None, redraw=lambda: drawn.append(len(taps)))
    stroke: Any = SimpleNamespace(at=1.5)
    TapScreen._struck(screen, stroke)
    screen._tapping = SimpleNamespace(tap=taps.append)
    TapScreen._struck(screen, stroke)
    assert (taps, drawn) == ([1.5], [1])


@pytest.mark.parametrize(("bout", "ended", "looked"), [(object(), False, 0), (None, True, 1)])
def test_a_practice_in_time_looks_ahead_once_it_has_ended(
    monkeypatch: pytest.MonkeyPatch, bout: object, ended: bool, looked: int
) -> None:
    monkeypatch.setattr(time, "_look_ahead", lambda made, screen: "ahead")
    work: list[object] = []
    screen: Any = SimpleNamespace(
        rehearsal=SimpleNamespace(tick=lambda: False, bout=bout), _ended=False,
        run_worker=lambda job, **_: work.append(job), redraw=lambda: None,
    )  # fmt: skip
    for _ in range(2):
        time.TimeScreen._tick(screen)
    assert (screen._ended, len(work)) == (ended, looked)


@pytest.mark.parametrize(("seconds", "stopped"), [(None, ["gone"]), (1.0, [])])
def test_a_lost_sound_breaks_off_what_does_not_play_yet(
    seconds: float | None, stopped: list[str]
) -> None:
    stops: list[str] = []
    said: list[str] = []
    screen: Any = SimpleNamespace(
        studio=SimpleNamespace(player=SimpleNamespace(poll=lambda: "gone")),
        rehearsal=SimpleNamespace(
            view=lambda: SimpleNamespace(seconds=seconds), stop=stops.append
        ),
        say=said.append,
    )  # fmt: skip
    screen.app = SimpleNamespace(screen=screen)
    time.TimeScreen._listen(screen)
    assert (stops, said) == (stopped, ["gone"])


@pytest.mark.parametrize(
    ("chosen", "count", "room", "shown"),
    [(0, 15, 7, range(7)), (5, 15, 7, range(2, 9)), (14, 15, 7, range(8, 15)), (3, 5, 9, range(5))],
)
def test_a_window_has_the_chosen_one_in_its_middle(
    chosen: int, count: int, room: int, shown: range
) -> None:
    assert window(chosen, count, room) == shown


def test_a_column_after_the_name_has_18_columns() -> None:
    columns = (Column("a", "A", str), Column("b", "B", lambda item: "y" * 30))
    report = Report("Report", "test", MORNING, (), (Table("t", "Table", columns, ["x"]),))
    shown = text_of(report_lines(Shown("Report", report), ASCII, 80, 20))
    assert "y" * 15 in shown
    assert "y" * 18 not in shown


@pytest.mark.parametrize(("level", "filled"), [(-60.0, 0), (-30.0, 12), (0.0, 24), (6.0, 24)])
def test_a_level_is_a_bar_of_24_over_60_decibels(level: float, filled: int) -> None:
    shown = plain(_meter(level, Words(Language.ENGLISH, ASCII)))
    assert len(shown.split("]")[0]) == 2 + 24
    assert sum(sign not in " []" for sign in shown.split("]")[0]) == filled


def test_a_notice_has_two_lines_at_most() -> None:
    view: Any = SimpleNamespace(
        problem="", last=None, notice="word " * 60, reading=Reading(), prompt=None, choices=()
    )
    assert len(verdict_lines(view, Words(Language.ENGLISH, ASCII), 60)) == 2


def test_the_cells_around_the_one_asked_stand_in_the_line_of_the_run() -> None:
    """As many as fit, the one asked as near to the middle as can be; read by eye."""
    words, rows = Words(Language.ENGLISH, ASCII), []
    for width in (36, 41, 46, 60):
        for index in range(7):
            prompt = prompt_of("G", index)
            shown = draw_stand(
                Stand("Two keys", prompt, None, Draft(), Reading()), words, width, 23
            )
            rows += [row for row in text_of(shown).splitlines() if row.startswith(" run")]
    assert len(rows) == 28
    golden("runs-edges", "\n".join(rows))


@pytest.mark.parametrize(("value", "horn"), [("own", "mine"), ("alto_sax", "Alto saxophone")])
def test_a_list_for_a_practice_of_ones_own_is_of_the_horn_that_plays_it(
    monkeypatch: pytest.MonkeyPatch, value: str, horn: str
) -> None:
    found: list[Any] = []
    monkeypatch.setattr(own, "deck_list", lambda name, draft, horn, *_: found.append(horn))
    program: Any = SimpleNamespace(studio=None, back=None, go=lambda way: None)
    form: Any = SimpleNamespace(
        _draft=SimpleNamespace(get=lambda name, default: value), _program=program,
        _own_horn=lambda: SimpleNamespace(name="mine"),
    )  # fmt: skip
    assert not own.OwnForm.press(form, "patterns")
    assert found[0].name.startswith(horn)


def test_results_are_chosen_for_what_is_tricky() -> None:
    went: list[object] = []
    studio = SimpleNamespace(desk={})
    program: Any = SimpleNamespace(go=went.append, studio=studio, back=lambda: None)
    errands: Any = None
    form = TrickyForm(program, errands)
    for name in ("place", "roster", "folder", "file"):
        assert not form.press(name)
    assert len(went) == 4


def test_a_held_key_waits_longer_before_its_first_repeat_alone() -> None:
    held = HeldKey()
    for at in (0.0, 0.5, 0.53, 0.56):
        held.stroke(at)
    assert held._stamps == [0.0, 0.5, 0.53, 0.56]
    held.stroke(1.06)  # as long a wait later is another key stroke
    assert held._stamps == [1.06]


def test_a_note_of_two_lines_stands_whole_and_the_third_ends_it() -> None:
    rows = tuple(line(Stretch(f"row {n}")) for n in range(3))
    assert shortened(rows[:2], 2, 40, "...") == list(rows[:2])
    assert [plain(row) for row in shortened(rows, 2, 40, "...")] == ["row 0", "row 1..."]
    assert [plain(row) for row in shortened(rows, 2, 7, "...")] == ["row 0", "row..."]
    assert shortened(rows, 0, 40, "...") == []


def test_a_horn_is_one_and_keys_are_several() -> None:
    kept: dict[str, object] = {}
    draft: Any = SimpleNamespace(
        get=lambda name, default=None: default, listed=lambda name, default: default, keys=(),
        set=kept.__setitem__,
    )  # fmt: skip
    studio: Any = SimpleNamespace()
    horns = deck_list("instrument", draft, None, studio, lambda: None)
    horns.done(("alto_sax",))
    assert kept == {"instrument": "alto_sax", "horn": None}
    keys = deck_list("picked", draft, None, studio, lambda: None)
    assert (horns.pick.several, keys.pick.several) == (False, True)
    keys.done(("G", "D"))
    assert kept["keys"] == ["G", "D"]


@pytest.mark.parametrize("place", list(Place))
def test_all_words_of_the_last_line_stand_there_as_soon_as_they_fit(place: Place) -> None:
    """With a column to the left and one to the right."""
    whole = plain(key_line(place, 500, ASCII, {}, {}))
    assert plain(key_line(place, len(whole) + 1, ASCII, {}, {})) == whole
    assert plain(key_line(place, len(whole), ASCII, {}, {})) != whole


def test_what_cannot_be_reported_is_told_within_the_width() -> None:
    shown = text_of(report_lines(Shown("Report", notice="ab " * 40), ASCII, 40, 20))
    assert max(map(len, shown.splitlines())) == 39  # a column of margin each side


def test_what_a_report_leads_with_is_told_within_the_width() -> None:
    table = Table("t", "Table", (Column("a", "A", str),), ["x"])
    report = Report("Report", "test", MORNING, (), (table,), lead=("ab " * 30,))
    shown = text_of(report_lines(Shown("Report", report), ASCII, 40, 20)).splitlines()
    assert max(len(row) for row in shown if "ab" in row) == 39


def test_a_notice_leaves_three_lines_of_the_verdict(monkeypatch: pytest.MonkeyPatch) -> None:
    judged = [line(Stretch(f"row {n}")) for n in range(5)]
    monkeypatch.setattr(verdict, "_judged", lambda last, words, width: judged)
    view: Any = SimpleNamespace(
        problem="", last=object(), notice="Sound is off.", reading=Reading(), prompt=None
    )
    rows = verdict.verdict_lines(view, Words(Language.ENGLISH, ASCII), 60)
    assert [plain(row).strip() for row in rows] == ["row 0", "row 1", "row 2", "Sound is off."]


@pytest.mark.parametrize(("width", "brief"), [(69, True), (70, False)])
def test_the_way_in_time_is_told_in_short_below_seventy_columns(
    monkeypatch: pytest.MonkeyPatch, width: int, brief: bool
) -> None:
    monkeypatch.setattr(in_time, "way_shown", lambda prompt, brief: f"in short: {brief}")
    monkeypatch.setattr(in_time, "manner_told", lambda bout: ())
    prompt = prompt_of("G", 2)
    bout: Any = SimpleNamespace(prompt=lambda cell: prompt, questions=())
    rows = in_time._heading(InTime("x"), bout, Words(Language.ENGLISH, ASCII), width)
    assert f"in short: {brief}" in text_of(tuple(rows))


def test_the_line_of_the_run_at_each_width() -> None:
    words, rows = Words(Language.ENGLISH, ASCII), []
    prompt = prompt_of("G", 3)
    for width in range(36, 62):
        view = Stand("Two keys", prompt, None, Draft(), Reading())
        shown = text_of(draw_stand(view, words, width, 23)).splitlines()
        rows += [f"{width} {row}" for row in shown if row.startswith(" run")]
    golden("widths-edges", "\n".join(rows))


@pytest.mark.parametrize(("width", "wide"), [(75, False), (76, True)])
def test_today_has_all_its_numbers_from_76_columns(width: int, wide: bool) -> None:
    tally = Tally(Path("a.toml"), "A deck", 28, 3, 4, 5, 6, 7, 40, 8)
    view = Today((tally,), 0, "Monday, 2 March", ready=True)
    shown = text_of(today(view, ASCII, width, 20))
    assert [name for name in COLUMNS if name in shown] == list(COLUMNS if wide else COLUMNS[:2])


def test_a_run_that_fits_to_the_row_is_not_folded() -> None:
    deck = loads(DECK, "two-keys.toml")
    runs = build(deck).runs
    view = Decks(("two-keys",), 0, deck, INSTRUMENTS["alto_sax"], runs)
    words = Words(Language.ENGLISH, ASCII)
    whole = text_of(decks(view, words, 80, 40)).rstrip()
    height = len(whole.splitlines())
    assert text_of(decks(view, words, 80, height)).rstrip() == whole
    folded = text_of(decks(view, words, 80, height - 1))
    beside = [
        any("held" in row and " on " in row for row in shown.splitlines())
        for shown in (whole, folded)
    ]
    assert beside == [False, True]


def test_the_newest_twenty_reports_of_errors_are_kept(tmp_path: Path) -> None:
    for minute in range(25):
        crash.report(tmp_path, ValueError("x"), MORNING + timedelta(minutes=minute))
    kept = sorted(each.name for each in tmp_path.iterdir())
    assert len(kept) == 20
    assert kept[0] == f"error-{MORNING + timedelta(minutes=5):%Y%m%d-%H%M%S-%f}.txt"


@pytest.mark.parametrize(("height", "blank"), [(21, False), (22, True)])
def test_the_end_of_a_practice_has_a_row_to_spare_from_22(height: int, blank: bool) -> None:
    view = SummaryView("Two keys", Summary(1, 1, (), ()), 1, ())
    shown = text_of(summary(view, ASCII, 80, height)).splitlines()
    assert (shown[1] == "") is blank
