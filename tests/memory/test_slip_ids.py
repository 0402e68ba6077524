"""Slips are kept by an id apart from the English shown; older logs are brought to it."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from drill.marking.verdict import Slip
from drill.memory.salvage import salvage
from drill.memory.schema import EARLIER_SLIPS
from drill.memory.store import Store

LAYOUT_1 = Path(__file__).parent / "kept" / "answers-layout-1.db"


def test_every_earlier_name_leads_to_a_slip_of_today() -> None:
    assert {Slip(each).value for each in EARLIER_SLIPS.values()} == set(EARLIER_SLIPS.values())


def test_ids_are_no_english_sentences() -> None:
    for slip in Slip:
        assert slip.value.isascii()
        assert slip.value == slip.value.lower()
        assert " " not in slip.value


def test_a_log_of_layout_1_is_rewritten_once_and_still_append_only(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    shutil.copyfile(LAYOUT_1, path)
    with Store.open(path) as store:
        before = [(answer.slip, answer.hypotheses) for answer in store.answers()]
    assert before[0] == ("one-note-off", ("one-note-off", "other-mode"))
    link = sqlite3.connect(path)
    kept = {slip for (slip,) in link.execute("SELECT slip FROM answers")}
    assert kept == {None, "one-note-off"}
    with pytest.raises(sqlite3.Error, match="append-only"):
        link.execute("UPDATE answers SET slip = NULL")
    link.close()
    with Store.open(path) as store:
        assert store.notices == ()  # every checksum fits, and nothing is left to do
        assert [(answer.slip, answer.hypotheses) for answer in store.answers()] == before


def test_a_damaged_row_is_not_made_good_by_the_migration(tmp_path: Path) -> None:
    path = tmp_path / "answers.db"
    shutil.copyfile(LAYOUT_1, path)
    link = sqlite3.connect(path)
    link.execute("DROP TRIGGER answers_no_update")
    link.execute("UPDATE answers SET typed = 'flipped' WHERE uuid = '000000'")
    link.execute("""CREATE TRIGGER answers_no_update BEFORE UPDATE ON answers
    BEGIN SELECT RAISE(ABORT, 'the answers log is append-only'); END""")
    link.commit()
    link.close()
    with Store.open(path) as store:  # the check finds it, and the rest is saved
        assert [answer.uuid for answer in store.answers()] == [f"{n:06d}" for n in range(1, 24)]


def test_rows_saved_from_the_pages_of_an_old_file_have_ids(tmp_path: Path) -> None:
    found = salvage(LAYOUT_1)
    assert {answer.slip for answer in found.answers} == {None, "one-note-off"}
