"""Where the program keeps things: data, cache, settings and logs, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from drill.errors import UsageError

APP = "drill"
ANSWERS = "answers.db"
"""The answer log's file."""
LEARNED = "learned.json"
"""What the log has taught, as of its last checkpoint."""


@dataclass(frozen=True, slots=True)
class Places:
    """The folders and files of one player."""

    data: Path
    """The answer log and its copies, and decks that were added."""
    cache: Path
    """What can be worked out again: what the log has taught."""
    config: Path
    """The settings file's folder."""
    log: Path
    """The folder for error reports."""

    @property
    def answers(self) -> Path:
        """The answer log."""
        return self.data / ANSWERS

    @property
    def learned(self) -> Path:
        """What the log has taught, kept from start to start."""
        return self.cache / LEARNED

    @property
    def decks(self) -> Path:
        """The player's own decks."""
        return self.data / "decks"

    @property
    def results(self) -> Path:
        """What a teacher has taken in."""
        return self.data / "results"

    @property
    def takes(self) -> Path:
        """What was said of takes: numbers and sentences, no sound."""
        return self.data / "takes.json"

    @property
    def settings(self) -> Path:
        """The settings file."""
        return self.config / "settings.toml"


def places(environment: Mapping[str, str]) -> Places:
    """The player's folders: all under ``DRILL_HOME`` where it is set, else the system's own.

    None of them is made here.  Raises UsageError where they cannot be told.
    """
    home = environment.get("DRILL_HOME", "").strip()
    if home:
        try:
            root = Path(home).expanduser()
        except RuntimeError as error:
            raise UsageError(
                f"DRILL_HOME is {home!r}, and there is no such user here: name a folder"
            ) from error
        return Places(root, root / "cache", root, root / "log")
    import platformdirs  # not needed where DRILL_HOME is set

    return Places(
        Path(platformdirs.user_data_dir(APP, appauthor=False)),
        Path(platformdirs.user_cache_dir(APP, appauthor=False)),
        Path(platformdirs.user_config_dir(APP, appauthor=False)),
        Path(platformdirs.user_log_dir(APP, appauthor=False)),
    )
