"""One setting changed in a settings file; everything else in it stays, comments too."""

from __future__ import annotations

import contextlib
import tomllib
from collections.abc import MutableMapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drill.decks.fields import nearest, type_word
from drill.decks.syntax import parse
from drill.errors import DrillError, UsageError
from drill.files import make_folder, write_whole
from drill.settings.catalogue import BY_NAME, KEYS
from drill.settings.file import MOST_BYTES, Text, read_text
from drill.settings.keymap import KnownAction
from drill.settings.keymap import from_text as keys_from_text
from drill.settings.load import check_text, value_of_text
from drill.settings.reading import plain, text_report
from drill.shown import harmless, quoted

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

_HEADING = "# Settings of drill.  drill config show lists them all.\n"


def write_setting(
    path: Path, name: str, text: str, known: Sequence[KnownAction] | None = None
) -> None:
    """Sets one setting in the file, which is made where there is none, with its folder.

    ``keys.ACTION`` takes keys apart by spaces; ``known`` are the program's actions, None
    takes any.  The file is whole at every instant: the old one or the new.  Raises
    UsageError for a name or value that does not exist, FaultsError where the file is no
    TOML and must be mended first, DrillError where it cannot be written.
    """
    where, value = _meant(name.strip(), text, known)
    old = read_text(path) or Text(_HEADING)
    before, _ = parse(old.text, str(path))
    _refuse_new_clash(path, old.text, where, value, known)
    changed = _changed(old.text, _existing(before, where), value, path)
    data = Text(changed, old.bom, old.crlf).encode()
    if len(data) > MOST_BYTES:
        raise DrillError(f"{harmless(str(path))}: would be too large to read; make it shorter")
    _replace(path, data)


def _meant(
    name: str, text: str, known: Sequence[KnownAction] | None
) -> tuple[tuple[str, ...], object]:
    """The setting's path in the file, and the TOML value that the text means."""
    if name.startswith(f"{KEYS}."):
        action = name.removeprefix(f"{KEYS}.")
        report = text_report(name)
        keys = keys_from_text(action, text, report, known)
        report.refuse_if_any()
        return (KEYS, action), keys[0] if len(keys) == 1 else list(keys)
    own = BY_NAME.get(name)
    if own is None:
        hint = nearest(name, BY_NAME) or "drill config show lists them"
        raise UsageError(f"there is no setting {quoted(name)} ({hint})")
    value_of_text(own, text)
    return ((own.table,) if own.table else ()) + (own.key,), plain(own, text)


def _refuse_new_clash(
    path: Path,
    text: str,
    where: tuple[str, ...],
    value: object,
    known: Sequence[KnownAction] | None,
) -> None:
    """Raises UsageError where keys would clash; clashes that stand in the file do not matter."""
    if where[0] != KEYS or known is None:
        return
    changed = _changed(text, _existing(tomllib.loads(text), where), value, path)
    old = {fault.message for fault in check_text(text, path.name, known)[1]}
    for fault in check_text(changed, path.name, known)[1]:
        if fault.message not in old:
            raise UsageError(fault.told)


def _existing(values: dict[str, Any], where: tuple[str, ...]) -> tuple[str, ...]:
    """The path by which the file has the setting: an id may stand as tables within tables."""
    table: object = values.get(KEYS)
    if where[0] != KEYS or (isinstance(table, dict) and where[1] in table):
        return where
    parts = tuple(where[1].split("."))
    for part in parts:
        if not isinstance(table, dict) or part not in table:
            return where
        table = table[part]
    return (KEYS, *parts)


def _changed(text: str, where: tuple[str, ...], value: object, path: Path) -> str:
    """The TOML text with one value changed.  Raises DrillError where that cannot be done."""
    import tomlkit  # costs 50 ms, and is needed for writing alone
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(text)
        _set(document, where, value, path)
        changed = tomlkit.dumps(document)
    except TOMLKitError as error:
        raise _by_hand(path, where) from error
    wanted = tomllib.loads(text)
    _set(wanted, where, value, path)
    with contextlib.suppress(tomllib.TOMLDecodeError):
        if tomllib.loads(changed) == wanted:
            return changed
    raise _by_hand(path, where)


def _set(
    document: TOMLDocument | dict[str, Any], where: tuple[str, ...], value: object, path: Path
) -> None:
    """Sets the value at the path, in a document or in plain values; tables are made."""
    table: MutableMapping[str, Any] = document
    for part in where[:-1]:
        inner = table.setdefault(part, {})
        if not isinstance(inner, MutableMapping):
            found = type_word(inner)
            raise DrillError(
                f"{harmless(str(path))}: {part}: expected a table, found {found}; mend it first"
            )
        table = table[part]
    table[where[-1]] = value


def _by_hand(path: Path, where: tuple[str, ...]) -> DrillError:
    return DrillError(
        f"{harmless(str(path))}: set {'.'.join(where)} by hand: the layout is unusual"
    )


def _replace(path: Path, data: bytes) -> None:
    """Puts the bytes in place of the file, in a folder made if need be.  Raises DrillError."""
    try:
        make_folder(path.parent, private=True)
        write_whole(path, data, private=True)
    except DrillError as error:
        raise DrillError(f"{error}; nothing was changed") from error
