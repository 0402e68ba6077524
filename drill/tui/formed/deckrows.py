"""The rows of a practice of one's own."""

from __future__ import annotations

from dataclasses import replace

from drill.theory.instruments import OWN
from drill.theory.scales import SCALES
from drill.tui.formed.deckdraft import TURNS, DeckDraft
from drill.tui.formed.patterns import pattern_choices
from drill.tui.views.form import Row, RowKind
from drill.wording.forms import (
    A_CELL,
    AS_THE_FILE_SAYS,
    BY_HAND,
    BY_WINDOW,
    DECK_S_HORN,
    EXPECTED,
    ROWS,
    own_horn_told,
    window_told,
)
from drill.wording.settings import KINDS_SHORT, horn_words

_TEXTS = ("practice.prompts", "practice.minutes", "tempo", "due", "note")
ACTS = tuple(
    Row(name, ROWS[name][0], kind=RowKind.ACT, help=ROWS[name][1]) for name in ("once", "keep")
)


def deck_rows(draft: DeckDraft, own_horn: str) -> tuple[Row, ...]:
    """Every row; ``own_horn`` is what the player's own horn is called, empty for none named."""
    rows = (
        _text(draft, "title"),
        _row("instrument", _horn(draft, own_horn)),
        _row("patterns", _patterns(draft)),
        _row("scales", _scales(draft)),
        *_keys(draft),
        *(_turned(draft, name) for name in ("directions", "span", "range")),
        _row("practice.ask", ", ".join(KINDS_SHORT.get(each, each) for each in draft.kinds)),
        *(_text(draft, name) for name in _TEXTS),
        *ACTS,
    )
    return _with_faults(rows, draft.faults())


def _text(draft: DeckDraft, name: str) -> Row:
    value = draft.get(name)
    if name == "tempo" and isinstance(value, dict):
        value = value.get("start")
    shown = "" if value is None else " ".join(str(value).split())
    return replace(_row(name, shown, RowKind.TEXT), text=shown)


def _row(name: str, value: str, kind: RowKind = RowKind.OPEN) -> Row:
    label, told = ROWS[name]
    return Row(name, label, value, kind, told)


def _turned(draft: DeckDraft, name: str) -> Row:
    words, default = TURNS[name]
    value = draft.get(name, default)
    shown = next((word for word, each in words.items() if each == value), AS_THE_FILE_SAYS)
    return _row(name, shown, RowKind.TURN)


def _keys(draft: DeckDraft) -> list[Row]:
    window = draft.window
    rows = [_row("keys", BY_WINDOW if window else BY_HAND, RowKind.TURN)]
    if window is None:
        listed = ", ".join(str(key.tonic) for key in draft.keys)
        return [*rows, _row("picked", listed)]
    sharps, flats = window
    return [
        *rows,
        _row("window", window_told(sharps, flats), RowKind.TURN),
        _row("sharps", str(sharps), RowKind.TURN),
        _row("flats", str(flats), RowKind.TURN),
    ]


def _horn(draft: DeckDraft, own_horn: str) -> str:
    value = str(draft.get("instrument", ""))
    if value == OWN:
        return own_horn_told(own_horn)
    return horn_words(value) if value else DECK_S_HORN


def _patterns(draft: DeckDraft) -> str:
    tables = draft.get("pattern", [])
    named = [str(each.get("name") or each.get("id") or A_CELL) for each in tables]
    known = {each.id: each.label for each in pattern_choices()}
    return ", ".join([*(known.get(each, each) for each in draft.listed("patterns", [])), *named])


def _scales(draft: DeckDraft) -> str:
    found = draft.listed("scales", ["major"])
    return ", ".join(SCALES[each].label if each in SCALES else each for each in found)


def _with_faults(rows: tuple[Row, ...], faults: tuple[str, ...]) -> tuple[Row, ...]:
    """Each fault at the row that it is about; those of no row at the last, which keeps the deck."""
    names = {row.name.rpartition(".")[2]: row.name for row in rows} | {"which": "picked"}
    at: dict[str, str] = {}
    for fault in faults:
        word = fault.replace(":", " ").split()[0].rpartition(".")[2]
        name = names.get(word, rows[-1].name)
        at.setdefault(name, EXPECTED.get(name, fault))
    return tuple(replace(row, fault=at.get(row.name, "")) for row in rows)
