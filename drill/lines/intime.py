"""Playing in time in plain lines: a note and Enter on each beat.

The click is heard, each line is stamped where it is read, and after the bout the time
is told in words.  With ``json`` each line written is one object: ``bout``, ``started``,
``clock`` (the take's beginning, measured anew while it plays), ``timing``, ``end``; times
of day are not in them, and ``at`` is the system's monotonic clock in seconds.

Between bouts a line is a word: nothing (Enter) plays, see ``HELP_IN_TIME``.  A terminal is
needed, for lines from a pipe are not stamped by a hand; a program that speaks JSON is
expected to know what it does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial

from drill.errors import DrillError
from drill.lines.intime_objects import bout_object, timing_object
from drill.lines.tapping import LOOK_S, ByMicrophone, LineSource, begun, tap_along
from drill.lines.writing import Writer, meant
from drill.practice.course import carried
from drill.practice.time import course
from drill.practice.time.bout import Bout, Setting
from drill.practice.time.strokes import Gatherer, Stroke
from drill.practice.time.timing import FINEST_S, KNOWN_S, terminal_jitter
from drill.sound.sounding import Playing
from drill.wording.asking import stands_on
from drill.wording.bouts import (
    NO_CLICK,
    NO_NOTE,
    SOUND_LOST,
    jitter_told,
    locked_at,
    next_told,
    offered_told,
    stumbled_told,
    uncertain_told,
)
from drill.wording.linemode import (
    ENTER_PLAYS,
    HELP_IN_TIME,
    HOLD_ENTER,
    IN_TIME,
    SILENT_BEAT,
    TOO_FEW_LINES,
    end_told,
)
from drill.wording.soundwords import SOUND_OFF
from drill.wording.verdicts import judged_told
from drill.wording.why import NOTHING_NEW

MOVED_S = 0.001
"""A beginning that moved by less, measured anew, is the same."""
MEASURE = 12
"""Lines of a held Enter that measure the terminal."""
MEASURE_S = 10.0


@dataclass(slots=True)
class TimeLines(Writer[LineSource]):
    """One practice in time in lines."""

    desk: course.TimeDesk
    microphone: ByMicrophone
    jitter_s: float = FINEST_S
    _doubt_told: bool = False
    _sounds: bool = False
    """Whether the bout that is played is heard."""
    _state: course.TimeState = field(default_factory=course.TimeState)

    def run(self) -> course.TimeState:
        """The whole practice, until it ends by itself, by ``quit`` or with the input."""
        self._greeted(IN_TIME, self.desk.syllabus.left_out)
        self._step(course.begin(self.desk, self.utc_now()))
        if self._state.over:
            self.say(NOTHING_NEW)
        while not self._state.over:
            line = self.source.line(None)
            if line is None:
                if self.source.ended:
                    self._step(course.end(self.desk, self._state))
                continue
            self._obey(meant(line.text))
        return self._state

    def _obey(self, word: str) -> None:
        if word in _STEPS:
            self._step(_STEPS[word](self.desk, self._state, self.utc_now()))
        elif word in _SETTINGS:
            self._reset(_SETTINGS[word](self.desk.plan.setting))
        elif word in _ACTS:
            _ACTS[word](self)
        else:
            self._line(ENTER_PLAYS)
        self._poll()

    def _step(self, step: tuple[course.TimeState, tuple[course.TimeEffect, ...]]) -> None:
        self._state, effects = carried(course, self.room, self.desk, step, self.utc_now())
        for effect in effects:
            match effect:
                case course.Timed():
                    self._timed(effect)
                case course.Unheard():
                    self._line(NO_NOTE)
                case course.Stumbled(by_s):
                    self._object({"kind": "stumbled", "by_s": round(by_s, 4)})
                    self._line(stumbled_told(by_s))
                case course.Offer():
                    self._offer(effect)
                case course.TimeEnd():
                    self._end(effect)

    # One bout.

    def _play(self) -> None:
        bout = self._state.bout
        if bout is None:
            return
        gatherer = Gatherer(self.room.marker.language, bout.interval_s, bout.letters, bout.tapped)
        playing = self._begun(bout, gatherer)
        if playing is None:
            return
        heard = self._sounds
        self._object({"kind": "started", "number": bout.number, "at": playing.at, "sound": heard})
        while (now := self.monotonic()) < playing.at + bout.over_s and not self.source.ended:
            line = self.source.line(min(playing.at + bout.over_s, now + LOOK_S))
            # The audio clock is measured anew while it plays.
            playing = self._heard(playing)
            if self.player.cut_off(bout.take):
                # The bout stands, and leaves no trace.
                self._object({"kind": "broken_off"})
                self._line(SOUND_LOST)
                return
            if line is None:
                continue
            if meant(line.text) == "quit":
                self.player.stop()
                self._step(course.end(self.desk, self._state))
                return
            gatherer.take_line(line)
        if self.source.ended:
            self.player.stop()
        self._doubted(playing)
        self._step(
            course.played(
                self.desk,
                self._state,
                gatherer.notes,
                playing.at,
                self.utc_now(),
                jitter_s=self.jitter_s,
                sound=heard,
                uncertain_s=playing.uncertain_s if heard else 0.0,
                slipped_s=playing.slipped_s,
            )
        )

    def _heard(self, playing: Playing) -> Playing:
        """What is heard, by the latest measurement of the audio clock."""
        now = self.player.playing()
        if now is None or now.take is not playing.take:
            return playing
        if abs(now.at - playing.at) > MOVED_S and self._state.bout is not None:
            self._object({"kind": "clock", "number": self._state.bout.number, "at": now.at})
            return now
        return replace(playing, source=now.source, slipped_s=now.slipped_s)

    def _begun(self, bout: Bout, gatherer: Gatherer) -> Playing | None:
        """The bout's take, once it is heard; None where it cannot be."""
        self._sounds = self.player.play(bout.take, stale_s=0)
        if not self._sounds:
            if self.json:
                return Playing(bout.take, self.monotonic())
            self._line(SILENT_BEAT)
            return None
        left = False

        def early(line: Stroke) -> bool:
            nonlocal left
            left = meant(line.text) == "quit"
            if not left:
                gatherer.take_line(line)
            return left

        playing = begun(self.player, bout.take, self.source, self.monotonic, early, self.say)
        if playing is None:
            self.player.stop()
        if left:
            self._step(course.end(self.desk, self._state))
        elif playing is None:
            self._line(NO_CLICK)
        return playing

    def _reset(self, setting: Setting) -> None:
        """The open bout, set another way."""
        self.desk = replace(self.desk, plan=replace(self.desk.plan, setting=setting))
        self._step(course.again(self.desk, self._state, self.utc_now()))

    def _hear(self) -> None:
        volume = self.desk.plan.setting.volume
        self._calibrated(lambda: self.microphone.calibrate(self.player, volume, self._line))

    def _calibrated(self, find: Callable[[], float | None]) -> None:
        """Find how late the output sounds; what cannot be found or kept ends no practice."""
        latency_s = None
        try:
            latency_s = find()
        except DrillError as fault:
            self._line(str(fault))
        self._object({"kind": "calibrated", "latency_s": latency_s})

    def _doubted(self, playing: Playing) -> None:
        """Say once that nobody knows how late this output is."""
        if playing.uncertain_s > KNOWN_S and not self._doubt_told:
            self._doubt_told = True
            self._line(uncertain_told(playing.uncertain_s))

    def _measure(self) -> None:
        """The terminal's own jitter, from a held Enter."""
        self._line(HOLD_ENTER)
        limit = self.monotonic() + MEASURE_S
        stamps: list[float] = []
        while len(stamps) < MEASURE and (line := self.source.line(limit)) is not None:
            stamps.append(line.at)
        found = terminal_jitter(stamps)
        self._object({"kind": "measured", "jitter_s": None if found is None else round(found, 4)})
        if found is None:
            self._line(TOO_FEW_LINES)
            return
        self.jitter_s = found
        self._line(jitter_told(found))

    # What is written.

    def _offer(self, offer: course.Offer) -> None:
        bout = offer.bout
        if self.json:
            self._object(bout_object(self.desk, offer))
            return
        labels = [stands_on(question.run.pattern, question.cell) for question in bout.questions]
        self._line(offered_told(bout, bout.prompt(0), labels, offer.remembered))

    def _timed(self, timed: course.Timed) -> None:
        if self.json:
            self._object(timing_object(timed, self._voice))
            return
        for said in timed.result.say():
            self._line(said)
        bout = timed.result.bout
        for question, verdict in zip(bout.questions, timed.result.verdicts, strict=False):
            if verdict is not None and not verdict.right:
                self._line(judged_told(verdict, question, self._voice.language))
        self._line(next_told(timed.next_bpm, bout.bpm))

    def _end(self, told: course.TimeEnd) -> None:
        tempi = [{"pattern": pattern, "key": key, "tempo": bpm} for pattern, key, bpm in told.tempi]
        figures = {"bouts": told.bouts, "locked_in": told.locked_in, "tempi": tempi}
        runs = (locked_at(key, pattern, bpm) for pattern, key, bpm in told.tempi)
        self._ended(figures, (end_told(told.locked_in, told.bouts, in_time=True), *runs))


