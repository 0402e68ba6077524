"""The stand: what is typed for the practice, and where the practice is."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from drill.marking.typed import Reading
from drill.practice.walk import WantedRun
from drill.tui.actions import Place
from drill.tui.draft import Draft
from drill.tui.listening import HEAR_S, Listening
from drill.tui.meeting import of_a_run
from drill.tui.practices import Seat, ToPractice
from drill.tui.rereading import chosen
from drill.tui.sheet import POLL_S, Acts, TypingSheet, listen
from drill.tui.sitting import Sitting, read_draft, ways_of
from drill.tui.studio import make_ready
from drill.tui.text import Lines
from drill.tui.views.stand import stand
from drill.wording.screens import END_PRACTICE, GO_ON
from drill.wording.sentence import Sentence
from drill.wording.soundwords import mute_label

if TYPE_CHECKING:
    from drill.tui.ways import Program


class StandScreen(TypingSheet):
    """One practice."""

    PLACE = Place.STAND

    def __init__(self, program: Program, seat: Seat, draft: Draft) -> None:
        """``draft`` is what was typed before the first prompt was there."""
        super().__init__(program)
        self.sitting = Sitting(seat, self.studio)
        self.horn = Listening(self.sitting, self.studio)
        self._words = self.studio.words
        self._reading = Reading()
        self.answer.open = True
        self.answer.draft = draft

    def on_mount(self) -> None:
        notice = self.sitting.notice
        self.typed(self.answer.draft)
        self.say(notice)  # after the keys typed ahead, which clear it
        self.set_interval(POLL_S, partial(listen, self))
        self.horn.begin()
        self.say(self.horn.take_news())
        if self.horn.on:
            self.set_interval(HEAR_S, self._hear)
        ready = partial(make_ready, self.studio, self.sitting.seat)
        self.call_after_refresh(self.run_worker, ready, exit_on_error=False)

    def lines(self, width: int, height: int) -> Lines:
        view = self.sitting.view(self.answer.draft, self._reading)
        return stand(view, self._words, width, height)

    def words_instead(self) -> dict[str, str]:
        audible = bool(self.sitting.prompt and self.sitting.prompt.sounds) or self.sitting.audible()
        copying = self.sitting.state.prompt is not None and self.sitting.state.prompt.again
        return {
            "mute": mute_label(self.studio.muted),
            "hear": "hear" if audible else "",
            **({"submit": GO_ON} if self.sitting.held else {}),
            **({} if may_walk(self.sitting) and self.sitting.meetings.new else {"walk": ""}),
            **({"show": GO_ON} if copying else {}),
        }

    # Typing.

    def typed(self, draft: Draft) -> None:
        """One key: everything changes here, and is painted once."""
        sitting = self.sitting
        if sitting.held:
            draft = Draft()
        elif sitting.choices and draft.text[-1:].isdecimal():
            text = chosen(draft.text[:-1], int(draft.text[-1]), ways_of(sitting))
            draft = replace(draft, text=draft.text[:-1] if text is None else text)
        self.answer.draft = draft
        self._reading = read_draft(sitting, draft)
        sitting.problem, sitting.choices, sitting.notice = "", (), ""
        self.page.update()

    # What its keys do.

    def acts(self) -> Acts:
        return {
            **super().acts(),
            "submit": self._submit,
            "show": lambda: self._go_on(self.sitting.give_up()),
            "hear": lambda: self.say(self.sitting.hear()),
            "sharpen": lambda: self.typed(self.answer.draft.insert("♯")),
            "flatten": lambda: self.typed(self.answer.draft.insert("♭")),
            "walk": partial(walk, self.program, self.sitting),
            "back": self._back,
        }

    def _go_on(self, anew: bool) -> None:
        """Show what became of it; ``anew`` with an empty draft."""
        if anew:
            self.answer.draft, self._reading = Draft(), Reading()
        if self.sitting.over is not None:
            from drill.tui.ways import ToSummary  # no first prompt waits for the ways

            self.program.go(ToSummary(self.sitting.over), instead=True)
        else:
            self.redraw()

    # On the horn.

    def _hear(self) -> None:
        if not self.is_active:  # one that lies under another is current too
            self.horn.rest()
            return
        before = self.sitting.microphone
        if self.horn.listen():
            self._go_on(anew=True)
        elif self.horn.news or self.sitting.microphone != before:
            self.sitting.notice = self.horn.take_news() or self.sitting.notice
            self.redraw()

    def on_unmount(self) -> None:
        self.horn.rest()

    def _submit(self) -> None:
        if self.horn.waits_for_long_note and not self.answer.draft.text:
            self.horn.skip()
        else:
            self._go_on(self.sitting.answer(self.answer.draft, self._reading))

    def _back(self) -> None:
        if not self.sitting.state.asked and not self.answer.draft.text:
            self.program.back()
            return
        from drill.tui.ways import ToQuestion

        asked, more, words = END_PRACTICE
        self.program.go(ToQuestion(asked, more, self._end, words))

    def _end(self) -> None:
        if self.sitting.end():
            self._go_on(anew=True)
        else:
            self.program.back()

    # Notices.

    def say(self, notice: Sentence | str) -> None:
        if notice:
            self.sitting.notice = notice
        self.redraw()

    def on_screen_suspend(self) -> None:
        self.horn.rest()
        self.sitting.look_away()


def may_walk(sitting: Sitting) -> bool:
    """Whether the run of the open prompt can be walked."""
    return not sitting.held and of_a_run(sitting.state.prompt)


def walk(program: Program, sitting: Sitting) -> None:
    """Walk the run of the open prompt, which stays as it is beneath."""
    prompt = sitting.state.prompt
    if prompt is not None and may_walk(sitting):
        program.go(ToPractice(sitting.seat.deck, walk=WantedRun(prompt.item.id)))
