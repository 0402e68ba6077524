"""The text of a settings file, or one clear reason why there is none."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from pathlib import Path

from drill.errors import Fault, FaultsError
from drill.files import BOM, decoded
from drill.shown import harmless

MOST_BYTES = 16 * 1024
"""Size of the largest file that is read as settings; a full one has 2 kB."""


@dataclass(frozen=True, slots=True)
class Text:
    """A file's text with ``\\n`` line ends, and how it was stored."""

    text: str
    bom: bool = False
    """It began with a byte-order mark."""
    crlf: bool = False
    """Its lines ended as on Windows."""

    def encode(self) -> bytes:
        """The bytes of the file."""
        text = self.text.replace("\n", "\r\n") if self.crlf else self.text
        return (BOM if self.bom else b"") + text.encode()


def read_text(path: Path) -> Text | None:
    """The text of an ordinary UTF-8 file; None where there is no file.

    Devices and pipes are not opened.  Raises FaultsError where there is something
    that cannot be read.
    """
    try:
        data = _bytes(path)
    except FileNotFoundError:
        if path.is_symlink():
            raise _fault(path, "this link leads nowhere") from None
        return None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _fault(path, f"cannot be read: {reason[:1].lower()}{reason[1:]}") from None
    bare = data.removeprefix(BOM)
    text = decoded(bare, str(path), "save it as UTF-8")
    first = text.partition("\n")[0]
    return Text(text.replace("\r\n", "\n"), data != bare, first.endswith("\r"))


def _bytes(path: Path) -> bytes:
    status = os.stat(path)
    if stat.S_ISDIR(status.st_mode):
        raise _fault(path, "this is a folder; expected a file of settings")
    if not stat.S_ISREG(status.st_mode):
        raise _fault(path, "this is not an ordinary file; expected a file of settings")
    with open(path, "rb") as file:
        data = file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise _fault(path, f"larger than settings may be ({MOST_BYTES // 1024} KiB)")
    return data


def _fault(path: Path, message: str, hint: str = "") -> FaultsError:
    return FaultsError((Fault(harmless(str(path)), 0, 0, message, hint),))
