"""The one writer of files: whole or not at all; and the reader of small ones.

A file is written under a name of its own in the folder of its target (``mkstemp``, so nobody's
file is met by chance), flushed to the disk, and takes the target's place at one stroke.  The
other name is gone in every case that leaves us a word in it.  A link is followed, the
permissions of a file that is replaced stay, and no folder is made of a path that a person
mistyped: who means a folder to be made says so with ``make_folder``.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
import tempfile
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from drill.errors import DrillError, Fault, FaultsError, TakenError
from drill.shown import harmless

_PREFIX, _SUFFIX = ".drill-", ".new"


_RESERVED = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
)
"""Names that Windows keeps for devices."""
LONGEST = 60


BOM = b"\xef\xbb\xbf"
"""The byte-order mark that some editors put before UTF-8."""


def decoded(data: bytes, file: str, hint: str) -> str:
    """The text in the bytes of a file, without its mark; ``file`` is how faults call it.

    Raises FaultsError with the place of the first byte that is no UTF-8, and ``hint``.
    """
    line, column, message = 0, 0, "this is UTF-16 text"
    if not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode()
        except UnicodeDecodeError as error:
            begin = data.rfind(b"\n", 0, error.start) + 1
            line = data.count(b"\n", 0, begin) + 1
            column = len(data[begin : error.start].decode()) + 1
            message = f"byte 0x{data[error.start]:02X} is not UTF-8 text"
    raise FaultsError((Fault(harmless(file), line, column, message, hint),))


def small_file(path: Path, most: int, what: str) -> bytes | None:
    """The bytes of an ordinary file that is ``what``, a deck, and has no more than so many; None
    where there is none.  Devices and pipes are not opened.

    Raises FaultsError with the one reason why it cannot be read.
    """
    try:
        status = os.stat(path)
        said = "this is not an ordinary file"
        if stat.S_ISDIR(status.st_mode):
            said = f"this is a folder, not {what}"
        elif stat.S_ISREG(status.st_mode):
            with open(path, "rb") as file:
                data = file.read(most + 1)
            if len(data) <= most:
                return data
            said = too_large(what, most)
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:  # ValueError: a zero byte in the name
        said = f"cannot be read: {_reason(error)}"
    raise FaultsError((Fault(harmless(str(path)), 0, 0, said),))


def too_large(what: str, most: int) -> str:
    """What is said of a file that is ``what``, a deck, and has more than so many bytes."""
    size = f"{most // 1024**2} MiB" if most >= 1024**2 else f"{most // 1024} KiB"
    return f"larger than {what} may be ({size})"


def _reason(fault: OSError | ValueError) -> str:
    """What the system says, as the end of a sentence."""
    said = fault.strerror if isinstance(fault, OSError) and fault.strerror else str(fault)
    return said[:1].lower() + said[1:]


def file_name(text: str) -> str:
    """The text as a file's name without suffix, safe on every system: ``tricky-keys``.

    Letters, digits and single hyphens; empty where nothing of the text is left.
    """
    plain = unicodedata.normalize("NFKC", text).casefold()
    word = re.sub(r"[^\w]+", "-", plain.replace("_", "-")).strip("-")[:LONGEST].strip("-")
    return f"{word}-1" if word in _RESERVED else word


def file_name_of(whose: str, what: str) -> str:
    """The names of a person and of a thing as one file's name; the person's is said once.

    An assignment's deck bears the student's name already: ``3-bo-lark-week-3`` of one with an id.
    """
    names = [file_name(whose), file_name(what)]
    if f"-{names[0]}-" in f"-{names[1]}-":
        names = names[1:]
    return "-".join(filter(None, names))


def write_whole(path: Path, data: bytes, *, replace: bool = True, private: bool = False) -> None:
    """Write the bytes; a file that is there is replaced only when all of them are safe.

    A device or a pipe is written to as it stands.  Without ``replace`` whatever is there is a
    TakenError, whoever made it meanwhile.  ``private`` makes a new file its owner's alone.
    Raises DrillError, and leaves no trace, where it cannot be written.
    """
    with _said(path):
        if replace and _is_device(path):
            path.write_bytes(data)
            return
    with whole(path, replace=replace, private=private) as part, part.open("wb") as out:
        out.write(data)


def write_all(
    files: Iterable[tuple[Path, bytes]], *, replace: bool = True, private: bool = False
) -> None:
    """Write several files, of which none takes its place before all of them are written: a disk
    that is full leaves all as it was.  See ``write_whole`` for the options and the errors.
    """
    with ExitStack() as parts:
        for path, data in files:
            parts.enter_context(whole(path, replace=replace, private=private)).write_bytes(data)


@contextmanager
def whole(path: Path, *, replace: bool = True, private: bool = False) -> Iterator[Path]:
    """An empty file to fill, which takes the place of ``path`` when the block ends well.

    For those who write by a file's name, as a database does; see ``write_whole`` for the
    options and the errors.  Where the block raises, ``path`` is as it was.
    """
    temporary = ""
    if not replace and os.path.lexists(path) and not path.is_dir():
        raise taken_error(path)
    try:
        with _said(path):
            target = Path(os.path.realpath(path)) if replace else path
            mode = _mode_for(path, target, private)
            handle, temporary = tempfile.mkstemp(_SUFFIX, _PREFIX, target.parent)
            os.close(handle)
            yield Path(temporary)
            _flushed(temporary)
            _permitted(temporary, mode)
            if replace:
                os.replace(temporary, target)
            else:
                _place_new(temporary, path)
            _folder_flushed(target.parent)
    finally:
        if temporary:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


def make_folder(path: Path, *, private: bool = False) -> None:
    """Make a folder of the program's own, with those above it, where it is not there.

    ``private`` makes those that are made here their owner's alone.  Raises DrillError where it
    cannot be made.
    """
    for each in (*reversed(path.parents), path):
        with _said(each, "cannot be made"):
            if not each.is_dir():
                each.mkdir(mode=0o700 if private else 0o777, exist_ok=True)


@contextmanager
def _said(path: Path, what: str = "cannot be written") -> Iterator[None]:
    """Turns the system's faults into one line that names the path."""
    try:
        yield
    except (OSError, ValueError) as fault:  # ValueError: a zero byte in the name
        reason = _reason(fault)
        if isinstance(fault, FileExistsError):
            reason = "there is something of that name that is no folder"
        if isinstance(fault, FileNotFoundError) and not path.parent.is_dir():
            reason = f"there is no folder {harmless(str(path.parent))}: make it first"
        raise DrillError(f"{harmless(str(path))}: {what}: {reason}") from fault


