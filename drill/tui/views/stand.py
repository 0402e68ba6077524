"""The music stand as lines: key, run, staff with slots, what is asked, and the last verdict.

From 60 x 20 up the staff is drawn; below that the slots stand alone, and below
36 x 10 only a notice.
"""

from __future__ import annotations

from dataclasses import replace

from drill.marking.back import Back, about_a_cell
from drill.marking.typed import Typed
from drill.memory.kinds import Kind
from drill.practice.effects import Judge, Prompt
from drill.terms import LETTERS, Direction, Mode
from drill.theory.scales import signature
from drill.tui.layout import block, cut, footed, indent, spread, tail, unbroken
from drill.tui.staff import LEAST_ROWS, Group, NoteColumn, Staff, draw, given, printed
from drill.tui.text import BLANK, Line, Lines, Role, Stretch, line, width_of
from drill.tui.views.verdict import ROWS as VERDICT_ROWS
from drill.tui.views.verdict import SIGNS, Stand, name_of, verdict_lines
from drill.tui.words import Words
from drill.wording.asking import (
    WHICH_KEY,
    ask_shown,
    ask_told,
    cell_told,
    concert_told,
    counted_told,
    heard_times,
    progress_told,
    sounds_told,
    stands_on,
    way_shown,
)
from drill.wording.linemode import ENTER_GOES_ON
from drill.wording.screens import OPENING
from drill.wording.walking import COVERED, walk_told

LEAST = (36, 10)
"""Columns and rows below which nothing is shown but a notice."""
_MOST_STAFF_ROWS = 15


def stand(view: Stand, words: Words, width: int, height: int) -> Lines:
    """The screen without its last line: exactly ``height`` lines."""
    if view.prompt is None:
        waiting = line(Stretch(words.glyphs.text(view.title), Role.TITLE))
        said = view.notice or OPENING
        body = block(words.said(said), width, Role.DIM)
        return footed([BLANK, indent(cut(waiting, width - 2), 1), BLANK, *body], (), height)
    top = _heading(view, view.prompt, words, width, height)
    asked = _asked(view, view.prompt, words, width)
    room = height - len(top) - len(asked) - VERDICT_ROWS - 1
    rows = min(room - (1 if room > LEAST_ROWS + 2 else 0), _MOST_STAFF_ROWS)
    music = _music(view, view.prompt, words, width, rows) if rows >= LEAST_ROWS else ()
    if not music and rows >= LEAST_ROWS:  # high or low notes go before the verdict's last lines
        most = min(height - len(top) - len(asked) - 2, _MOST_STAFF_ROWS)
        taller = (_music(view, view.prompt, words, width, more) for more in range(rows + 1, most))
        music = next(filter(None, taller), ())
    if not music:
        music = _without_staff(view, view.prompt, words, width)
    verdict = [cut(row, width, words.glyphs.ellipsis) for row in verdict_lines(view, words, width)]
    body = [*top, *music]
    left = height - len(body) - len(asked) - len(verdict)
    body += [BLANK] * min(1, max(0, left))
    body += asked
    body += [BLANK] * min(1, max(0, left - 1))
    return footed([*body, *verdict], (), height)


def _heading(view: Stand, prompt: Prompt, words: Words, width: int, height: int) -> list[Line]:
    """The written key, the pattern and the run; fewer lines where there is little room."""
    run = prompt.question.run
    dot = f" {words.glyphs.dot} "
    key, concert = _key_line(view, prompt, words)
    horn = words.horn(prompt.question.horn) if prompt.question.horn else ""
    plain = run.pattern.name == run.pattern.text or len(prompt.cell.notes) == 1
    name = "" if plain else f"  {words.said(run.pattern.name)}"
    pattern = line(
        Stretch(f" {words.said(cell_told(prompt))}", Role.STRONG),
        Stretch(f"{name}{dot}{way_shown(prompt, brief=width < 70)}", Role.PLAIN),
    )
    number = view.asked + (0 if prompt.again else 1)
    right = view.right if width >= 70 else None
    counted = progress_told(number, view.planned, right, closing=prompt.closing)
    microphone = [view.microphone] if view.microphone else []
    progress = line(Stretch(f"{dot.join((*microphone, *counted))} ", Role.DIM))
    ellipsis = words.glyphs.ellipsis
    if height < 22 and width_of(pattern) + width_of(progress) + 1 > width:  # how long goes before
        pattern = line(pattern[0], Stretch(f"{dot}{way_shown(prompt, brief=True)}"))
    back = prompt.question.back
    if back and (back == Back.CHORD or not about_a_cell(Back(back))):
        pattern = line()
    if height < 22:
        return [spread(key, concert, width, ellipsis), spread(pattern, progress, width, ellipsis)]
    where = _run_line(prompt, words, width - width_of(progress) - 2)
    return [
        spread(key, concert, width, ellipsis),
        spread(pattern, line(Stretch(f"{horn} ", Role.DIM)), width, ellipsis),
        spread(where, progress, width, ellipsis),
    ]


