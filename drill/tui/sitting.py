"""The course of one practice at the screens: its state, held here and nowhere else.

Knows nothing of Textual: the stand hands it keys that were pressed, and draws its view.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from drill.errors import DrillError
from drill.marking.typed import Reading, Row
from drill.memory.items import Item
from drill.memory.levels import Level, level
from drill.practice import machine
from drill.practice.course import carried
from drill.practice.effects import Ask, Effect, End, Judge, Prompt, Reread, Sound
from drill.practice.looking import goal_of
from drill.terms import Note
from drill.tui.digest import Digest
from drill.tui.draft import Draft
from drill.tui.meeting import Meetings
from drill.tui.practices import Over, Seat
from drill.tui.rereading import typed_ways
from drill.tui.studio import Studio, is_silent
from drill.tui.views.verdict import Stand
from drill.wording.asking import planned_told
from drill.wording.sentence import Sentence
from drill.wording.soundwords import NOTHING_TO_HEAR, nothing_sounds, sound_is_off, turn_on
from drill.wording.verdicts import verdict_told

if TYPE_CHECKING:
    from drill.hearing.values import Heard


class Sitting:
    """One practice from its first prompt to its end."""

    def __init__(self, seat: Seat, studio: Studio) -> None:
        self.seat, self._studio = seat, studio
        self.state = seat.state
        self.over: Over | None = None
        """What to show of it, once it has ended."""
        notices = [seat.room.clock(self._now()), *studio.notices]
        self.notice: Sentence | str = next((each for each in notices if each), "")
        self.last: Judge | None = None
        self.meetings = Meetings(seat.desk.memory, seat.desk.syllabus.left_out, studio.key("walk"))
        self.problem: Sentence | str = ""
        """Why the answer that was handed in could not be read or kept."""
        self.choices: tuple[Row, ...] = ()
        self.microphone = ""
        """What is said of the microphone while it is open."""
        self.held = False
        """True while a right answer waits to be looked at; the next prompt is there already."""
        self._waiting: tuple[Effect, ...] = ()
        """What comes after the verdict that is held."""
        self._asked: tuple[Prompt, float] | None = None
        """The open prompt, and when it was first in view."""
        self._looked_away: Prompt | None = None
        """The prompt during which something else was on the screen."""
        self.digest = Digest()
        self._show(seat.effects)

    # What is handed in.

    def answer(self, draft: Draft, reading: Reading) -> bool:
        """Hand in what is typed; True where a new draft begins."""
        if self.held:
            self.held = False
            waiting, self._waiting = self._waiting, ()
            self._show(waiting)
            return True
        seconds, desk = self._seconds(), self.seat.desk
        step = machine.answer(desk, self.state, draft.text, self._now(), seconds, draft.keystrokes)
        return self._take(step, reading)

    def played(self, heard: Heard, shift: int) -> bool:
        """Take a cell that was played on the horn; True where it was marked.

        ``shift`` is semitones from written to sounding.
        """
        prompt = self.state.prompt
        if prompt is None or self.held:
            return False
        # With the ear comes numpy, which the first prompt does not wait for.
        from drill.practice.playing import read_played
        from drill.wording.playing import unheard_told

        told = read_played(prompt, heard, shift, self.seat.desk.marker.language)
        if told.text is None:
            self.problem = unheard_told(prompt.cell, told.unheard)
            return False
        seconds, now = self._seconds(), self._now()
        step = machine.answer(self.seat.desk, self.state, told.text, now, seconds, played=True)
        return self._take(step)

    def give_up(self) -> bool:
        """Have the open cell shown, or go on without its copy; True where a new draft begins."""
        if self.held or self.state.prompt is None:
            return False
        if self.state.prompt.again:
            return self._take(machine.pass_on(self.seat.desk, self.state))
        return self._take(machine.give_up(self.seat.desk, self.state, self._now(), self._seconds()))

    def end(self) -> bool:
        """End it; False where nothing was answered and there is nothing to show."""
        self.state, effects = machine.end(self.seat.desk, self.state)
        if not self.state.asked:
            return False
        self.held = False
        self._show(effects or self._waiting)  # it may have ended with the verdict that was held
        return True

    def hear(self) -> str:
        """Sound what may be heard now, see ``audible``; what to say where nothing sounds."""
        state = self.state
        effects: tuple[Effect, ...] = ()
        if not self.held:  # the prompt that waits is not in view
            state, effects = machine.hear(self.seat.desk, state)
        sounds = next((each for each in effects if isinstance(each, Sound)), self.audible())
        if sounds is None:
            return NOTHING_TO_HEAR
        if self._studio.muted:
            return turn_on(self._studio.key("mute"))
        if not is_silent(self._studio):  # else it is tried again, and not counted as heard
            self.state = state
        self._studio.sound(sounds)
        return ""

    def look_away(self) -> None:
        """Something else is on the screen: this prompt's time does not count."""
        self._looked_away = self.state.prompt

    # What is shown.

    @property
    def prompt(self) -> Prompt | None:
        """The prompt in view: the one just answered while its verdict is held."""
        return self.last.prompt if self.held and self.last else self.state.prompt

    def audible(self) -> Sound | None:
        """What may be heard without telling the answer: the cell shown before it, else the cell
        of the last verdict; None where there is neither."""
        prompt = self.state.prompt
        if prompt is not None and prompt.given and not self.held:
            return _sound(self.seat, prompt, prompt.given)
        judged = self.last.prompt if self.last else None
        return (
            _sound(self.seat, judged, judged.cell.notes)
            if judged and not judged.question.back
            else None
        )

    def view(self, draft: Draft, reading: Reading) -> Stand:
        """The stand with what is being typed."""
        prompt, syllabus = self.prompt, self.seat.desk.syllabus
        return Stand(
            title=syllabus.deck.title,
            prompt=prompt,
            concert=syllabus.concert(prompt.question.run.key) if prompt else None,
            draft=draft,
            reading=reading,
            last=self.last,
            problem=self.problem,
            choices=self.choices,
            asked=self.state.asked,
            right=sum(row.right for row in self.state.answers),
            planned=self._planned(),
            microphone=self.microphone,
            held=self.held,
            sound_off=_sound_off(self._studio) if self.prompt and self.prompt.sounds else "",
            notice=self.notice,
        )

    # How effects are carried out.

    def _take(self, step: machine.Step, reading: Reading | None = None) -> bool:
        desk, room = self.seat.desk, self.seat.room
        try:
            state, effects = carried(machine, room, desk, step, self._now())
        except DrillError as error:  # not kept, so not shown: the prompt stands
            self.problem, self.choices = str(error), ()
            return False
        before, self.state = self.state.prompt, state
        self._show(effects, reading)
        self.notice = room.news() or self.notice
        return self.state.prompt is not before

    def _show(self, effects: tuple[Effect, ...], reading: Reading | None = None) -> None:
        for place, effect in enumerate(effects):
            match effect:
                case Judge(prompt, verdict):
                    self.digest.judged(effect)
                    # A copy that is right needs no word under another prompt.
                    told = None if prompt.again and verdict.right else effect
                    self.last, self.problem, self.choices, self.notice = told, "", (), ""
                    self.held = self._studio.wishes.hold and verdict.right and not prompt.again
                case Reread(prompt, verdict):
                    language = self.seat.desk.marker.language
                    self.problem = verdict_told(verdict, prompt.question, language)
                    self.choices = reading.choices if reading else ()
                case Ask() | End() if self.held:
                    self._waiting = effects[place:]
                    return
                case Ask(prompt):
                    self.digest.asked(prompt, partial(_level, self.seat, self._now()))
                    offered = self.meetings.meet(prompt, quiet=bool(self.notice))
                    self.notice = self.notice or offered or ""
                    if self._asked is None or not prompt.stands(self._asked[0]):
                        self._asked = (prompt, self._studio.context.monotonic())
                case Sound():
                    self._studio.sound(effect)
                case End(summary):
                    self.over = Over(self.seat, self.state, summary, self.digest)
                case _:
                    pass

    def _planned(self) -> str:
        """What is left, behind the number of the prompt."""
        left = machine.what_is_left(self.seat.desk, self.state, self._now())
        return planned_told(self.seat.desk.plan.prompts, left.minutes)

    def _seconds(self) -> float | None:
        """From the prompt to now; None where something else was on the screen meanwhile."""
        if self._asked is None or self._asked[0].stands(self._looked_away):
            return None
        return max(0.0, self._studio.context.monotonic() - self._asked[1])

    def _now(self) -> datetime:
        return self._studio.context.utc_now()


