"""Line mode: the practice room in plain lines, for screen readers, pipes and dumb terminals.

With ``json`` each line is one object: ``prompt``, ``verdict``, ``end``; ``walked`` where a walk
within the practice is over; on the horn ``microphone`` and ``played`` too.  A prompt is answered
by one line.  The same seed and answers give the same transcript.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from typing import Any, TextIO

from drill.lines.writing import Writer, meant, run_object
from drill.marking.verdict import Verdict
from drill.practice import machine
from drill.practice.course import Desk, carried
from drill.practice.effects import Ask, End, Judge, Prompt, Reread, Sound, Summary
from drill.practice.length import Left
from drill.practice.machine import PromptState
from drill.practice.sounding import take_of
from drill.practice.walk import WantedRun, is_first_meeting, walk_plan, wanted_run
from drill.sound.limits import VOLUME
from drill.wording.asking import ask_told, minutes_left, question_told
from drill.wording.linemode import (
    ENTER_GOES_ON,
    HELP,
    NEXT_GOES_ON,
    NO_WALK_HERE,
    SHOW_SHOWS,
    SOUND_IS_OFF_HERE,
    SOUNDS_AFTER,
    end_told,
)
from drill.wording.sentence import Sentence, horn
from drill.wording.slips import slip_label
from drill.wording.soundwords import nothing_sounds
from drill.wording.verdicts import judged_told, verdict_told
from drill.wording.voice import Voice
from drill.wording.walking import page_told, stage_told, stop_told, walk_offered, walked_told
from drill.wording.why import NOTHING_NEW


@dataclass(slots=True)
class Lines(Writer[TextIO]):
    """One practice in lines."""

    volume: float = VOLUME
    """0 to 1."""
    a4: float = 440.0
    """Hertz."""
    hold: bool = False
    """True waits for Enter after a right answer; never with ``json``, where lines are answers."""
    asked_at: float | None = None
    """When the open prompt was asked first, on the clock; None where something else was read
    since: no time is kept then."""
    _asked: Prompt | None = None
    _within: bool = False
    """Whether a walk is under way within the practice."""
    told_minutes: str = ""
    """What was said last of the minutes that are left."""
    offered: set[str] = field(default_factory=set)
    """Patterns, with their directions, of which a walk was offered."""

    def run(self) -> Summary:
        """The whole practice, until it ends by itself, by ``quit`` or with the input."""
        self._greet()
        return self._practise()

    def _practise(self) -> Summary:
        state = self._carry_out(machine.begin(self.desk, self.utc_now()))
        if state.over:
            self.say(NOTHING_NEW)
        while not state.over:
            state = self._next(state)
        return machine.summary(state)

    def _next(self, state: PromptState) -> PromptState:
        """Wait for an answer; where the practice stands then."""
        line = self._read()
        if line is None:
            return self._carry_out(machine.end(self.desk, state))
        return self._take(state, line)

    def _read(self) -> str | None:
        try:
            line = self.source.readline()
        except UnicodeDecodeError:  # a stream that cannot replace: ask again
            return ""
        return line.rstrip("\r\n") if line else None

    def _take(self, state: PromptState, line: str) -> PromptState:
        word, prompt = meant(line), state.prompt
        if word == "quit":
            state = self._carry_out(machine.end(self.desk, state))
        elif word == "help":
            self._line(HELP)
        elif word == "mute":
            self._mute()
        elif word == "hear" and prompt is not None:
            state = _heard_again(self, state, prompt)
        elif word == "walk" and prompt is not None:
            self._walk(state, prompt)
        elif word in ("show", "next") and prompt is not None:
            state = _passed(self, state, prompt, word)
        else:
            now = self.utc_now()
            step = machine.answer(self.desk, state, line, now, self._seconds(), len(line))
            state = self._carry_out(step)
        return state

    def _seconds(self) -> float | None:
        return None if self.asked_at is None else max(0.0, self.monotonic() - self.asked_at)

    def _carry_out(self, step: machine.Step) -> PromptState:
        """Keep what is logged, show the rest; where it stands then.  Raises StoreError."""
        now = self.utc_now()
        state, effects = carried(machine, self.room, self.desk, step, now)
        held = False
        for effect in effects:
            if held and isinstance(effect, (Ask, End)):
                held = False
                self._line(ENTER_GOES_ON)
                if meant(self._read() or "") == "quit" and not state.over:
                    return self._carry_out(machine.end(self.desk, state))
            match effect:
                case Judge(prompt, verdict):
                    self._judge(prompt, verdict)
                    held = self.hold and verdict.right and not prompt.again and not self.json
                case Reread(prompt, verdict):
                    self._judge(prompt, verdict)
                case Sound():
                    self._sound(effect)
                case Ask(prompt):
                    self._ask(prompt, machine.what_is_left(self.desk, state, now))
                case End(result):
                    self._end(result)
        self._poll()
        return state

    def _walk(self, state: PromptState, prompt: Prompt) -> None:
        """Walk the run of the open prompt, which leaves no trace and is asked again."""
        desk = self.desk
        if not _may_be_walked(prompt):
            self._line(NO_WALK_HERE)
            self._ask(prompt, machine.what_is_left(desk, state, self.utc_now()))
            return
        run = wanted_run(desk.syllabus, desk.pool.order, WantedRun(prompt.item.id))
        try:
            self.desk, self._within = replace(desk, plan=walk_plan(desk.plan, run)), True
            self._practise()
        finally:
            self.desk, self._within = desk, False
        self._ask(prompt, machine.what_is_left(desk, state, self.utc_now()))
        self.asked_at = None

    def _sound(self, effect: Sound) -> None:
        if not self.player.muted:
            self.player.play(take_of(effect, volume=self.volume, a4=self.a4))

    # What is written.

    def _greet(self) -> None:
        if not self.json:
            self._greeted(horn(self.desk.syllabus.horn), self.desk.syllabus.remarks)

    def _ask(self, prompt: Prompt, left: Left) -> None:
        if self.json:
            self._object(prompt_object(self.desk, prompt, left, self._voice))
        else:
            self._tell_minutes(left)
            if prompt.copies == 1:
                self._line(NEXT_GOES_ON)
            self._line(self._question(prompt))
            if prompt.sounds and self.player.failed and not self.player.muted:
                self._line(nothing_sounds("hear", "quit"))
        if not prompt.stands(self._asked):
            self._asked, self.asked_at = prompt, self.monotonic()

    def _question(self, prompt: Prompt) -> Sentence:
        if prompt.page is not None and not prompt.again:
            page, run = prompt.page, prompt.question.run
            if prompt.place and prompt.place[0] == 1:
                self._line(stage_told(page.stage, run))
                self._line(page_told(page.cells, run.key))
            return stop_told(prompt)
        if prompt.item.shape not in self.offered and _may_be_walked(prompt):
            self.offered.add(prompt.item.shape)
            if is_first_meeting(self.desk.memory, prompt.item):
                self._line(walk_offered(prompt, "walk"))
        if prompt.sounds and self.player.muted:
            self._line(SOUND_IS_OFF_HERE)
        return question_told(prompt, prompt.number, self.desk.plan.prompts)

    def _tell_minutes(self, left: Left) -> None:
        """Say what is left of the time, once a minute."""
        told = "" if left.minutes is None else minutes_left(left.minutes)
        if told and told != self.told_minutes:
            self._line(told)
        self.told_minutes = told

    def _judge(self, prompt: Prompt, verdict: Verdict) -> None:
        if self.json:
            self._object(verdict_object(prompt, verdict, self._voice))
        else:
            self._line(judged_told(verdict, prompt.question, self._voice.language))

    def _end(self, result: Summary) -> None:
        figures = {
            "asked": result.asked,
            "right": result.right,
            "slips": dict(result.slips),
            "missed": list(result.missed),
        }
        if self._within:
            self._object({"kind": "walked", **figures})
            self._line(walked_told(result.right, result.asked))
            return
        slips = (f"  {slip_label(slip)}: {count}" for slip, count in result.slips)
        self._ended(figures, (end_told(result.right, result.asked), *slips))


def _heard_again(lines: Lines, state: PromptState, prompt: Prompt) -> PromptState:
    """A prompt by ear once more; what does not sound is not counted."""
    if prompt.sounds and not lines.player.muted:
        return lines._carry_out(machine.hear(lines.desk, state))
    lines._line(SOUND_IS_OFF_HERE if prompt.sounds else SOUNDS_AFTER)
    return state


def _passed(lines: Lines, state: PromptState, prompt: Prompt, word: str) -> PromptState:
    """The cell is shown; at its copy, that is gone on from."""
    if prompt.again and word == "next":
        return lines._carry_out(machine.pass_on(lines.desk, state))
    now = lines.utc_now()
    if not prompt.again and word == "show":
        step = machine.give_up(lines.desk, state, now, lines._seconds())
        return lines._carry_out(step)
    lines._line(NEXT_GOES_ON if prompt.again else SHOW_SHOWS)
    lines._ask(prompt, machine.what_is_left(lines.desk, state, now))
    return state


def _may_be_walked(prompt: Prompt) -> bool:
    """Whether the prompt is a cell of a run, asked by itself."""
    plain = not (prompt.question.back or prompt.again or prompt.closing)
    return plain and prompt.page is None and bool(prompt.item.run)


def prompt_object(desk: Desk, prompt: Prompt, left: Left, voice: Voice) -> dict[str, Any]:
    """A prompt as the object of line mode's JSON."""
    run, cell = prompt.question.run, prompt.cell
    course: dict[str, Any] = {
        "left": {
            "prompts": left.prompts,
            "minutes": None if left.minutes is None else round(left.minutes, 1),
        },
        "chosen_by": prompt.chosen_by.value if prompt.chosen_by else None,
    }
    if prompt.page is not None:
        course["walk"] = {
            "stage": int(prompt.page.stage),
            "page": [[str(note) for note in notes] or None for notes in prompt.page.cells],
        }
    if prompt.question.back:
        # Nothing that holds the answer is told: no tonic, no degree.
        return {
            "kind": "prompt",
            "number": prompt.number,
            "id": hidden_id(prompt),
            "instrument": desk.syllabus.horn.id,
            "scale": run.key.scale,
            "help": str(prompt.kind),
            "again": prompt.again,
            "closing": prompt.closing,
            "ask": voice.text(ask_told(prompt)),
            **course,
        }
    return {
        "kind": "prompt",
        "number": prompt.number,
        "id": prompt.item.id,
        **run_object(desk.syllabus, run),
        "cell": cell.shape or run.pattern.text,
        "descent": run.pattern.descent.value,
        "ending": run.pattern.ending.value,
        "direction": cell.direction.value,
        "degree": cell.degree,
        "label": cell.called,
        **({"chord": cell.symbol} if cell.symbol and not cell.function else {}),
        "given": [str(note) for note in prompt.given],
        "help": str(prompt.kind),
        "again": prompt.again,
        "closing": prompt.closing,
        "place": list(prompt.place) if prompt.place else None,
        "ask": voice.text(ask_told(prompt)),
        **course,
    }


def hidden_id(prompt: Prompt) -> str:
    """A name for a prompt the other way round that does not hold its answer."""
    return hashlib.sha256(prompt.item.id.encode()).hexdigest()[:16]


def verdict_object(prompt: Prompt, verdict: Verdict, voice: Voice) -> dict[str, Any]:
    """A verdict as the object of line mode's JSON."""
    return {
        "kind": "verdict",
        "id": hidden_id(prompt) if prompt.question.back else prompt.item.id,
        "again": prompt.again,
        "right": verdict.right,
        "notes": [
            {"typed": mark.typed, "expected": mark.expected, "outcome": mark.outcome.value}
            for mark in verdict.notes
        ],
        "expected": [str(note) for note in verdict.expected],
        "slip": verdict.slip.value if verdict.slip else None,
        "hypotheses": [h.slip.value for h in verdict.hypotheses],
        "say": voice.text(verdict_told(verdict, prompt.question, voice.language)),
    }
