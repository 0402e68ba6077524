"""Finding and reading deck files; nothing outside the folders and files named is opened."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path

from drill.decks.build import build
from drill.decks.fields import nearest
from drill.decks.mend import all_faults
from drill.decks.schema import Deck
from drill.decks.syntax import parse
from drill.errors import Fault, FaultsError, UsageError
from drill.files import BOM, decoded, small_file, too_large
from drill.shown import first_harmful, harmless, quoted

SUFFIX = ".toml"

MOST_BYTES = 16 * 1024
"""Size of the largest file that is read as a deck: a long one has 10 kB, and the worst of this
size takes some 25 ms (tests/bench/bench_fuzz.py)."""


def loads(text: str, file: str) -> Deck:
    """The deck in a TOML text; ``file`` is how faults call it, and names the deck.

    Raises FaultsError with every fault of the text, each at its place.
    """
    if len(text) > MOST_BYTES:
        raise _fault(file, too_large("a deck", MOST_BYTES))
    try:
        values, places = parse(text, file)
    except FaultsError as error:
        raise all_faults(text, file, error) from None
    return build(values, file, places, Path(file))


def names_files(text: str, file: str) -> bool:
    """Whether a deck takes a line from a file of music beside it, so that its text alone is not
    all of it.  Raises FaultsError where it is no TOML."""
    values, _ = parse(text, file)
    found = [values.get("patterns"), values.get("pattern")]
    tables = [each for rows in found if isinstance(rows, list) for each in rows]
    return any(isinstance(each, Mapping) and "from" in each for each in tables)


def load(path: Path) -> Deck:
    """The deck in a TOML file; a byte-order mark and either line ending are fine.

    Raises FaultsError with every fault of the file, each at its place.
    """
    if first_harmful(path.name) is not None:
        raise _fault(str(path), "the file's name has control characters", "rename it")
    data = small_file(path, MOST_BYTES, "a deck")
    if data is None:
        raise _fault(str(path), "cannot be read: no such file or directory")
    return load_bytes(data, str(path))


def load_bytes(data: bytes, file: str) -> Deck:
    """The deck in the bytes of a file, or of standard input; ``file`` is how faults call it.

    Raises FaultsError with every fault, each at its place.
    """
    if len(data) > MOST_BYTES:
        raise _fault(file, too_large("a deck", MOST_BYTES))
    return loads(decoded(data.removeprefix(BOM), file, "save the deck as UTF-8"), file)


def _fault(file: str, message: str, hint: str = "") -> FaultsError:
    return FaultsError((Fault(harmless(file), 0, 0, message, hint),))


def listing(folders: Sequence[Path]) -> tuple[Path, ...]:
    """The deck files in the folders, by name; where names clash the first folder's counts.

    Hidden files, and links that lead out of their folder, are passed over; a
    folder that is not there holds none.
    """
    found: dict[str, Path] = {}
    for folder in folders:
        try:
            names = sorted(os.listdir(folder))
        except OSError:
            continue
        for name in names:
            path = folder / name
            if name.endswith(SUFFIX) and not name.startswith(".") and _stays_in(folder, path):
                found.setdefault(path.stem, path)
    return tuple(found[name] for name in sorted(found))


def _stays_in(folder: Path, path: Path) -> bool:
    """Whether it is a file of that very folder, links resolved."""
    try:
        return path.is_file() and path.resolve().parent == folder.resolve()
    except (OSError, RuntimeError):  # RuntimeError: links in a circle
        return False


def find(name_or_path: str, folders: Sequence[Path]) -> Path:
    """The file of a deck: a path as it stands, or a name looked up in the folders.

    A text with a slash or with ``.toml`` at its end is a path, unless a folder
    holds a deck of that name.  Raises UsageError with the nearest names.
    """
    text = name_or_path.strip()
    known = {path.stem: path for path in listing(folders)}
    name = text.removesuffix(SUFFIX)
    is_path = any(mark and mark in text for mark in (os.sep, os.altsep))
    if is_path or text.endswith(SUFFIX):
        path = Path(text)
        if _exists(path):
            return path
        if is_path:
            beside = [each.stem for each in listing((path.parent,))]
            raise _missing(f"there is no file {quoted(text)}", nearest(path.stem, beside))
    if name in known:
        return known[name]
    alike = [each for each in known if _spelled(each) == _spelled(name)]
    if len(alike) == 1:  # band-tenor_sax is kept as band-tenor-sax
        return known[alike[0]]
    hint = nearest(name, known) or (f"known are {', '.join(known)}" if known else "")
    raise _missing(f"there is no deck {quoted(text)}", harmless(hint))


def _spelled(name: str) -> str:
    return name.casefold().replace("_", "-").replace(" ", "-")


def _exists(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False


def _missing(message: str, hint: str) -> UsageError:
    return UsageError(message + (f" ({hint})" if hint else ""))
