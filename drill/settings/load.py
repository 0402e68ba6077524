"""The settings in force: a flag, else the environment, else a file, else as the program comes.

Of the files, ``drill.toml`` in the current folder counts before the player's own.
A mistake in a file or in the environment never stops the program: the value is
passed over, and the fault says where it stands and what was expected.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drill.decks.fields import FaultReport, FileTable, nearest
from drill.errors import Fault, FaultsError
from drill.files import too_large
from drill.places import Places
from drill.settings.catalogue import BY_NAME, FIELDS, KEYS, PRACTICE, PREFIX, Field
from drill.settings.file import MOST_BYTES, WHAT, read_text
from drill.settings.reading import NOTHING, from_table, from_text, text_report
from drill.settings.values import Overrides, Settings
from drill.shown import harmless

if TYPE_CHECKING:
    from drill.decks.locate import Path as KeyPath
    from drill.settings.keymap import KnownAction, Wish

    Actions = Sequence[KnownAction] | Callable[[], Sequence[KnownAction]] | None

PROJECT_FILE = "drill.toml"
"""The settings file of a folder, for whoever starts the program there."""

_OTHER_VARIABLES = frozenset({"HOME"})
"""Variables with our prefix that are no settings, without the prefix."""

_MEANT = {
    "language": "names",
    "colour": "color",
    "colours": "theme",
    "mute": "sound",
    "tuning": "a4",
    "pitch": "a4",
    "name": "student",
    "ascii": "glyphs",
    "animations": "motion",
    "instrument": "horn",
}
_MEANT_IN_PRACTICE = {"ask": "kinds", "retype": "again", "time": "minutes"}
_EXAMPLE = 'such as names = "german" or [practice]'


class Layer(StrEnum):
    """Who said what a setting is, the first that speaks wins."""

    FLAG = "flag"
    ENVIRONMENT = "environment"
    PROJECT = "project file"
    USER = "user file"
    DEFAULT = "default"


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a setting's value came from."""

    level: Layer
    place: str = ""
    """The variable, or ``file:line:column``; harmless to print; empty for flags and defaults."""

    def __str__(self) -> str:
        return f"{self.level} {self.place}".rstrip()


@dataclass(frozen=True, slots=True)
class Loaded:
    """The settings in force, and what is to be said about them."""

    settings: Settings
    find_origins: Callable[[], Mapping[str, Origin]]
    """Gives ``origins``: a start does not wait for the places of what has no fault."""
    faults: tuple[Fault, ...] = ()
    """Every mistake, file by file; what is named here was passed over."""

    @property
    def origins(self) -> Mapping[str, Origin]:
        """By the setting's name; ``keys.ACTION`` for the keys of an action."""
        return self.find_origins()


@dataclass(slots=True)
class _Spoken:
    """What one level says."""

    level: Layer
    values: dict[str, tuple[object, Callable[[], str]]] = field(default_factory=dict)
    """Value, and what tells its place, by the setting's name."""
    wishes: dict[str, Wish] = field(default_factory=dict)
    report: FaultReport | None = None
    faults: tuple[Fault, ...] = ()

    def all_faults(self) -> tuple[Fault, ...]:
        """What is wrong at this level, in the order of its file."""
        return (*self.faults, *(self.report.faults if self.report else ()))


def load(
    places: Places,
    environment: Mapping[str, str],
    flags: Mapping[str, str | None] | None = None,
    project: Path | None = None,
    known: Actions = None,
) -> Loaded:
    """The settings in force.

    ``flags`` holds texts by the setting's name, None for a flag that was not given;
    ``project`` is the folder in which ``drill.toml`` is looked for, None for nowhere;
    ``known`` are the program's actions, or what gives them where keys are remapped: None
    takes every remapping as it stands.
    Raises UsageError for a flag that cannot be understood, and for nothing else.
    """
    levels = [_from_flags(flags or {}), _from_environment(environment)]
    if project is not None:
        levels.append(_from_file(Layer.PROJECT, project / PROJECT_FILE, known))
    levels.append(_from_file(Layer.USER, places.settings, known))
    remaps = _granted([level.wishes for level in levels], known)
    values: dict[str, object] = {}
    for level in reversed(levels):
        values |= {name: value for name, (value, _) in level.values.items()}
    faults = tuple(fault for level in levels for fault in level.all_faults())
    return Loaded(_settings(values, remaps), partial(_origins, levels, remaps), faults)


def _origins(levels: Sequence[_Spoken], remaps: Sequence[Wish]) -> dict[str, Origin]:
    """Where each setting came from, of levels that speak one before the other."""
    origins = {each.name: Origin(Layer.DEFAULT) for each in FIELDS}
    for level in reversed(levels):
        for name, (_, place) in level.values.items():
            origins[name] = Origin(level.level, place())
    for wish in remaps:
        level = next(each for each in levels if wish in each.wishes.values())
        origins[f"{KEYS}.{wish.remap.action}"] = Origin(level.level, _at(wish.report, wish.path))
    return origins


def _granted(levels: Sequence[dict[str, Wish]], known: Actions) -> Sequence[Wish]:
    """The wishes that are granted; the room of keys is opened only where there is one."""
    if not any(levels):
        return ()
    from drill.settings.keymap import granted

    return granted(levels, _actions(known))


def _actions(known: Actions) -> Sequence[KnownAction] | None:
    return known() if callable(known) else known


def _settings(values: Mapping[str, object], remaps: Sequence[Wish]) -> Settings:
    top: dict[str, Any] = {}
    wanted: dict[str, Any] = {}
    for name, value in values.items():
        own = BY_NAME[name]
        (wanted if own.table == PRACTICE else top)[own.key] = value
    keys = tuple(sorted((wish.remap for wish in remaps), key=lambda remap: remap.action))
    return Settings(**top, practice=Overrides(**wanted), keys=keys)