def _sound_bout(lines: TimeLines) -> None:
    bout = lines._state.bout
    if bout is not None and not lines.player.play(bout.music):
        lines._line(SOUND_OFF)


def _tap_along(lines: TimeLines) -> None:
    volume = lines.desk.plan.setting.volume
    player, source = lines.player, lines.source
    lines._calibrated(lambda: tap_along(player, source, lines.monotonic, volume, lines._line))


_STEPS: dict[str, Callable[[course.TimeDesk, course.TimeState, datetime], course.TimeStep]] = {
    "quit": lambda desk, state, _: course.end(desk, state),
    "next": course.another,
    "faster": lambda desk, state, now: course.at_tempo(desk, state, 1, now),
    "slower": lambda desk, state, now: course.at_tempo(desk, state, -1, now),
}
_SETTINGS: dict[str, Callable[[Setting], Setting]] = {
    "tap": lambda setting: replace(setting, tapped=True),
    "names": lambda setting: replace(setting, tapped=False),
    **{click: partial(replace, click=click) for click in ("all", "2-and-4", "gaps", "growing")},
}
_ACTS: dict[str, Callable[[TimeLines], None]] = {
    "": TimeLines._play,
    "hear": _sound_bout,
    "measure": TimeLines._measure,
    "calibrate": _tap_along,
    "microphone": TimeLines._hear,
    "mute": TimeLines._mute,
    "help": lambda lines: lines._line(HELP_IN_TIME),
}