def _key_line(view: Stand, prompt: Prompt, words: Words) -> tuple[Line, Line]:
    """The written key with its signature, and the concert key: as far as they are not asked for."""
    key, back = prompt.question.run.key, prompt.question.back
    sounds = view.concert if view.concert != key else None
    if back == Back.KEY:
        return line(Stretch(f" {WHICH_KEY}", Role.TITLE)), line()
    if back == Back.WRITTEN:
        concert = words.said(concert_told(view.concert or key))
        return line(Stretch(f" {concert}", Role.TITLE)), line()
    shown = line(Stretch(f" {words.key(key)}", Role.TITLE))
    if back != Back.SIGNATURE:
        shown = (*shown, Stretch(f"   {words.signature(key)}", Role.DIM))
    counted = ""
    if prompt.question.run.pattern.mode is Mode.KEY:
        counted = words.said(counted_told(key))
    if counted:
        shown = (*shown, Stretch(f"   {counted}", Role.DIM))
    if sounds is None or back == Back.CONCERT:
        return shown, line()
    return shown, line(Stretch(f"{words.said(sounds_told(sounds))} ", Role.DIM))


def _run_line(prompt: Prompt, words: Words, width: int) -> Line:
    """The degrees of the run, the one asked for in brackets; unmarked where it is not named.

    An arrow stands where the run goes up and where it turns to come down, the note that is held
    at the end in round brackets.
    """
    run = prompt.question.run
    hidden = (prompt.kind == Kind.EAR and not prompt.again) or prompt.question.back
    here = None if hidden else prompt.question.index
    if prompt.question.back and prompt.question.back != Back.WHICH_DEGREE:
        return ()
    labels = [words.said(stands_on(run.pattern, cell)) for cell in run.cells]
    held = f" ({run.close_degree})" if run.pattern.mode is Mode.KEY else ""
    ways = [cell.direction for cell in run.cells]
    turns = [at for at, way in enumerate(ways) if at == 0 or way is not ways[at - 1]]
    first, last = 0, len(labels)
    room = width - 12 - len(held) - 2 * len(turns)
    while sum(len(label) + 3 for label in labels[first:last]) > room and last - first > 3:
        if here is not None and here - first < last - here:
            last -= 1
        else:
            first += 1
    spans = [
        Stretch(" run ", Role.DIM),
        Stretch(f"{words.glyphs.ellipsis} " if first else " ", Role.DIM),
    ]
    for index in range(first, last):
        if index in turns or index == first:
            up = ways[index] is Direction.UP
            spans.append(Stretch(words.glyphs.up if up else words.glyphs.down, Role.DIM))
        marked = index == here
        text = f"[{labels[index]}]" if marked else f" {labels[index]} "
        spans.append(Stretch(text, Role.STRONG if marked else Role.DIM))
    spans.append(Stretch(f" {words.glyphs.ellipsis}" if last < len(labels) else held, Role.DIM))
    return tuple(spans)


def _asked(view: Stand, prompt: Prompt, words: Words, width: int) -> list[Line]:
    """What is asked, and what is typed: one line where both fit, else two."""
    if prompt.question.back:
        return _asked_back(view, prompt, words, width)
    if prompt.page is not None and not prompt.again:
        return [*_page(prompt, words, width), *_asked_plain(view, prompt, words, width)]
    return _asked_plain(view, prompt, words, width)


def _page(prompt: Prompt, words: Words, width: int) -> list[Line]:
    """In a walk: the run as it lies there, its covered cells left out."""
    if prompt.page is None:
        return []
    key, stage = prompt.question.run.key, int(prompt.page.stage)
    cells = [words.names(notes, key) if notes else COVERED for notes in prompt.page.cells]
    last = len(cells) - 1
    kept = [unbroken(f"{each} |" if at < last else each) for at, each in enumerate(cells)]
    told = f"{walk_told(stage)}:  {' '.join(kept)}"
    return block(told, width, Role.DIM)


def _asked_plain(view: Stand, prompt: Prompt, words: Words, width: int) -> list[Line]:
    """The same where it asks for the notes of a cell."""
    ask = words.said(ask_shown(prompt))
    if prompt.sounds and view.sound_off and not prompt.again:
        ask = view.sound_off
    elif prompt.heard > 1 and not prompt.again:
        ask += f" ({heard_times(prompt.heard)})"
    text = words.glyphs.text(view.draft.text)
    if view.held:
        return [line(Stretch(" Right. ", Role.STRONG), Stretch(ENTER_GOES_ON, Role.DIM))]
    room = width - len(ask) - 6
    if room >= max(16, len(text) + 1):
        return [
            line(
                Stretch(f" {ask}:  ", Role.STRONG),
                Stretch(text, Role.PLAIN),
                Stretch(" ", Role.CARET),
            )
        ]
    shown = tail(text, width - 4, words.glyphs.ellipsis)
    return [
        cut(line(Stretch(f" {ask}:", Role.STRONG)), width, words.glyphs.ellipsis),
        line(" ", Stretch(shown, Role.PLAIN), Stretch(" ", Role.CARET)),
    ]