# -- flags and environment


def _from_flags(flags: Mapping[str, str | None]) -> _Spoken:
    spoken = _Spoken(Layer.FLAG)
    for name, text in flags.items():
        if text is not None:
            spoken.values[name] = (value_of_text(BY_NAME[name], text), str)
    return spoken


def value_of_text(own: Field, text: str) -> object:
    """The value that a text means for a setting.  Raises UsageError that says what was expected."""
    report = text_report(own.name)
    value = from_text(own, text, report)
    report.refuse_if_any()
    return value


def _from_environment(environment: Mapping[str, str]) -> _Spoken:
    spoken = _Spoken(Layer.ENVIRONMENT)
    faults: list[Fault] = []
    sharing: dict[str, list[Field]] = {}
    for own in FIELDS:
        sharing.setdefault(own.environment, []).append(own)
    for variable, text in environment.items():
        if not variable.startswith(PREFIX) or not text.strip():
            continue
        if variable in sharing:
            faults += _from_variable(spoken, variable, text, sharing[variable])
        elif variable.removeprefix(PREFIX) not in _OTHER_VARIABLES:
            faults += _mistyped(variable, sharing)
    spoken.faults = tuple(faults)
    return spoken


def _from_variable(
    spoken: _Spoken, variable: str, text: str, fields: Sequence[Field]
) -> tuple[Fault, ...]:
    """Takes what a variable says for the first of its settings that understands it."""
    refused = _Spoken(Layer.ENVIRONMENT)
    for own in fields:
        refused.report = text_report(variable)
        value = from_text(own, text, refused.report)
        if value is not NOTHING:
            spoken.values[own.name] = (value, lambda: variable)
            return ()
    faults = refused.all_faults()
    if len(fields) > 1:
        return tuple(replace(each, hint="on and off are understood too") for each in faults)
    return faults


def _mistyped(variable: str, known: Mapping[str, object]) -> tuple[Fault, ...]:
    """A fault for a variable that looks like one of ours; other programs' are left alone."""
    shorter = [name.removeprefix(PREFIX) for name in known]
    hint = nearest(variable.removeprefix(PREFIX), shorter)
    if not hint:
        return ()
    hint = " ".join(
        PREFIX + word if word.rstrip("?") in shorter else word for word in hint.split(" ")
    )
    return (Fault(harmless(variable), 0, 0, "this variable sets nothing", hint),)


# -- files


def _from_file(level: Layer, path: Path, known: Actions) -> _Spoken:
    try:
        found = read_text(path)
        return _Spoken(level) if found is None else _from_toml(level, found.text, str(path), known)
    except FaultsError as error:
        return _Spoken(level, faults=error.faults)


def check_text(
    text: str, file: str = "settings.toml", known: Actions = None
) -> tuple[Settings, tuple[Fault, ...]]:
    """The settings in a TOML text alone, and every mistake in it; never raises."""
    try:
        if len(text) > MOST_BYTES:
            said = too_large(WHAT, MOST_BYTES)
            raise FaultsError((Fault(harmless(file), 0, 0, said),))
        spoken = _from_toml(Layer.USER, text, file, known)
    except FaultsError as error:
        return Settings(), error.faults
    remaps = _granted([spoken.wishes], known)
    values = {name: value for name, (value, _) in spoken.values.items()}
    return _settings(values, remaps), spoken.all_faults()


def _from_toml(level: Layer, text: str, file: str, known: Actions) -> _Spoken:
    """What a file says.  Raises FaultsError where it is no TOML."""
    from drill.decks.syntax import parse

    try:
        values, places = parse(text, file)
    except FaultsError as error:
        raise FaultsError(tuple(_own_example(fault) for fault in error.faults)) from None
    report = FaultReport(file, places)
    spoken = _Spoken(level, report=report)
    top = FileTable(report, values)
    inner = top.table(PRACTICE, "[practice] with prompts = 30")
    for own in FIELDS:
        table = inner if own.table == PRACTICE else top
        value = from_table(own, table, own.key) if table else NOTHING
        if table and value is not NOTHING:
            spoken.values[own.name] = (value, partial(_at, report, table.at(own.key)))
    keys = top.raw(KEYS)
    if isinstance(keys, dict):
        from drill.settings.keymap import wishes

        spoken.wishes = wishes(keys, report, _actions(known))
    elif keys is not None:
        top.table(KEYS, '[keys] with mute = "f7"')
    top.refuse_others([*(f.key for f in FIELDS if not f.table), PRACTICE, KEYS], _meant(top))
    if inner:
        inner.refuse_others([f.key for f in FIELDS if f.table == PRACTICE], _MEANT_IN_PRACTICE)
    return spoken


def _meant(top: FileTable) -> dict[str, str]:
    """Hints for keys at the top: another word for it, or the table it belongs in."""
    hints = {word: f"did you mean {name}?" for word, name in _MEANT.items()}
    for own in FIELDS:
        if own.table:
            hints[own.key] = f"it belongs under [{own.table}]"
    return hints


def _own_example(fault: Fault) -> Fault:
    """The fault with an example from settings where it has one from decks."""
    if "title =" not in fault.hint and fault.hint != 'such as ["C", "G"]':
        return fault
    hint = 'such as names = "german"' if "quotes" in fault.message else _EXAMPLE
    return replace(fault, hint=hint)


def _at(report: FaultReport, path: KeyPath) -> str:
    place = report.places.value(path)
    return f"{report.file}:{place.line}:{place.column}"
