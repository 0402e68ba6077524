"""What all kinds of lines share: where they write, how names are said, words, and the end."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Generic, TextIO, TypeVar

from drill.memory.advice import Advice
from drill.practice.course import Desk
from drill.practice.looking import advice_for
from drill.practice.room import Room
from drill.practice.syllabus import Syllabus
from drill.sound.sounding import Sounding
from drill.terms import Run
from drill.theory.scales import key_label
from drill.wording.ahead import advice_words
from drill.wording.linemode import greeting_told
from drill.wording.sentence import Sentence, sentence
from drill.wording.soundwords import sound_told
from drill.wording.voice import Script, Voice

_SHORT = {
    "q": "quit",
    "exit": "quit",
    "n": "next",
    "+": "faster",
    "-": "slower",
    "z": "mute",
    "?": "help",
}


def meant(line: str) -> str:
    """The word that a line is, whatever its case; in full where it is a short one."""
    word = line.strip().casefold()
    return _SHORT.get(word, word)


S = TypeVar("S")


@dataclass(slots=True)
class Writer(Generic[S]):
    """Lines for a person, or an object of JSON on each: where they are read and written, and the
    clocks that are handed in."""

    room: Room
    desk: Desk
    source: S
    out: TextIO
    say: Callable[[str], None]
    """Takes notices that are not part of the transcript."""
    player: Sounding
    utc_now: Callable[[], datetime]
    monotonic: Callable[[], float]
    json: bool = field(default=False, kw_only=True)
    """True writes objects in place of lines."""
    words: bool = field(default=False, kw_only=True)
    """True spells notes in words: G sharp."""

    @property
    def _voice(self) -> Voice:
        script = Script.SPOKEN if self.words else Script.TYPED
        return Voice(self.room.marker.language, script)

    def _line(self, told: Sentence | str) -> None:
        if not self.json:
            print(self._voice.text(told), file=self.out, flush=True)

    def _object(self, value: dict[str, Any]) -> None:
        if self.json:
            print(json.dumps(value, ensure_ascii=False), file=self.out, flush=True)

    def _mute(self) -> None:
        (self.player.unmute if self.player.muted else self.player.mute)()
        self._line(sound_told(self.player.muted))

    def _poll(self) -> None:
        for notice in filter(None, (self.player.poll(), self.room.news())):
            self.say(notice)

    def _greeted(self, what: Sentence | str, remarks: Iterable[Sentence]) -> None:
        """The deck, what it is for, and what the horn asks of it."""
        self._line(greeting_told(self.desk.syllabus.deck.title, what))
        for remark in remarks:
            self._line(sentence("note: ", remark))

    def _ended(self, figures: dict[str, Any], told: Iterable[Sentence | str]) -> None:
        """How it went, as an object's values and in lines, and whether it is enough for today."""
        desk, now = self.desk, self.utc_now()
        ahead = advice_for(desk.memory, desk.pool, desk.syllabus.deck, desk.plan, now, desk.zone)
        self._object({"kind": "end", **figures, **_advice_object(ahead)})
        for line in (*told, advice_words(ahead)):
            if line:
                self._line(line)


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


def _advice_object(told: Advice | None) -> dict[str, object]:
    """Whether it is enough for today, as line mode's JSON has it."""
    return {
        "enough_for_today": told is not None and told.enough,
        "due_today": told.due if told else None,
        "due_tomorrow": told.tomorrow if told else None,
    }
