"""The course of a practice at the screens, without Textual: what sounds and is held."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tui_desk import Setup
from tui_user import at_keys

from drill.decks.schema import Compass, Deck
from drill.marking.back import Back
from drill.marking.typed import Reading
from drill.memory.kinds import Kind
from drill.memory.state import State
from drill.practice.course import Plan
from drill.practice.effects import Prompt
from drill.practice.syllabus import build
from drill.settings.values import Remap
from drill.sound.take import Take
from drill.terms import Key, Name, Note
from drill.theory.patterns import find_pattern
from drill.tui.draft import Draft
from drill.tui.meeting import Meetings
from drill.tui.practices import ToPractice
from drill.tui.screens.stand import StandScreen
from drill.tui.sitting import Sitting
from drill.tui.trainer import Trainer
from drill.wording.remarks import run_remarks
from drill.wording.voice import PLAIN


def sit(setup: Setup, trainer: Trainer, *kinds: str, **wanted: Any) -> Sitting:
    setup.plan = lambda plan: replace(plan, kinds=kinds or plan.kinds, prompts=6)
    studio = trainer.studio
    studio.wake_player()
    seats = studio.open_seats()
    asked = ToPractice("two-keys", **wanted)
    seat = seats.sit(asked, studio.plan, silent=studio.muted)
    return Sitting(seat, studio)


def right(sitting: Sitting) -> Draft:
    prompt = sitting.prompt
    assert prompt is not None
    return Draft(" ".join(str(note.name) for note in prompt.cell.notes))


def midi(setup: Setup) -> list[int]:
    take = setup.player.played[-1]
    assert isinstance(take, Take)
    return [event.midi for event in take.events]


def test_before_the_answer_the_cell_shown_is_heard_and_after_a_slip_the_right_one(
    setup: Setup,
) -> None:
    """Alto saxophone sounds a major sixth lower (common practice)."""
    sitting = sit(setup, setup.trainer(), Kind.NEXT)
    assert sitting.hear() in ("", "there is nothing to hear before the first answer")
    while not (sitting.prompt and sitting.prompt.given):
        sitting.answer(right(sitting), Reading())
    given = sitting.prompt.given
    assert sitting.hear() == ""
    assert midi(setup) == [note.midi - 9 for note in given]
    cell = sitting.prompt.cell
    sitting.answer(Draft("C C C C"), Reading())
    assert sitting.prompt is not None
    assert sitting.prompt.again
    assert sitting.hear() == ""
    assert midi(setup) == [note.midi - 9 for note in cell.notes]


def test_nothing_sounds_while_the_sound_is_off_and_it_is_said(setup: Setup) -> None:
    trainer = setup.trainer()
    sitting = sit(setup, trainer, Kind.DEGREE)
    sitting.answer(right(sitting), Reading())
    trainer.studio.toggle_mute()
    before = len(setup.player.played)
    assert "sound is off" in sitting.hear()
    assert len(setup.player.played) == before


def test_with_the_sound_off_nothing_is_asked_by_ear_where_there_is_more(setup: Setup) -> None:
    setup.player.mute()
    mixed = sit(setup, setup.trainer(), Kind.DEGREE, Kind.EAR, Back.DIFFERENT.value)
    assert mixed.seat.desk.plan.kinds == (Kind.DEGREE,)


def test_with_the_sound_off_a_prompt_by_ear_says_why_at_its_head(setup: Setup) -> None:
    setup.player.mute()
    setup.plan = lambda plan: replace(plan, kinds=(Kind.EAR,))
    with at_keys(setup.trainer(deck="two-keys")) as user:
        user.see("The sound is off: z turns it on")
        user.press("z", sees="The cell you hear")


def test_a_held_answer_keeps_its_prompt_in_view_and_the_count_goes_on(setup: Setup) -> None:
    sitting = sit(setup, setup.trainer(hold=True), Kind.DEGREE)
    first = sitting.prompt
    assert sitting.answer(right(sitting), Reading())
    assert (sitting.held, sitting.prompt, sitting.give_up()) == (True, first, False)
    assert sitting.answer(Draft(), Reading())
    assert not sitting.held
    assert sitting.prompt is not first
    assert sitting.state.asked == 1


def test_the_last_answer_is_held_too_before_the_end(setup: Setup) -> None:
    def one(plan: Plan) -> Plan:
        return replace(plan, prompts=1, kinds=(Kind.DEGREE,), missed_again=False)

    trainer = setup.trainer(hold=True)
    sitting = sit(setup, trainer, Kind.DEGREE)
    setup.plan = one
    seats = trainer.studio.open_seats()
    sitting = Sitting(
        seats.sit(ToPractice("two-keys"), trainer.studio.plan, silent=False), trainer.studio
    )
    sitting.answer(right(sitting), Reading())
    before = sitting.over
    sitting.answer(Draft(), Reading())
    assert before is None
    assert sitting.over is not None
    assert sitting.over.summary.right == 1


def test_what_was_not_answered_needs_no_end(setup: Setup) -> None:
    sitting = sit(setup, setup.trainer(), Kind.DEGREE)
    assert sitting.end() is False
    assert sitting.over is None


def test_a_practice_of_a_few_cells_asks_each_twice_at_most(setup: Setup) -> None:
    trainer = setup.trainer()
    whole = sit(setup, trainer, Kind.DEGREE)
    few = frozenset(list(whole.seat.desk.syllabus.entries)[:2])
    setup.plan = lambda plan: replace(plan, prompts=40)
    seat = trainer.studio.open_seats().sit(
        ToPractice("two-keys", few), trainer.studio.plan, silent=False
    )
    assert set(seat.desk.syllabus.entries) == few
    assert seat.desk.plan.prompts == 4


def test_a_time_is_not_taken_while_something_else_was_on_the_screen(setup: Setup) -> None:
    sitting = sit(setup, setup.trainer(), Kind.DEGREE)
    sitting.answer(right(sitting), Reading())
    sitting.look_away()
    sitting.answer(right(sitting), Reading())
    assert setup.room is not None
    first, second = [answer.seconds for answer in setup.room.answers()]
    assert first is not None
    assert first > 0
    assert second is None


def test_a_prompt_that_was_heard_again_is_the_same_prompt(setup: Setup) -> None:
    sitting = sit(setup, setup.trainer(), Kind.EAR)
    assert sitting.hear() == ""
    sitting.look_away()
    sitting.answer(right(sitting), Reading())
    assert setup.room is not None
    (answer,) = setup.room.answers()
    assert (answer.seconds, answer.details) == (None, '{"heard": 2}')


def test_what_does_not_sound_is_not_counted_as_heard(setup: Setup) -> None:
    trainer = setup.trainer(hold=True)
    sitting = sit(setup, trainer, Kind.EAR)
    trainer.studio.toggle_mute()
    assert "sound is off" in sitting.hear()
    trainer.studio.toggle_mute()
    first = sitting.prompt
    assert first is not None
    assert first.heard == 1
    sitting.answer(right(sitting), Reading())
    assert sitting.held
    assert sitting.hear() == ""  # the cell in view and not the one that waits
    assert midi(setup) == [note.midi - 9 for note in first.cell.notes]
    assert sitting.state.prompt is not None
    assert sitting.state.prompt.heard == 1


def test_sentences_name_the_player_s_own_keys(setup: Setup) -> None:
    own = {"mute": "f2", "hear": "f3", "walk": "f4"}
    trainer = setup.trainer(keys=tuple(Remap(action, (key,)) for action, key in own.items()))
    sitting = sit(setup, trainer, Kind.EAR)
    assert "; f4 goes through the whole run first" in PLAIN.text(sitting.notice)
    trainer.studio.toggle_mute()
    assert sitting.hear() == "the sound is off: f2 turns it on"
    told = sitting.view(Draft(), Reading()).sound_off
    assert told == "The sound is off: f2 turns it on, then f3 sounds the cell"


def test_a_prompt_by_ear_says_so_where_no_output_can_be_had(setup: Setup) -> None:
    """Not muted, and yet nothing sounds: it is tried again and not counted as heard."""
    sitting = sit(setup, setup.trainer(), Kind.EAR)
    assert sitting.view(Draft(), Reading()).sound_off == ""
    setup.player.failed = True
    told = sitting.view(Draft(), Reading()).sound_off
    assert told == "This is asked by ear, and nothing sounds: . tries again, esc ends"
    asked = len(setup.player.played)
    before = sitting.state.prompt.heard if sitting.state.prompt else 0
    assert sitting.hear() == ""
    assert len(setup.player.played) == asked + 1
    assert sitting.state.prompt is not None
    assert sitting.state.prompt.heard == before
    setup.player.failed = False
    sitting.hear()
    assert sitting.state.prompt.heard == before + 1


def test_without_an_output_a_practice_leaves_out_what_is_asked_by_ear(setup: Setup) -> None:
    """Where there is more; and nothing is missed for want of a loudspeaker."""
    for failed, kinds in ((False, {"ear", "degree"}), (True, {"degree"})):
        setup.player.failed = failed
        setup.plan = lambda plan: replace(plan, kinds=("ear", "degree"))
        trainer = setup.trainer()
        trainer.studio.wake_player()
        with at_keys(trainer) as user:
            user.today("enter", sees="prompt 1")
            assert set(user.on(StandScreen).sitting.seat.desk.plan.kinds) == kinds


def test_what_a_horn_asks_of_a_run_is_told_with_that_run_and_once() -> None:
    """1-2-3-1 in B flat coming down begins higher than usual on the alto; D asks for nothing."""
    keys = (Key(Name("D"), "major"), Key(Name("B", -1), "major"))
    deck = Deck("Two", "alto_sax", (find_pattern("return3"),), keys)
    syllabus = build(deck)
    changed = [remark for run in syllabus.runs for remark in run_remarks(run, named=True)[:1]]
    assert changed
    assert len(changed) < len(syllabus.runs)
    meetings = Meetings(State())
    told = []
    for number, entry in enumerate(syllabus.entries.values()):
        prompt = Prompt(number, entry.item, syllabus.question(entry), Kind.DEGREE, again=True)
        met = meetings.meet(prompt)
        assert met in (None, *run_remarks(entry.run, named=True))
        told += [met] if met else []
    assert told == changed


def test_a_remark_never_names_the_key_that_is_asked_for() -> None:
    deck = Deck("One", "alto_sax", (find_pattern("return3"),), (Key(Name("B", -1), "major"),))
    syllabus = build(deck)
    entry = next(each for each in syllabus.entries.values() if run_remarks(each.run))
    plain = Prompt(1, entry.item, syllabus.question(entry), Kind.DEGREE, again=True)
    for back in Back:
        asked = replace(plain, question=replace(plain.question, back=back.value))
        assert Meetings(State()).meet(asked) is None
    meetings = Meetings(State())
    assert meetings.meet(plain, quiet=True) is None
    assert meetings.meet(plain) == run_remarks(entry.run, named=True)[0]


def test_runs_that_the_horn_cannot_play_are_told_once_on_the_stand() -> None:
    """An octave holds no cell of a ninth; line mode says so at the head of a practice."""
    compass = Compass(low=Note("C", 0, 4), high=Note("C", 0, 5))
    patterns = (find_pattern("ninths5"), find_pattern("thirds"))
    deck = Deck("Ninths", "flute", patterns, (Key(Name("C"), "major"),), compass=compass)
    syllabus = build(deck)
    prompts = [
        Prompt(number, entry.item, syllabus.question(entry), Kind.DEGREE, again=True)
        for number, entry in enumerate(syllabus.entries.values())
    ]
    meetings = Meetings(State(), syllabus.left_out)
    assert meetings.meet(prompts[0], quiet=True) is None
    told = [PLAIN.text(met) for met in map(meetings.meet, prompts) if met]
    out = [each for each in told if "left out" in each]
    assert len(out) == 1
    assert out[0].startswith("2 runs left out: ninth arpeggios in C major up is left out: ")
