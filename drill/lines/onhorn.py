"""Line mode on the horn: prompts are answered by playing, words by typing."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from drill.hearing.values import Heard, Known
from drill.lines.lines import Lines
from drill.practice import machine
from drill.practice.effects import Prompt
from drill.practice.machine import State
from drill.practice.playing import Horn, Keys, Phase, read_played
from drill.wording.playing import (
    CLOSED,
    LONG_NOTE,
    MICROPHONE,
    MIDI,
    PLAY,
    heard_told,
    known_told,
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
        """The whole practice.  Raises SoundError where there is no microphone."""
        assert self.horn is not None
        threading.Thread(target=self._reading, daemon=True).start()
        try:
            self.horn.tune()
            if self.horn.phase is Phase.LONG_NOTE:
                self._note(f"{MICROPHONE}: {LONG_NOTE}")
                state = self._tuned()
            else:
                self._greet()
                state = self._carry_out(machine.begin(self.desk, self.utc_now()))
            while not state.over:
                state = self._step(state)
        finally:
            self.horn.close()

    def _reading(self) -> None:
        while True:
            line = super(HornLines, self)._read()
            self._typed.put(line)
            if line is None:
                return

    def _tuned(self) -> State:
        """Wait for the long note, or for Enter; then begin."""
        assert self.horn is not None
        while True:
            try:
                line = self._typed.get_nowait()
            except queue.Empty:
                found = self.horn.listen()
                if isinstance(found, Known):
                    self._note(known_told(found))
                    break
                self.pause(PAUSE_S)
                continue
            if line is None or line.strip().casefold() in ("quit", "q", "exit"):
                self._greet()
                return self._carry_out(machine.end(self.desk, State(began=self.utc_now())))
            break
        self._greet()
        return self._carry_out(machine.begin(self.desk, self.utc_now()))

    def _step(self, state: State) -> State:
        """Wait for what is played or typed; where the practice stands then."""
        assert self.horn is not None
        prompt = state.prompt
        self._listen_for(prompt)
        while True:
            try:
                line = self._typed.get_nowait()
            except queue.Empty:
                found = self.horn.listen()
                if isinstance(found, Heard) and prompt is not None:
                    return self._played(state, prompt, found)
                self.pause(PAUSE_S)
                continue
            if line is None:
                return self._carry_out(machine.end(self.desk, state))
            return self._take(state, line)

    def _listen_for(self, prompt: Prompt | None) -> None:
        assert self.horn is not None
        if prompt is None or prompt.question.back:
            if self.horn.open and isinstance(self.horn, Horn):
                self._note(CLOSED)
            self.horn.rest()
            return
        if not self.horn.open or not self._told:
            self._note(f"{MICROPHONE if isinstance(self.horn, Horn) else MIDI}: {PLAY}")
            self._told = True
        self.horn.ask(prompt)

    def _played(self, state: State, prompt: Prompt, heard: Heard) -> State:
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