def _asked_back(view: Stand, prompt: Prompt, words: Words, width: int) -> list[Line]:
    """A question the other way round, which may take two lines, and what is typed."""
    asked = words.said(ask_told(prompt))
    rows = block(f"{asked[:1].upper()}{asked[1:]}", width, Role.STRONG)[:2]
    if view.held:
        return [*rows, line(Stretch(" Right. ", Role.STRONG), Stretch(ENTER_GOES_ON, Role.DIM))]
    text = tail(words.glyphs.text(view.draft.text), width - 4, words.glyphs.ellipsis)
    return [*rows, line(f" {words.glyphs.pointer} ", Stretch(text), Stretch(" ", Role.CARET))]


# The staff and its slots.


def _music(view: Stand, prompt: Prompt, words: Words, width: int, rows: int) -> Lines:
    """The staff with the given cell and the slots; without the given one where both are too
    wide; empty where not even that fits."""
    horn, key = prompt.question.horn, prompt.question.run.key
    clef = horn.clef if horn else "treble"
    fifths = signature(key)
    cell = prompt.cell.notes
    if prompt.question.back:
        if not about_a_cell(Back(prompt.question.back)):
            return ()
        fifths = 0 if prompt.question.back == Back.KEY else fifths
        choices: tuple[tuple[Group, ...], ...] = ((given(cell, key, fifths, words),),)
    else:
        slots, before = _slots(view, prompt, fifths, words), given(prompt.given, key, fifths, words)
        choices = ((before, slots), (slots,))
        if prompt.again and view.last is not None:
            choices = ((_yours(view.last, fifths, words), before, slots), *choices)
    for groups in choices:
        staff = Staff(clef, fifths, groups)
        drawn = draw(staff, width - 2, rows, words.glyphs)
        if drawn:
            return tuple(indent(row, 1) for row in drawn)
    return ()


def _slots(view: Stand, prompt: Prompt, fifths: int, words: Words) -> Group:
    """A place for each note of the cell, filled with what was read."""
    expected = prompt.cell.notes
    places = _places(view.reading.notes, prompt, fifths, words)
    if view.draft.text.strip() and not view.reading.readable:
        places.append(NoteColumn("?", role=Role.NOTICE))
    empty = max(0, len(expected) - len(places))
    lean = tuple(note.staff_step for note in expected)
    return Group((*places, *[NoteColumn("_", role=Role.DIM)] * empty), lean)


def _yours(judge: Judge, fifths: int, words: Words) -> Group:
    """What was answered, as a page would have it; the notes that are not right in their role."""
    marks = [mark for mark in judge.verdict.notes if mark.typed]
    typed = tuple(name_of(mark.typed or "") for mark in marks)
    places = _places(tuple(Typed(name) for name in typed), judge.prompt, fifths, words)
    wrong = [SIGNS[mark.outcome] for mark in marks]
    return Group(
        tuple(
            replace(
                place,
                label=f"{place.label}{getattr(words.glyphs, sign) if sign else ''}",
                role=role if sign else Role.GIVEN,
            )
            for place, (sign, role) in zip(places, wrong, strict=True)
        ),
        tuple(note.staff_step for note in judge.prompt.cell.notes),
    )


def _places(
    notes: tuple[Typed, ...], prompt: Prompt, fifths: int, words: Words
) -> list[NoteColumn]:
    """Typed notes near the cell's outline, with the signs that a page would print."""
    key, expected = prompt.question.run.key, prompt.cell.notes
    steps: list[int] = []
    for index, typed in enumerate(notes):
        near = expected[index].staff_step if index < len(expected) else steps[-1]
        steps.append(_height(typed, near))
    signs = printed(zip((typed.name for typed in notes), steps, strict=True), fifths, words.glyphs)
    return [
        NoteColumn(
            words.name(typed.name, key) + ("" if typed.octave is None else str(typed.octave)),
            step,
            sign,
        )
        for typed, step, sign in zip(notes, steps, signs, strict=True)
    ]


def _height(typed: Typed, near: int) -> int:
    """Where a typed name stands: its own octave, else the one nearest to the cell's outline."""
    letter = LETTERS.index(typed.name.letter)
    if typed.octave is not None:
        return 7 * typed.octave + letter
    return min((7 * octave + letter for octave in range(10)), key=lambda step: abs(step - near))


def _without_staff(view: Stand, prompt: Prompt, words: Words, width: int) -> Lines:
    """The given cell and the slots in names alone."""
    if prompt.question.back:
        return ()
    rows: list[Line] = []
    if prompt.given:
        word = "copy" if prompt.again else "before"
        names = words.names(prompt.given, prompt.question.run.key)
        rows.append(line(Stretch(f" {word}  ", Role.DIM), Stretch(names, Role.GIVEN)))
    spans = [Stretch(" notes " if prompt.given else " ", Role.DIM)]
    places = _slots(view, prompt, signature(prompt.question.run.key), words).places
    spans += [Stretch(f" {place.label} ", place.role) for place in places]
    return tuple(cut(row, width, words.glyphs.ellipsis) for row in (*rows, tuple(spans)))
