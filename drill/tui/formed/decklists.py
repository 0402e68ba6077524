"""The lists from which a practice of one's own is chosen."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from drill.decks.mine import horns
from drill.decks.schema import AskKind
from drill.practice.effects import Sound
from drill.sound.take import SAX
from drill.terms import Instrument, Key
from drill.theory.instruments import OWN
from drill.theory.scales import SCALES, tonics
from drill.theory.spelling import parse_name
from drill.tui.formed.deckdraft import DeckDraft
from drill.tui.formed.patterns import (
    pattern_choices,
    preview,
    progression,
    progression_id,
    sounding,
)
from drill.tui.studio import Studio
from drill.tui.text import Lines
from drill.tui.views.pick import Choice, Pick
from drill.tui.ways import ToPick
from drill.wording.forms import OWN_HORN, PATTERNS_ABOUT, ROWS, SEVERAL_ABOUT
from drill.wording.settings import KINDS
from drill.wording.soundwords import SOUND_OFF

Then = Callable[[], None]
"""What follows when something was taken."""


def deck_list(
    name: str, draft: DeckDraft, horn: Instrument | None, studio: Studio, then: Then
) -> ToPick:
    """The list that a row opens; ``horn`` is the one that is played, None for none."""
    if name == "patterns":
        return _patterns(draft, horn, studio, then)
    lists: Mapping[str, Callable[[DeckDraft], Pick]] = {
        "instrument": _horns,
        "scales": _scales,
        "picked": _keys,
        "practice.ask": _kinds,
    }
    pick = lists[name](draft)

    def done(ids: tuple[str, ...]) -> None:
        value = "keys" if name == "picked" else name
        draft.set(value, list(ids) if pick.several else ids[0])
        if name == "picked":
            draft.set("concert_keys", None)
        if name == "instrument":
            draft.set("horn", None)
        then()

    return ToPick(pick, done)


def _horns(draft: DeckDraft) -> Pick:
    own = Choice(OWN, OWN_HORN)
    choices = (own, *(Choice(each.id, each.name) for each in horns()))
    here = draft.get("instrument", OWN)
    at = next((i for i, each in enumerate(choices) if each.id == here), 0)
    return Pick("Horn", choices, chosen=at)


def _several(
    title: str, choices: tuple[Choice, ...], marked: tuple[str, ...], about: str = SEVERAL_ABOUT
) -> Pick:
    """A list of which several are chosen; it stands on the first of them."""
    at = next((place for place, each in enumerate(choices) if each.id in marked), 0)
    return Pick(title, choices, about, several=True, marked=marked, chosen=at)


def _scales(draft: DeckDraft) -> Pick:
    choices = tuple(Choice(each.id, each.label, each.name) for each in SCALES.values())
    marked = tuple(draft.listed("scales", ["major"]))
    return _several("Scales", choices, marked)


def _keys(draft: DeckDraft) -> Pick:
    names = [str(name) for name in tonics(draft.listed("scales", ["major"])[0])]
    picked = [str(key.tonic) for key in draft.keys]
    marked = tuple(each for each in dict.fromkeys(picked) if each in names)
    return _several("Keys", tuple(Choice(each, each) for each in names), marked)


def _kinds(draft: DeckDraft) -> Pick:
    choices = tuple(Choice(each.value, KINDS[each.value]) for each in AskKind)
    return _several(ROWS["practice.ask"][0], choices, tuple(draft.kinds))


def _patterns(draft: DeckDraft, horn: Instrument | None, studio: Studio, then: Then) -> ToPick:
    tables: list[dict[str, object]] = list(draft.get("pattern", []))
    known = {name: each for each in tables if (name := progression_id(each))}
    others = [each for each in tables if progression_id(each) is None]
    marked = (*draft.listed("patterns", []), *known)
    key = next(iter(draft.keys), Key(parse_name("C"), "major"))
    words = studio.words

    def done(ids: tuple[str, ...]) -> None:
        moving = [dict(table) for each in ids if (table := progression(each)) is not None]
        draft.set("patterns", [each for each in ids if progression(each) is None] or None)
        draft.set("pattern", [*others, *moving] or None)
        then()

    def aside(choice: str, width: int, height: int) -> Lines:
        return preview(choice, key, horn, words, width) if height >= 20 else ()

    def hear(choice: str) -> str:
        if studio.muted:
            return SOUND_OFF
        notes = sounding(choice, key, horn)
        studio.sound(Sound(notes, horn.program if horn else SAX))
        return ""

    pick = _several("Patterns", pattern_choices(), marked, PATTERNS_ABOUT)
    return ToPick(pick, done, aside=aside, hear=hear, typed=pattern_choices)
