"""The rows of a practice of one's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from drill.theory.instruments import OWN
from drill.theory.scales import SCALES
from drill.tui.formed.deckdraft import TURNS, DeckDraft
from drill.tui.formed.patterns import pattern_choices
from drill.tui.views.form import Kind, Row
from drill.wording.settings import KINDS_SHORT, horn_words

_WINDOW, _PICKED = "a window of signatures", "picked one by one"
_TEXTS: Mapping[str, tuple[str, str]] = {
    "title": ("Name", "What the deck is called."),
    "practice.prompts": ("Prompts", "How many prompts one practice has."),
    "practice.minutes": (
        "Minutes",
        "After so many minutes no new prompt comes; nothing: no limit.",
    ),
    "tempo": ("Tempo", "In time: beats a minute to begin at; nothing leaves it to the player."),
    "due": ("Known by", "Year-month-day, such as 2030-06-14; nothing for no day."),
    "note": ("Note", "A note to whoever practises it."),
}
ACTS = (
    Row("once", "Practise it now", kind=Kind.ACT, help="For once, without keeping it."),
    Row(
        "keep",
        "Keep it as a deck",
        kind=Kind.ACT,
        help="In your own folder of decks, under its name.",
    ),
)


def deck_rows(draft: DeckDraft, own_horn: str) -> tuple[Row, ...]:
    """Every row; ``own_horn`` is what the player's own horn is called, empty for none named."""
    rows = (
        _text(draft, "title"),
        _open("instrument", "Horn", _horn(draft, own_horn), "Whose range and pitch it is for."),
        _open(
            "patterns",
            "Patterns",
            _patterns(draft),
            "Patterns, chords and progressions; a cell such as 1-2-4-1 can be typed.",
        ),
        _open("scales", "Scales", _scales(draft), "In which scales they are played."),
        *_keys(draft),
        _turned(draft, "directions", "Directions", "The runs that are asked."),
        _turned(draft, "span", "How far", "How far over the horn each run goes."),
        _turned(draft, "range", "Range", "Which notes of the horn are used."),
        _open(
            "practice.ask",
            "Kinds of prompt",
            ", ".join(KINDS_SHORT.get(each, each) for each in draft.kinds),
            "How cells are asked; which of them, recall decides.",
        ),
        *(_text(draft, name) for name in _TEXTS if name != "title"),
        *ACTS,
    )
    return _with_faults(rows, draft.faults())


def _text(draft: DeckDraft, name: str) -> Row:
    label, told = _TEXTS[name]
    value = draft.get(name)
    if name == "tempo" and isinstance(value, dict):
        value = value.get("start")
    shown = "" if value is None else " ".join(str(value).split())
    return Row(name, label, shown, Kind.TEXT, told, shown)


def _open(name: str, label: str, value: str, told: str) -> Row:
    return Row(name, label, value, Kind.OPEN, told)


def _turned(draft: DeckDraft, name: str, label: str, told: str) -> Row:
    words, default = TURNS[name]
    value = draft.get(name, default)
    shown = next((word for word, each in words.items() if each == value), "as the file says")
    return Row(name, label, shown, Kind.TURN, told)


def _keys(draft: DeckDraft) -> list[Row]:
    window = draft.window
    mode = _WINDOW if window else _PICKED
    told = "All keys up to so many sharps and flats, or those that you pick."
    rows = [Row("keys", "Keys", mode, Kind.TURN, told)]
    if window is None:
        listed = ", ".join(str(key.tonic) for key in draft.keys)
        return [*rows, _open("picked", "  which", listed, "Tab marks, Enter is done.")]
    sharps, flats = window
    wide = f"{_many(sharps, 'sharp')} to {_many(flats, 'flat')}, {sharps + flats + 1} keys"
    return [
        *rows,
        Row("window", "  wide", wide, Kind.TURN, "Right: wider by one key. Left: narrower."),
        Row("sharps", "  most sharps", str(sharps), Kind.TURN, "Right: one more. Left: one less."),
        Row("flats", "  most flats", str(flats), Kind.TURN, "Right: one more. Left: one less."),
    ]


def _many(count: int, what: str) -> str:
    return f"no {what}s" if not count else f"{count} {what}{'' if count == 1 else 's'}"


def _horn(draft: DeckDraft, own_horn: str) -> str:
    value = str(draft.get("instrument", ""))
    if value == OWN:
        return f"your own ({own_horn})" if own_horn else "your own: name it in Settings"
    return horn_words(value) if value else "as the deck describes it"


def _patterns(draft: DeckDraft) -> str:
    tables = draft.get("pattern", [])
    named = [str(each.get("name") or each.get("id") or "a cell") for each in tables]
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
        at.setdefault(names.get(word, rows[-1].name), fault)
    return tuple(replace(row, fault=at.get(row.name, "")) for row in rows)
