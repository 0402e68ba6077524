"""The text of a settings file, or one clear reason why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from drill.errors import Fault, FaultsError
from drill.files import BOM, decoded, small_file
from drill.shown import harmless

WHAT = "a file of settings"
"""What faults call it."""
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

    Raises FaultsError where there is something that cannot be read.
    """
    data = small_file(path, MOST_BYTES, WHAT)
    if data is None:
        if path.is_symlink():
            raise FaultsError((Fault(harmless(str(path)), 0, 0, "this link leads nowhere"),))
        return None
    bare = data.removeprefix(BOM)
    text = decoded(bare, str(path), "save it as UTF-8")
    first = text.partition("\n")[0]
    return Text(text.replace("\r\n", "\n"), data != bare, first.endswith("\r"))
