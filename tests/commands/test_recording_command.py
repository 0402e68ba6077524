"""``drill take --record``, with a microphone and an output that the test makes."""

from __future__ import annotations

import argparse
import io
from datetime import UTC
from itertools import count
from pathlib import Path
from types import SimpleNamespace
from typing import Any, ClassVar

import numpy as np
import pytest
from desk_tools import NOW, Terminal
from silent_player import SilentPlayer

from drill.commands import recording
from drill.opening.house import House
from drill.opening.tools import Tools
from drill.places import places
from drill.settings.values import Settings


@pytest.mark.parametrize("sound", [True, False])
def test_a_count_in_that_does_not_sound_is_seen_and_why_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, sound: bool
) -> None:
    """With the sound off nothing clicks; with a device that fails its notice is said."""
    now = count()

    class Dead(SilentPlayer):
        notices: ClassVar = ["No sound: no device. The drill goes on without it."]

        def __init__(self, *_: object, muted: bool, **__: object) -> None:
            super().__init__(lambda: 0.0, muted=muted)
            assert muted is not sound

        def poll(self) -> str | None:
            return self.notices.pop() if sound and self.notices else None

    class Room:
        zero_s = None

        def __init__(self, _: object) -> None: ...

        def take(self) -> np.ndarray:
            return np.full(2205, 1e-3, np.float32)

        def close(self) -> None: ...

    monkeypatch.setattr(recording, "Player", Dead)
    monkeypatch.setattr(recording, "Microphone", Room)
    monkeypatch.setattr(recording, "monotonic", lambda: next(now) / 10)
    monkeypatch.setattr(recording, "sleep", lambda _: None)
    err = Terminal()
    house = House(places({"DRILL_HOME": str(tmp_path)}), UTC)
    tools = Tools(house, io.StringIO(), io.StringIO(), err, lambda: NOW, {})
    line: Any = SimpleNamespace(places=(), beat_notes=2, title="a run")
    asked = argparse.Namespace(clicks=False)
    recording._recorded(asked, tools, line, 80.0, Settings(sound=sound))
    assert "count-in  1  2  3" in err.getvalue()
    assert ("No sound: no device" in err.getvalue()) is sound
