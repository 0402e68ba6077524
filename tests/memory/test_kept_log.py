"""Files that earlier versions wrote are opened by this one: one is kept for each layout.

``kept/answers-layout-N.db`` was written by the version that had layout N and is never
made anew.  A new layout adds its own file here.
"""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path

import pytest
from memory_log import START

from drill.memory.model import predict, replay
from drill.memory.schema import MIGRATIONS
from drill.memory.store import Store

KEPT = Path(__file__).parent / "kept"


def test_every_layout_has_its_kept_file() -> None:
    names = {file.name for file in KEPT.iterdir()}
    assert names == {f"answers-layout-{n}.db" for n in range(1, len(MIGRATIONS) + 1)}


@pytest.mark.parametrize("layout", range(1, len(MIGRATIONS) + 1))
def test_a_kept_file_is_opened_with_every_answer(layout: int, tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    shutil.copyfile(KEPT / f"answers-layout-{layout}.db", path)
    with Store.open(path) as store:
        rows, items = list(store.answers()), store.items()
        assert bool(store.notices) == (layout < len(MIGRATIONS))
    assert [row.uuid for row in rows] == [f"{n:06d}" for n in range(24)]
    assert [row.right for row in rows] == [n % 4 > 0 for n in range(24)]
    assert rows[0].typed == "D E F D\0\ud83d"
    assert rows[1].typed == "D E F♯ D"
    assert rows[0].hypotheses == ("one-note-off", "other-mode")
    assert rows[5].tempo == 96.0
    assert rows[10].again
    assert rows[23].at == START + timedelta(hours=161)
    assert len(items) == 14
    assert items["k0:s1:3"].facts == ("k0:3", "k0:5", "k0:6", "k0:3")
    state = replay(rows, items)
    assert state.record(items["k0:s0:0"]).asked == 2
    assert 0.0 < predict(state, items["k0:s0:0"], rows[-1].at).p < 1.0
