"""Where an environment goes when the checkout cannot hold it."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from drill import setup_make as making
from drill import setup_state as there


def test_the_spare_folder_is_made_where_there_is_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = tmp_path / "no-folder"
    root.write_text("a file stands where the checkout would be", encoding="utf-8")
    monkeypatch.setattr(there, "WINDOWS", False)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "deep" / "caches"))
    built: list[str] = []
    monkeypatch.setattr(making, "build", lambda root, env, *_: built.append(env))
    env = making.make(str(root), there.PROGRAM)
    assert built == [env]
    assert env == there.spare_folder(str(root), there.PROGRAM)
    assert Path(env).parent == tmp_path / "deep" / "caches" / "drill"
    assert Path(env).parent.is_dir()
