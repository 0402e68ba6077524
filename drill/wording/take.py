"""What is said of a take: five lines as a teacher in the room would say them, and where to listen.

Only what can be told is said: "wrong" is a fact, what was not heard is called that, an octave or
a sound too many is a place to listen to again.  Time is never told finer than it is measured.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import groupby

from drill.hearing.line import Line, LinePlace
from drill.hearing.values import DoubtKind, Heard, HeardAs, NoteHeard
from drill.terms import LETTERS, NATURAL_SEMITONES, Direction, Name, Run
from drill.wording.figures import clock, out_of
from drill.wording.sentence import (
    Sentence,
    figures,
    going,
    joined,
    listed,
    prose,
    sentence,
    written,
)

FINEST_MS = 15
"""Unevenness under this cannot be told from the measure's own."""
MANY = 6
"""So many notes are named; the others are counted."""
FEWEST_RIGHT = 1 / 3
"""Right notes less sounds too many: below this part the take is probably of another line."""
CLIPPED = 0.001
DRIFT_PERCENT = 2.0
TEMPO_PERCENT = 3.0
CENTS = 5.0
SWUNG = 1.15


def take_told(line: Line, heard: Heard, tempo: float | None = None) -> list[Sentence]:
    """Everything that is said of a take, a sentence or a few to a line.

    ``tempo`` is what was asked in beats a minute; None where nothing was.
    """
    if not any(note.outcome is not HeardAs.UNHEARD for note in heard.notes):
        return [sentence("No note of the line was heard: is this the recording, and is it loud?")]
    right = sum(note.outcome is HeardAs.RIGHT for note in heard.notes)
    told = []
    extra = sum(each.kind is DoubtKind.EXTRA for each in heard.doubts)
    if right - extra < FEWEST_RIGHT * len(heard.notes):
        told.append(
            sentence(
                f"Little of the line was heard in it ({out_of(right, len(heard.notes), 'notes')}): "
                f"this may be another line than {line.title}, or no horn."
            )
        )
    else:
        told.append(_notes(line, heard, right))
        told += [
            said
            for said in (
                _restarts(line, heard),
                _time(line, heard, tempo),
                _swing(line, heard),
                _manner(heard),
            )
            if said
        ]
        told += _places(heard)
    if heard.clipped > CLIPPED:
        told.append(
            sentence(
                f"{100 * heard.clipped:.1f} % of the recording is clipped: put the microphone "
                "further away, loud notes may be misheard."
            )
        )
    return told


def run_named(run: Run, *, both: bool) -> Sentence:
    """A run as the title of its line; ``both`` goes up and comes down."""
    way = "" if both else f", {run.direction.value}"
    return sentence(figures(run.pattern.text), " in ", written(run.key), way)


# The notes.


def _notes(line: Line, heard: Heard, right: int) -> Sentence:
    count = len(heard.notes)
    if right == count:
        return sentence(f"All {count} notes heard as asked.")
    parts = [sentence(out_of(right, count, "notes heard as asked."))]
    wrong = [note for note in heard.notes if note.outcome is HeardAs.WRONG]
    if wrong:
        parts.append(_grouped(line, wrong, lambda note: sentence(*_for(line, note))))
    unheard = [note for note in heard.notes if note.outcome is HeardAs.UNHEARD]
    if unheard:
        names = _grouped(line, unheard, lambda note: _name(line, line.places[note.index]))
        parts.append(sentence("Not heard: ", _lower(names)))
    return joined(" ", parts)


def _lower(said: Sentence) -> Sentence:
    first = said.parts[0] if said.parts else ""
    if isinstance(first, str) and first.startswith("Cell"):
        return Sentence(("cell" + first[4:], *said.parts[1:]))
    if isinstance(first, str) and first.startswith(("Bar", "The")):
        return Sentence((first[0].lower() + first[1:], *said.parts[1:]))
    return said


def _grouped(line: Line, notes: list[NoteHeard], say: Callable[[NoteHeard], Sentence]) -> Sentence:
    """Notes with the cells they stand in: ``Cell on 4: G for G sharp; cell on 6: ...``."""
    parts = []
    shown = notes[:MANY]
    for where, inside in groupby(shown, key=lambda note: _where(line, note.index)):
        parts.append(sentence(f"{where}: ", listed([say(note) for note in inside])))
    said = joined("; ", [parts[0], *(_lower(part) for part in parts[1:])])
    more = len(notes) - len(shown)
    return sentence(said, f"; and {more} more." if more else ".")


def _where(line: Line, index: int) -> str:
    place = line.places[index]
    if line.bars:
        return f"{'Bar' if any(each.first for each in line.places) else 'Note'} {place.cell}"
    if not place.cell:
        return "The last note" if index == len(line.places) - 1 else "The top note"
    both = any(each.down for each in line.places) and not all(each.down for each in line.places)
    way = f", {going(Direction.DOWN if place.down else Direction.UP)}" if both else ""
    return f"Cell on {place.cell}{way}"


def _for(line: Line, note: NoteHeard) -> tuple[Sentence, str, Sentence]:
    place = line.places[note.index]
    assert note.heard is not None
    return (
        sentence(prose(spelled(note.heard - line.shift, place.note.name, _names(line)), line.key)),
        " for ",
        _name(line, place),
    )


