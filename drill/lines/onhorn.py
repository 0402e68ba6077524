"""Line mode on the horn: prompts are answered by playing, words by typing."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from drill.errors import DrillError
from drill.hearing.values import Heard, Known
from drill.lines.lines import Lines
from drill.lines.writing import meant
from drill.practice import machine
from drill.practice.effects import Prompt, Summary
from drill.practice.machine import PromptState
from drill.practice.playing import Horn, HornPhase, Keys, read_played
from drill.wording.playing import (
    CLOSED,
    LONG_NOTE,
    MICROPHONE,
    MIDI,
    PLAY,
    heard_told,
    known_told,
    typed_instead,
    unheard_told,
)

F = TypeVar("F", Heard, Known)
PAUSE_S = 0.01


@dataclass(slots=True)
class HornLines(Lines):
    """A practice whose cells are played."""

    horn: Horn | Keys | None = None
    pause: Callable[[float], None] = lambda seconds: None
    _typed: queue.SimpleQueue[str | None] = field(default_factory=queue.SimpleQueue)
    _told: bool = False

    def _read(self) -> str | None:
        """The next typed line."""
        return self._line_typed(wait=True)

    def run(self) -> Summary:
        """The whole practice; from where nothing can be heard any more it goes on by typing."""
        threading.Thread(target=self._reading, daemon=True).start()
        try:
            if self._opened() and not self._tuned():
                self._greet()
                begun = PromptState(began=self.utc_now())
                return machine.summary(self._carry_out(machine.end(self.desk, begun)))
            return Lines.run(self)
        finally:
            self._lost()

    def _opened(self) -> bool:
        """Open what is listened to; whether a long note is waited for."""
        try:
            assert self.horn is not None
            self.horn.tune()
        except DrillError as fault:
            self._lost(fault)
        if self.horn is None or self.horn.phase is not HornPhase.LONG_NOTE:
            return False
        self._note(f"{MICROPHONE}: {LONG_NOTE}")
        return True

    def _lost(self, fault: DrillError | None = None) -> None:
        """Let go of what is listened to; ``fault`` is why, where it was lost."""
        horn, self.horn = self.horn, None
        if horn is not None:
            horn.rest()
        if fault is not None:
            self._note(typed_instead(fault))

    def _listened(self) -> Heard | Known | None:
        """What was recognised since the last look, after a short wait; None for nothing."""
        if self.horn is None:
            return None
        try:
            found = self.horn.listen()
        except DrillError as fault:
            self._lost(fault)
            return None
        if found is None:
            self.pause(PAUSE_S)
        return found

    def _line_typed(self, *, wait: bool) -> str | None:
        """A typed line, None where the input has ended.  Raises queue.Empty unless it waits."""
        line = self._typed.get(block=wait)
        if line is None:
            self._typed.put(None)  # for whoever asks next
        return line

    def _reading(self) -> None:
        while True:
            line = Lines._read(self)
            self._typed.put(line)
            if line is None:
                return

    def _come(self, kind: type[F]) -> F | str | None:
        """What is played, of this kind, or typed; None where the input has ended."""
        while True:
            try:
                return self._line_typed(wait=self.horn is None)
            except queue.Empty:
                found = self._listened()
                if isinstance(found, kind):
                    return found
                if kind is Known and self.horn is None:
                    return ""  # nobody listens for it any more

    def _tuned(self) -> bool:
        """Wait for the long note, or for Enter; False for who leaves before."""
        found = self._come(Known)
        if isinstance(found, Known):
            self._note(known_told(found))
            return True
        return found is not None and meant(found) != "quit"

    def _next(self, state: PromptState) -> PromptState:
        prompt = state.prompt
        self._listen_for(prompt)
        found = self._come(Heard)
        if isinstance(found, Heard):
            return self._played(state, prompt, found) if prompt is not None else state
        if found is None:
            return self._carry_out(machine.end(self.desk, state))
        return self._take(state, found)

    def _listen_for(self, prompt: Prompt | None) -> None:
        if self.horn is None:
            return
        if prompt is None or prompt.question.back:
            if self.horn.open and isinstance(self.horn, Horn):
                self._note(CLOSED)
            self.horn.rest()
            return
        if not self.horn.open or not self._told:
            self._note(f"{MICROPHONE if isinstance(self.horn, Horn) else MIDI}: {PLAY}")
            self._told = True
        try:
            self.horn.ask(prompt)
        except DrillError as fault:
            self._lost(fault)

    def _played(self, state: PromptState, prompt: Prompt, heard: Heard) -> PromptState:
        assert self.horn is not None
        played = read_played(prompt, heard, self.horn.shift(), self._voice.language)
        if played.text is None:
            self._note(self._voice.text(unheard_told(prompt.cell, played.unheard)))
            return state
        self._object({"kind": "played", "heard": played.text})
        self._line(heard_told(played.text))
        now = self.utc_now()
        step = machine.answer(self.desk, state, played.text, now, self._seconds(), played=True)
        return self._carry_out(step)

    def _note(self, text: str) -> None:
        self._object({"kind": "microphone", "say": text})
        self._line(text)