def _mode_for(path: Path, target: Path, private: bool) -> int:
    """The permissions that the file is to have; raises DrillError for what is no file of ours."""
    try:
        mode = os.stat(target).st_mode
    except FileNotFoundError:
        return 0o600 if private else 0o666 & ~_mask()
    if not stat.S_ISREG(mode):
        what = "a folder" if stat.S_ISDIR(mode) else "not an ordinary file"
        raise DrillError(f"{harmless(str(path))}: cannot be written: it is {what}")
    if not os.access(target, os.W_OK):
        raise DrillError(f"{harmless(str(path))}: cannot be written: it is read-only")
    return stat.S_IMODE(mode)


def _is_device(path: Path) -> bool:
    """Whether something stands there that is written to and cannot be replaced."""
    try:
        mode = os.stat(path).st_mode
    except OSError:
        return False
    return not stat.S_ISREG(mode) and not stat.S_ISDIR(mode)


def _permitted(name: str, mode: int) -> None:
    """Give a file its permissions, where the file system knows any."""
    try:
        os.chmod(name, mode)
    except OSError as fault:
        if fault.errno not in (errno.EPERM, errno.ENOTSUP, errno.ENOSYS, errno.EINVAL):
            raise


def _mask() -> int:
    """What the system takes from the permissions of a new file."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def _flushed(name: str) -> None:
    handle = os.open(name, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _folder_flushed(folder: Path) -> None:
    """The new name is safe from a loss of power too, where the system can do that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _place_new(temporary: str, path: Path) -> None:
    """Give the file its name; raises TakenError where that was taken meanwhile."""
    try:
        os.link(temporary, path)
    except OSError as error:
        if isinstance(error, FileExistsError) or os.path.lexists(path):
            raise taken_error(path) from None
        os.replace(temporary, path)  # a file system without links


def taken_error(path: Path) -> TakenError:
    """What is raised where a file is there already and may not be written over."""
    return TakenError(f"{harmless(str(path))} exists already: name another file", path)
