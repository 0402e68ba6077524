"""The settings in a player's words: what each is called, and what its values are."""

from __future__ import annotations

from collections.abc import Mapping

from drill.terms import Name
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.wording.figures import in_percent

LABELS: Mapping[str, str] = {
    "names": "Note names",
    "horn": "Your horn",
    "glyphs": "Signs on screen",
    "theme": "Colours",
    "color": "Use of colour",
    "words": "Notes in words, in line mode",
    "motion": "Movement on screen",
    "hold": "Wait after a right answer",
    "sound": "Sound",
    "volume": "Volume",
    "room": "Reverberation",
    "a4": "Tuning of A",
    "backend": "Audio output",
    "in_time": "Playing in time",
    "student": "Your name, for the teacher",
    "practice.prompts": "Prompts in a practice",
    "practice.minutes": "Minutes of a practice",
    "practice.new_keys": "New keys in a practice",
    "practice.new_cells": "New cells in a practice",
    "practice.again": "Type a missed cell once more",
    "practice.missed_again": "Ask missed cells at the end",
    "practice.kinds": "Kinds of prompt",
}
"""What each setting is called."""

AS_THE_DECK_SAYS = "as the deck says"
_YES_NO = {"true": "yes", "false": "no", "deck": AS_THE_DECK_SAYS}
_VALUES: Mapping[str, Mapping[str, str]] = {
    "glyphs": {
        "auto": "as the terminal can",
        "unicode": "♯ ♭ and lines",
        "ascii": "plain letters only",
    },
    "theme": {
        "dark": "dark",
        "light": "light",
        "terminal": "the terminal's own",
        "high-contrast": "high contrast",
    },
    "color": {"auto": "as the terminal can", "always": "always", "never": "never"},
    "motion": {"full": "as it comes", "reduced": "nothing moves by itself"},
    "words": {"true": "G sharp", "false": "G#"},
    "sound": {"true": "on", "false": "off"},
    "backend": {"auto": "as the machine can", "silent": "silent, time is kept"},
    "in_time": {"true": "where a deck asks for it", "false": "never"},
}
_UNITS = {"a4": "hertz", "practice.prompts": "prompts", "practice.minutes": "minutes"}
_KINDS = {
    "next": ("the next cell, the one before in view", "next cell"),
    "degree": ("the cell on a degree, nothing shown", "cell on a degree"),
    "run": ("the whole run from memory", "whole run"),
    "ear": ("by ear", "by ear"),
    "time": ("in time with the metronome", "in time"),
    "key": ("which key has this cell", "which key"),
    "which-degree": ("on which degree it stands", "which degree"),
    "concert": ("which concert key sounds", "concert key"),
    "written": ("what is written for a concert key", "written key"),
    "signature": ("the signature of a key", "signature"),
    "different": ("by ear, which note was different", "which note was different"),
    "chord": ("which chord these notes are", "which chord"),
}
KINDS: Mapping[str, str] = {kind: said for kind, (said, _) in _KINDS.items()}
"""The kinds of prompt."""
KINDS_SHORT: Mapping[str, str] = {kind: said for kind, (_, said) in _KINDS.items()}
"""The same where there is little room."""


def setting_label(name: str) -> str:
    """What a setting is called; for keys of an action, that they are keys."""
    return LABELS.get(name) or f"Keys: {name.removeprefix('keys.')}"


def setting_value(name: str, value: str) -> str:
    """A value as a player reads it; ``value`` is as the settings file has it."""
    if name == "horn":
        return "not named yet" if value == "none" else horn_words(value)
    if name == "names":
        return language_words(value)
    if name == "volume" and value:
        return in_percent(float(value))
    if name == "practice.kinds" and value != "deck":
        return ", ".join(KINDS_SHORT.get(each.strip(), each) for each in value.split(","))
    known = _VALUES.get(name, _YES_NO)
    word = known.get(value) or _YES_NO.get(value) or value
    if name in _UNITS and word == value:
        unit = _UNITS[name].removesuffix("s") if value == "1" else _UNITS[name]
        return "no limit" if value == "0" else f"{value} {unit}"
    return word


def horn_words(value: str) -> str:
    """An instrument by its name; one of the player's own by what he calls it."""
    horn = INSTRUMENTS.get(value)
    return horn.name if horn else value.replace("_", " ")


_SAMPLES = (Name("B", 0), Name("B", -1), Name("F", 1))


def language_words(value: str) -> str:
    """A language of note names, with how B, B flat and F sharp are called in it."""
    language = Language(value)
    if language is Language.MOVABLE:
        return f"{language.label}: do is the tonic"
    names = ", ".join(show_name(name, language, glyphs=True) for name in _SAMPLES)
    return f"{language.label}: {names}"