def _name(line: Line, place: LinePlace) -> Sentence:
    return sentence(prose(place.note.name, line.key))


def _names(line: Line) -> frozenset[Name]:
    return frozenset(place.note.name for place in line.places)


def spelled(midi: int, asked: Name, own: frozenset[Name] = frozenset()) -> Name:
    """A name for a written pitch that was heard in place of another.

    One of the line's own where there is one; else the asked note's letter where one accidental
    does; else the fewest accidentals, on the line's own side.
    """
    for name in own:
        if name.pitch_class == midi % 12:
            return name
    flat = asked.alter < 0 or sum(name.alter for name in own) < 0
    options = []
    for letter, natural in zip(LETTERS, NATURAL_SEMITONES, strict=True):
        alter = (midi - natural + 6) % 12 - 6
        if abs(alter) <= 1:
            same = letter == asked.letter
            side = alter == 0 or (alter < 0) == flat
            options.append((not same, not side, abs(alter), Name(letter, alter)))
    return min(options, key=lambda each: each[:3])[3]


# The rest.


def _restarts(line: Line, heard: Heard) -> Sentence:
    if not heard.restarts:
        return Sentence()
    said = listed([_there(_where(line, index)) for index in heard.restarts[:MANY]])
    times = {1: "once", 2: "twice"}.get(len(heard.restarts), f"{len(heard.restarts)} times")
    more = len(heard.restarts) - MANY
    return sentence(f"Went back {times}: at ", said, f"; and {more} more." if more > 0 else ".")


def _there(where: str) -> str:
    """A place within a sentence: ``the cell on 2``, ``bar 3``."""
    return f"{'the ' if where.startswith('Cell') else ''}{where[0].lower()}{where[1:]}"


def _time(line: Line, heard: Heard, tempo: float | None) -> Sentence:
    if heard.spread_ms is None or heard.note_s is None:
        return Sentence()
    within = max(FINEST_MS, 5 * -(-int(heard.spread_ms) // 5))
    parts = [f"Steady within {within} ms"]
    if heard.drift_percent is not None and abs(heard.drift_percent) >= DRIFT_PERCENT:
        how = "slowed" if heard.drift_percent > 0 else "hurried"
        parts.append(f"{how} by {abs(heard.drift_percent):.0f} %")
    played = 60 / heard.note_s / line.beat_notes
    if line.bars and line.beat_notes == 1:
        parts.append(f"{played:.0f} notes a minute")
    elif tempo is None:
        parts.append(f"tempo {played:.0f}")
    elif abs(played / tempo - 1) * 100 >= TEMPO_PERCENT:
        parts.append(f"tempo {played:.0f}; asked {tempo:g}")
    else:
        parts.append(f"at the tempo asked, {tempo:g}")
    if heard.lead_ms is not None:
        lead = 5 * round(heard.lead_ms / 5)
        way = "before" if lead > 0 else "after"
        parts.append("on the beat" if abs(lead) < FINEST_MS else f"{abs(lead)} ms {way} the beat")
    return sentence(", ".join(parts), ".")


def _swing(line: Line, heard: Heard) -> Sentence:
    if heard.swing is None or line.beat_notes != 2:
        return Sentence()
    told = f"Swing {heard.swing:.1f} to 1" if heard.swing >= SWUNG else "Straight eighths"
    if heard.swing < 1 / SWUNG:
        told = f"The second of two is the longer: {heard.swing:.1f} to 1"
    if line.swing != 1 or heard.swing >= SWUNG:
        asked = "straight" if line.swing == 1 else f"{line.swing:.1f}"
        return sentence(f"{told}; asked {asked}.")
    return sentence(f"{told}.")


def _manner(heard: Heard) -> Sentence:
    parts = []
    if heard.shape_r is not None:
        parts.append(
            "rises and falls with the line" if heard.shape_r > 0.5
            else "softer going up" if heard.shape_r < -0.5
            else "level along the line"
        )  # fmt: skip
    if heard.slurred_share is not None:
        share = heard.slurred_share
        parts.append(
            "slurred" if share > 0.9 else "tongued" if share < 0.1
            else f"{100 * share:.0f} % slurred"
        )  # fmt: skip
    if heard.tune_cents is not None:
        cents = round(heard.tune_cents)
        parts.append(
            "in tune as a whole" if abs(cents) < CENTS
            else f"{abs(cents)} cents {'sharp' if cents > 0 else 'flat'} as a whole"
        )  # fmt: skip
    return sentence("; ".join(parts).capitalize(), ".") if parts else Sentence()


def _places(heard: Heard) -> list[Sentence]:
    """Where to listen again, in minutes and seconds."""
    if not heard.doubts:
        return []
    what = {DoubtKind.EXTRA: "a sound more?", DoubtKind.OCTAVE: "its octave?"}
    shown = [f"{clock(each.at_s)} ({what[each.kind]})" for each in heard.doubts[:MANY]]
    more = len(heard.doubts) - len(shown)
    return [sentence("Listen again at ", listed(shown), f" and {more} more." if more else ".")]
