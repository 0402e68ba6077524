"""What both kinds of lines share: where they write, how names are said, and the sound."""

from __future__ import annotations

import json
from typing import Any, TextIO

from drill.memory.advice import Advice
from drill.practice.room import Room
from drill.practice.syllabus import Syllabus
from drill.sound.sounding import Sounding
from drill.terms import Run
from drill.theory.scales import key_label
from drill.wording.soundwords import sound_told
from drill.wording.voice import Script, Voice


class Writer:
    """Lines for a person, or an object of JSON on each; its fields are those of what writes."""

    __slots__ = ()

    room: Room
    out: TextIO
    player: Sounding
    json: bool
    """True writes objects in place of lines."""
    words: bool
    """True spells notes in words: G sharp."""

    @property
    def _voice(self) -> Voice:
        script = Script.SPOKEN if self.words else Script.TYPED
        return Voice(self.room.marker.language, script)

    def _line(self, text: str) -> None:
        if not self.json:
            print(text, file=self.out, flush=True)

    def _object(self, value: dict[str, Any]) -> None:
        if self.json:
            print(json.dumps(value, ensure_ascii=False), file=self.out, flush=True)

    def _mute(self) -> None:
        (self.player.unmute if self.player.muted else self.player.mute)()
        self._line(sound_told(self.player.muted))


def run_object(syllabus: Syllabus, run: Run) -> dict[str, str]:
    """The horn, key and pattern of a run, as line mode's JSON has them."""
    return {
        "instrument": syllabus.horn.id,
        "tonic": str(run.key.tonic),
        "scale": run.key.scale,
        "written_key": key_label(run.key),
        "concert_key": key_label(syllabus.concert(run.key)),
        "pattern": run.pattern.id,
    }


def advice_object(told: Advice | None) -> dict[str, object]:
    """Whether it is enough for today, as line mode's JSON has it."""
    return {
        "enough_for_today": told is not None and told.enough,
        "due_today": told.due if told else None,
        "due_tomorrow": told.tomorrow if told else None,
    }
