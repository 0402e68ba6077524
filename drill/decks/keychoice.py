"""The keys of a deck: lists of tonics, groups by name, written or concert, scale by scale.

A group is ``all`` (the 15 signatures, easy to hard), one of the orders of
``theory.keys.ORDERS`` (``fourths``, ``half-steps`` ..), ``sharps``, ``flats``, or a window of
them as syllabuses put it: ``up to 3 sharps and flats``, ``up to 4 sharps, up to 2 flats``, ``up to
4 accidentals``.  In a scale other than major it means the keys with those signatures.
"""

from __future__ import annotations

import re

from drill.decks.fields import FaultReport, FileTable, nearest, type_word
from drill.decks.locate import Path
from drill.errors import TheoryError
from drill.shown import quoted
from drill.terms import Instrument, Key, Name
from drill.theory.keys import ORDERS, in_order, written_key
from drill.theory.scales import SCALES, find_scale, name_of_fifths, signature, tonics
from drill.theory.spelling import parse_name

_UP_TO = (
    r"up to ([0-7]) "
    r"(sharps?|flats?|accidentals?|sharps? (?:and|or) flats?|flats? (?:and|or) sharps?)"
)
_BETWEEN = r"\s*(?:,|;|\band\b)\s*(?=up\b)"
_UP_TO_EXAMPLE = "up to 3 sharps and flats"
GROUPS = ("all", "sharps", "flats", *ORDERS)
"""Names of groups, without the ``up to`` ones."""


def group(text: str, scale: str) -> tuple[Key, ...] | None:
    """The keys of a named group in one scale, in its order; None where there is no such group."""
    if text in ORDERS:
        shift = SCALES[scale].shift
        names = (parse_name(tonic) for tonic in ORDERS[text])
        majors = (signature(Key(name, "major")) for name in names)
        return tuple(Key(name_of_fifths(fifths - shift), scale) for fifths in majors)
    window = _window(text)
    if window:
        low, high = window
    elif text in ("all", "sharps", "flats"):
        low, high = {"all": (-7, 7), "sharps": (1, 7), "flats": (-7, -1)}[text]
    else:
        return None
    keys = (Key(tonic, scale) for tonic in in_order(tonics(scale), "outward", scale))
    return tuple(key for key in keys if low <= signature(key) <= high)


def _window(text: str) -> tuple[int, int] | None:
    """The lowest and the highest signature, in fifths, of ``up to 4 sharps, up to 2 flats``; the
    widest of what is said twice.  None where the text is no such window."""
    words = " ".join(text.split()).casefold()
    if not words.startswith("up"):
        return None
    low = high = 0
    for part in re.split(_BETWEEN, words):
        found = re.fullmatch(_UP_TO, part)
        if not found:
            return None
        both = "accidental" in found[2]
        low = min(low, -int(found[1]) if both or "flat" in found[2] else 0)
        high = max(high, int(found[1]) if both or "sharp" in found[2] else 0)
    return low, high


def is_group(text: str) -> bool:
    """Whether the text names a group of keys or a window of signatures."""
    return group(text, "major") is not None


def keys_value(text: str) -> str | list[str]:
    """What a person wrote after a question or an option, as the ``keys`` of a deck: a group or
    window as it stands, else a list of tonics with commas or spaces between."""
    word = " ".join(text.split())
    if is_group(word) or word.casefold().startswith("up to"):
        return word
    return [part for part in re.split(r"[\s,;]+", word) if part]


def window_text(sharps: int, flats: int) -> str:
    """The window as a deck says it: ``up to 4 sharps, up to 2 flats``; each 0 to 7."""
    if sharps == flats:
        return f"up to {sharps} accidentals"
    return f"up to {sharps} sharps, up to {flats} flats"


def group_names() -> tuple[str, ...]:
    """Every group, the ``up to`` ones included: what a writer of decks may choose from."""
    kinds = ("sharps and flats", "sharps", "flats")
    named = (f"up to {count} {kind}" for count in range(1, 7) for kind in kinds)
    pairs = ((sharps, flats) for sharps in range(1, 8) for flats in range(1, 8) if sharps != flats)
    return (*GROUPS, *named, *(window_text(*pair) for pair in pairs))


def read_scales(table: FileTable) -> tuple[str, ...]:
    """The scale ids of a deck's ``scales``; major where it names none."""
    one = table.text("scale")
    if one is not None and "scales" in table:
        table.report.at_key(table.at("scale"), "scale and scales: name one of them", "")
    texts = table.texts("scales", '["major", "dorian"]')
    if texts is None and one is not None:
        texts = [(table.at("scale"), one)]
    if texts is None:
        return ("major",)
    found: list[str] = []
    for path, text in texts:
        scale = _scale(table.report, path, text, at_key=False)
        if scale in found:
            table.report.at_value(path, f"scales: {quoted(text)} stands here twice")
        elif scale:
            found.append(scale)
    if "scale" not in table and not table.raw("scales"):
        table.wrong("scales", "nothing to drill: scales is empty")
    return tuple(found)


