"""Line mode on the horn: prompts are answered by playing, words by typing."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from drill.errors import DrillError
from drill.hearing.values import Heard, Known
from drill.lines.lines import Lines
from drill.practice import machine
from drill.practice.effects import Prompt
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

PAUSE_S = 0.01


@dataclass(slots=True)
class HornLines(Lines):
    """A practice whose cells are played."""

    horn: Horn | Keys | None = None
    pause: Callable[[float], None] = lambda seconds: None
    _typed: queue.SimpleQueue[str | None] = field(default_factory=queue.SimpleQueue)
    _told: bool = False

    def _read(self) -> str | None:
        """The next typed line; a cell that is played meanwhile is taken as it comes."""
        return self._typed.get()

    def run_on_horn(self) -> None:
        """The whole practice; from where nothing can be heard any more it goes on by typing."""
        threading.Thread(target=self._reading, daemon=True).start()
        try:
            if self._opened():
                self._note(f"{MICROPHONE}: {LONG_NOTE}")
                state = self._tuned()
            else:
                self._greet()
                state = self._carry_out(machine.begin(self.desk, self.utc_now()))
            while not state.over:
                state = self._step(state)
        finally:
            self._lost()

    def _opened(self) -> bool:
        """Open what is listened to; whether a long note is waited for."""
        try:
            assert self.horn is not None
            self.horn.tune()
        except DrillError as fault:
            self._lost(fault)
        return self.horn is not None and self.horn.phase is HornPhase.LONG_NOTE

    def _lost(self, fault: DrillError | None = None) -> None:
        """Let go of what is listened to; ``fault`` is why, where it was lost."""
        horn, self.horn = self.horn, None
        if horn is not None:
            horn.close()
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

    def _next_line(self) -> str | None:
        """A typed line, waited for where nothing is listened to.  Raises queue.Empty."""
        return self._typed.get(block=self.horn is None)

    def _reading(self) -> None:
        while True:
            line = super(HornLines, self)._read()
            self._typed.put(line)
            if line is None:
                return

    def _tuned(self) -> PromptState:
        """Wait for the long note, or for Enter; then begin."""
        while self.horn is not None:
            try:
                line = self._next_line()
            except queue.Empty:
                found = self._listened()
                if isinstance(found, Known):
                    self._note(known_told(found))
                    break
                continue
            if line is None or line.strip().casefold() in ("quit", "q", "exit"):
                self._greet()
                return self._carry_out(machine.end(self.desk, PromptState(began=self.utc_now())))
            break
        self._greet()
        return self._carry_out(machine.begin(self.desk, self.utc_now()))

    def _step(self, state: PromptState) -> PromptState:
        """Wait for what is played or typed; where the practice stands then."""
        prompt = state.prompt
        self._listen_for(prompt)
        while True:
            try:
                line = self._next_line()
            except queue.Empty:
                found = self._listened()
                if isinstance(found, Heard) and prompt is not None:
                    return self._played(state, prompt, found)
                continue
            if line is None:
                return self._carry_out(machine.end(self.desk, state))
            return self._take(state, line)

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
            self._note(self._voice.text(unheard_told(prompt, played.unheard)))
            return state
        self._heard(played.text)
        now = self.utc_now()
        step = machine.answer(self.desk, state, played.text, now, self._seconds(), played=True)
        return self._carry_out(step)

    def _heard(self, text: str) -> None:
        if self.json:
            self._object({"kind": "played", "heard": text})
        else:
            self._line(heard_told(text))

    def _note(self, text: str) -> None:
        if self.json:
            value: dict[str, Any] = {"kind": "microphone", "say": text}
            self._object(value)
        else:
            self._line(text)
