"""Two programs on one log, from the very first instant; and a log that is taken away."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from memory_log import START, answer, deck

from drill.errors import StoreError
from drill.memory.store import Store
from drill.memory.turns import turn

PROGRAM = """
import json, sys
from pathlib import Path
sys.path[:0] = sys.argv[3:]
from memory_log import START, answer, deck
from drill.memory.store import Store
item, first = deck()[0], int(sys.argv[2])
print("ready", flush=True)
sys.stdin.readline()
with Store.open(Path(sys.argv[1])) as store:
    kept = [store.append(answer(item, True, START, first + n), item).answer.uuid for n in range(5)]
    print(json.dumps([list(store.notices), kept]))
"""


@pytest.mark.parametrize("attempt", range(4))
def test_two_programs_that_begin_at_once_share_one_new_log(tmp_path: Path, attempt: int) -> None:
    path = tmp_path / "new" / "answers.db"
    here = [str(Path(__file__).parent), os.getcwd()]
    both = [
        subprocess.Popen(
            [sys.executable, "-c", PROGRAM, str(path), str(1000 * (number + 1)), *here],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )
        for number in range(2)
    ]  # fmt: skip
    for each in both:
        assert each.stdout is not None
        assert each.stdout.readline() == "ready\n"
    for each in both:
        assert each.stdin is not None
        each.stdin.write("go\n")
        each.stdin.flush()
    said = [json.loads(each.communicate(timeout=60)[0]) for each in both]
    assert [each.returncode for each in both] == [0, 0]
    assert [notices for notices, _ in said] == [[], []]  # nobody took the other's file for damage
    with Store.open(path) as store:
        assert {row.uuid for row in store.answers()} == {uuid for _, kept in said for uuid in kept}
    assert sorted(each.name for each in path.parent.iterdir()) == ["answers.db"]


def test_a_turn_is_waited_for_and_a_long_one_is_said(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    with turn(path):
        done: list[str] = []

        def other() -> None:
            with (
                pytest.raises(StoreError, match="another program has been opening"),
                turn(path, 0.1),
            ):
                pass
            done.append("refused")

        waiting = threading.Thread(target=other)
        waiting.start()
        waiting.join(30)
        assert done == ["refused"]
    with turn(path, 0.1):
        pass


@pytest.mark.skipif(sys.platform == "win32", reason="an open file cannot be taken away there")
def test_an_answer_to_a_log_that_was_taken_away_is_not_acknowledged(tmp_path: Path) -> None:
    path, item = tmp_path / "answers.db", deck()[0]
    with Store.open(path) as store:
        store.append(answer(item, True, START, 1), item)
        path.rename(tmp_path / "elsewhere.db")
        with pytest.raises(StoreError, match="moved or replaced while it was open"):
            store.append(answer(item, True, START, 2), item)
