"""The stand: carries out the effects of the practice, and shows where it is."""

from __future__ import annotations

from dataclasses import replace

from drill.errors import DrillError
from drill.marking.read import Reading
from drill.practice import machine
from drill.practice.course import carried
from drill.practice.effects import Ask, Effect, End, Judge, Prompt, Reread, Sound
from drill.tui.actions import Place
from drill.tui.draft import Draft
from drill.tui.rereading import choices_of, chosen
from drill.tui.screens.asking import ConfirmScreen
from drill.tui.screens.base import TypingSheet, bindings
from drill.tui.seats import Seat
from drill.tui.text import Lines
from drill.tui.views.stand import Stand, stand
from drill.tui.words import Words

_POLL_S = 0.5
"""How often the sound is asked for news."""


class StandScreen(TypingSheet):
    """One practice."""

    PLACE = Place.STAND
    BINDINGS = bindings(Place.STAND)

    def __init__(self, seat: Seat, draft: Draft | None = None) -> None:
        """``draft`` is what was typed before the first prompt was there."""
        super().__init__()
        self._seat = seat
        self._course = seat.state
        self._typed_ahead = draft or Draft()
        self._view = Stand(title=seat.desk.syllabus.deck.title, planned=_planned(seat))
        self._asked_at: float | None = None
        self._last_sound: Sound | None = None
        self._waiting: tuple[Effect, ...] = ()
        """Effects held back until Enter, where a right answer is held."""

    def on_mount(self) -> None:
        self._words = Words(self._seat.room.marker.language, self.glyphs)
        page = self.answer
        page.open = True
        self._show(self._seat.effects)
        page.draft = self._typed_ahead
        self.typed(page.draft)
        clock = self._seat.room.clock(self.studio.context.utc_now())
        notices = (clock, *self.studio.notices, *self._seat.desk.syllabus.remarks)
        self.say(next(filter(None, notices), ""))  # after the keys typed ahead, which clear it
        self.set_interval(_POLL_S, self._listen)

    def lines(self, width: int, height: int) -> Lines:
        return stand(self._view, self._words, width, height)

    def words_instead(self) -> dict[str, str]:
        ear = bool(self._view.prompt and self._view.prompt.sounds)
        return {
            "mute": "sound on" if self.studio.muted else "mute",
            "hear": "hear" if ear or self._last_sound else "",
            "submit": "go on" if self._view.held else "answer",
        }

    # Typing.

    def typed(self, draft: Draft) -> None:
        """One key: everything changes here, and is painted once."""
        if self._view.held:
            self.answer.draft = Draft()
            return
        if self._view.choices and draft.text[-1:].isdecimal():
            draft = self._picked(draft)
        self._view = replace(
            self._view, draft=draft, reading=self._read(draft), problem="", choices=(), notice=""
        )
        self.page.update()

    def _picked(self, draft: Draft) -> Draft:
        """The draft with the reading of that digit in the place of what was not plain."""
        number = int(draft.text[-1])
        text = chosen(draft.text[:-1], number, self._view.choices)
        draft = replace(draft, text=draft.text[:-1] if text is None else text)
        self.answer.draft = draft
        return draft

    def _read(self, draft: Draft) -> Reading:
        prompt = self._view.prompt
        if not draft.text.strip() or (prompt and prompt.question.back):
            return Reading()
        key = prompt.question.run.key if prompt else None
        return self._seat.room.marker.read(draft.text, key)

    def action_sharpen(self) -> None:
        self._insert("♯")

    def action_flatten(self) -> None:
        self._insert("♭")

    def _insert(self, sign: str) -> None:
        page = self.answer
        page.draft = page.draft.insert(sign)
        self.typed(page.draft)

    # The practice.

    def action_submit(self) -> None:
        if self._view.held:
            self._go_on()
            return
        draft = self._view.draft
        now, seconds = self.studio.context.utc_now(), self._seconds()
        self._take(
            machine.answer(
                self._seat.desk, self._course, draft.text, now, seconds, draft.keystrokes
            )
        )

    def action_show(self) -> None:
        if self._view.held or self._view.prompt is None or self._view.prompt.again:
            return
        now = self.studio.context.utc_now()
        self._take(machine.give_up(self._seat.desk, self._course, now, self._seconds()))

    def _seconds(self) -> float | None:
        """From the prompt to now; None where something else was on the screen meanwhile."""
        if self._asked_at is None:
            return None
        return max(0.0, self.studio.context.monotonic() - self._asked_at)

    def _take(self, step: machine.Step) -> None:
        seat, now = self._seat, self.studio.context.utc_now()
        try:
            self._course, effects = carried(machine, seat.room, seat.desk, step, now)
        except DrillError as error:
            # Not kept, so not shown: the prompt stands and can be answered again.
            self._view = replace(self._view, problem=str(error), choices=())
            self.redraw()
            return
        self._show(effects)
        self._count()
        if not self._course.over:
            self.redraw()

    def _count(self) -> None:
        course = self._course
        right = sum(row.right for row in course.answers)
        self._view = replace(self._view, asked=course.asked, right=right)

    def _show(self, effects: tuple[Effect, ...]) -> None:
        for place, effect in enumerate(effects):
            match effect:
                case Judge():
                    self._judge(effect)
                case Reread(prompt, verdict):
                    language = self._seat.room.marker.language
                    key = prompt.question.run.key
                    choices = choices_of(self._view.reading, language, key)
                    self._view = replace(self._view, problem=verdict.say, choices=choices)
                case Ask(prompt) if self._held(effects):
                    self._waiting = effects[place:]
                    return
                case Ask(prompt):
                    self._ask(prompt)
                case Sound():
                    self._last_sound = effect
                    self.studio.sound(effect)
                case End():
                    self._end(effect)

    def _judge(self, judge: Judge) -> None:
        self._view = replace(self._view, last=judge, problem="", choices=(), notice="")

    def _held(self, effects: tuple[Effect, ...]) -> bool:
        """Whether the next prompt waits, because a right answer is to be looked at."""
        if not self.studio.context.hold or self._waiting:
            return False
        held = any(isinstance(e, Judge) and e.verdict.right for e in effects)
        if held:
            self._view = replace(self._view, held=True, draft=Draft())
        return held

    def _go_on(self) -> None:
        waiting, self._waiting = self._waiting, ()
        self._view = replace(self._view, held=False)
        self._show(waiting)
        self.redraw()

    def _ask(self, prompt: Prompt) -> None:
        if prompt is self._view.prompt:  # the same once more: what was typed stands
            return
        page = self.answer
        page.draft = Draft()
        concert = self._seat.desk.syllabus.concert(prompt.question.run.key)
        self._view = replace(
            self._view, prompt=prompt, concert=concert, draft=page.draft, reading=Reading()
        )
        self._asked_at = self.studio.context.monotonic()

    def _end(self, end: End) -> None:
        from drill.tui.screens.summary import SummaryScreen

        self.trainer.replace_screen(SummaryScreen(self._seat, self._course, end.summary))

    def action_back(self) -> None:
        if not self._course.asked and not self._view.draft.text:
            self.trainer.back()
            return
        self.app.push_screen(
            ConfirmScreen(
                "End the practice?",
                "Every answer so far is kept.",
                self._finish,
                ("end it", "go on"),
            )
        )

    def _finish(self) -> None:
        self._course, effects = machine.end(self._seat.desk, self._course)
        if self._course.asked:
            self._show(effects)
        else:
            self.trainer.back()

    # Sound and notices.

    def action_hear(self) -> None:
        course, effects = machine.hear(self._seat.desk, self._course)
        if effects and course.prompt is not None:
            self._course = course
            self._view = replace(self._view, prompt=course.prompt)
            self._show(effects)
            self.redraw()
        elif self._last_sound is not None:
            self.studio.sound(self._last_sound)

    def _listen(self) -> None:
        """Show what the sound has to say, once."""
        notice = self.studio.player.poll() if self.studio.player else None
        if notice:
            self.say(notice)

    def say(self, notice: str) -> None:
        self._view = replace(self._view, notice=notice)
        self.redraw()

    def on_screen_suspend(self) -> None:
        self._asked_at = None


def _planned(seat: Seat) -> str:
    plan = seat.desk.plan
    if plan.minutes:
        return f", {plan.minutes:g} min"
    return f" of {plan.prompts}" if plan.prompts else ""