def read_keys(
    table: FileTable, horn: Instrument | None
) -> tuple[tuple[str, ...], tuple[Key, ...], tuple[Key, ...]]:
    """Scales, written keys, and the concert keys they come from, of a deck's table.

    Without ``keys`` or ``concert_keys`` every key of every scale; the concert keys
    are empty where written ones are named.
    """
    if "keys" in table and "concert_keys" in table:
        table.report.at_key(table.at("concert_keys"), "keys and concert_keys: name one of them", "")
    name = "concert_keys" if "concert_keys" in table else "keys"
    raw = table.raw(name)
    if isinstance(raw, dict):
        scales, chosen = _scale_by_scale(table, name)
    else:
        scales = read_scales(table)
        chosen = _chosen(table, name, scales)
    if name == "keys" or horn is None:
        return scales, chosen, ()
    return scales, tuple(dict.fromkeys(written_key(key, horn) for key in chosen)), chosen


def _scale_by_scale(table: FileTable, name: str) -> tuple[tuple[str, ...], tuple[Key, ...]]:
    for other in ("scales", "scale"):
        if other in table:
            said = f"{name} names the scales already"
            table.report.at_key(table.at(other), said, f"leave {other} out")
    inner = table.table(name, '{ major = ["C"] }')
    assert inner is not None  # the caller has looked
    keys: list[Key] = []
    scales: list[str] = []
    raw = table.raw(name)
    for word in raw if isinstance(raw, dict) else ():
        scale = _scale(table.report, inner.at(word), word, at_key=True)
        if scale in scales:
            table.report.at_key(inner.at(word), f"{name}: {quoted(word)} stands here twice")
        elif scale:
            scales.append(scale)
            keys += _chosen(inner, word, (scale,))
    if not raw:
        table.wrong(name, f"nothing to drill: {name} is empty")
    return tuple(scales), tuple(keys)


def _scale(report: FaultReport, path: Path, text: str, *, at_key: bool) -> str | None:
    try:
        return find_scale(text).id
    except TheoryError:
        words = [*SCALES, *(alias for kind in SCALES.values() for alias in kind.aliases)]
        note = report.at_key if at_key else report.at_value
        hint = "" if report.full else nearest(text, words)
        example = 'such as major or dorian, or its degrees: "1 2 b3 #4 5 b6 7"'
        note(path, f"there is no scale {quoted(text)}", hint or example)
        return None


def _chosen(table: FileTable, name: str, scales: tuple[str, ...]) -> tuple[Key, ...]:
    """The keys that one value (a group or a list of tonics) means in each scale."""
    raw = table.raw(name)
    if raw is None:
        raw = "all"
    if isinstance(raw, str):
        return _from_group(table, name, raw, scales)
    if not isinstance(raw, list):
        table.wrong(
            name,
            f"{name}: expected a list of tonics or a group, found {type_word(raw)}",
            f'such as ["C", "G"] or "all" or "{_UP_TO_EXAMPLE}"',
        )
        return ()
    if not raw:
        table.wrong(name, f"nothing to drill: {name} is empty")
    names = _tonics(table, name)
    for path, tonic in names:
        _check_tonic(table.report, path, tonic, scales)
    return tuple(
        Key(tonic, scale) for scale in scales for _, tonic in names if tonic in tonics(scale)
    )


def _from_group(table: FileTable, name: str, text: str, scales: tuple[str, ...]) -> tuple[Key, ...]:
    found = [group(text, scale) for scale in scales]
    if group(text, "major") is None:
        try:
            hint = f'in square brackets: ["{parse_name(text)}"]'
        except TheoryError:
            hint = nearest(text, group_names())
        known = f'known are {", ".join(GROUPS)}, "{_UP_TO_EXAMPLE}"'
        table.wrong(name, f"{name}: there is no group of keys {quoted(text)}", hint or known)
    return tuple(key for keys in found if keys for key in keys)


def _tonics(table: FileTable, name: str) -> list[tuple[Path, Name]]:
    """The tonics of a list, each once; what is no tonic is noted and left out."""
    found: list[tuple[Path, Name]] = []
    for path, text in table.texts(name, '["C", "Bb", "F#"]') or ():
        try:
            tonic = parse_name(text)
        except TheoryError:
            hint = "a letter A to G, then # or b; the scale goes in scales"
            table.report.at_value(path, f"{name}: {quoted(text)} is not a tonic", hint)
            continue
        if any(tonic == other for _, other in found):
            table.report.at_value(path, f"{name}: {tonic} stands here twice")
        else:
            found.append((path, tonic))
    return found


def _check_tonic(report: FaultReport, path: Path, tonic: Name, scales: tuple[str, ...]) -> None:
    """Notes the first scale in which the tonic has no key of up to 7 accidentals."""
    for scale in scales:
        known = tonics(scale)
        if tonic not in known:
            same = next(each for each in known if each.pitch_class == tonic.pitch_class)
            message = f"{tonic} {SCALES[scale].label} would have more than 7 sharps or flats"
            hint = f"write {same}" if len(scales) == 1 else f"{same} has fewer; name keys by scale"
            report.at_value(path, message, hint)
            return
