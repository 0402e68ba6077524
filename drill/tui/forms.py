"""What a form screen works through: rows are read anew after each change."""

from __future__ import annotations

from typing import Protocol, runtime_checkable

from drill.tui.views.form import Row


class Formed(Protocol):
    """A form over something: a deck that is being written, the settings, a page to print."""

    said: str
    """What there is to say when its screen comes back into view; empty for nothing."""

    @property
    def title(self) -> str:
        """What stands at the top."""
        ...

    def rows(self) -> tuple[Row, ...]:
        """The rows as they are now.  Raises DrillError."""
        ...

    def turn(self, name: str, by: int) -> str | None:
        """Take the next value of a row, the one before where ``by`` is -1; what to say, None for
        nothing.  Raises DrillError."""
        ...

    def put(self, name: str, text: str) -> str | None:
        """Take a value that was typed; the same."""
        ...

    def press(self, name: str) -> str | None:
        """Do what a row is for, or open its list; the same."""
        ...


@runtime_checkable
class Unkept(Protocol):
    """A form whose changes are nowhere yet until they are kept."""

    @property
    def unkept(self) -> bool:
        """True while leaving would lose something."""
        ...