def read_draft(sitting: Sitting, draft: Draft) -> Reading:
    """What a draft is read as for the open prompt; nothing where no notes are asked."""
    prompt = sitting.prompt
    if not draft.text.strip() or (prompt and prompt.question.back):
        return Reading()
    marker = sitting.seat.desk.marker
    if prompt is None:
        return marker.read(draft.text, unfinished=True)
    key, count = prompt.question.run.key, len(prompt.cell.notes)
    return marker.read(draft.text, key, count, unfinished=True)


def ways_of(sitting: Sitting) -> tuple[str, ...]:
    """The readings to choose from, as they are typed."""
    prompt = sitting.prompt
    key = prompt.question.run.key if prompt else None
    return typed_ways(sitting.choices, sitting.seat.desk.marker.language, key)


def _sound_off(studio: Studio) -> str:
    """By which keys a prompt by ear is heard after all; empty while there is sound."""
    if studio.muted:
        return sound_is_off(studio.key("mute"), studio.key("hear"))
    return nothing_sounds(studio.key("hear"), studio.key("back.stand")) if is_silent(studio) else ""


def _level(seat: Seat, now: datetime, item: Item) -> Level:
    """Where a cell stands now, by what the deck calls by heart."""
    return level(seat.desk.memory, item, now, goal_of(seat.desk.syllabus.deck))


def _sound(seat: Seat, prompt: Prompt, notes: tuple[Note, ...]) -> Sound:
    """Written notes at concert pitch."""
    syllabus = seat.desk.syllabus
    cell = replace(prompt.cell, notes=notes)
    return Sound(syllabus.sounding(prompt.question.run.key, cell), syllabus.horn.program)
