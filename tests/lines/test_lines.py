"""Line mode: transcripts in text and JSON, every word that may be typed, streams that break.

The fields of the JSON are frozen here: scripts read them.
"""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from lines_of import deck, objects, practise
from silent_player import SilentPlayer

from drill.marking.back import Back
from drill.memory.items import Answer
from drill.memory.kinds import Kind
from drill.memory.store import Store
from drill.theory.language import Language

PROMPT = [
    "kind", "number", "id", "instrument", "tonic", "scale", "written_key", "concert_key",
    "pattern", "cell", "descent", "ending", "direction", "degree", "label", "given", "help",
    "again", "closing", "place", "ask", "left", "chosen_by",
]  # fmt: skip
VERDICT = [
    "kind", "id", "again", "right", "notes", "expected", "slip", "hypotheses", "say",
]  # fmt: skip
END = [
    "kind", "asked", "right", "slips", "missed", "enough_for_today", "due_today", "due_tomorrow",
]  # fmt: skip


def right_answers(folder: Path, count: int, **more: Any) -> list[str]:
    """The right answers to the first prompts, found by asking to see each cell."""
    seen = objects(practise(folder, "show\n" * count, json_lines=True, again=False, **more))
    return [
        " ".join(note.rstrip("0123456789") for note in line["expected"])
        for line in seen
        if line["kind"] == "verdict"
    ]


def test_a_transcript_in_text(tmp_path: Path) -> None:
    (answer,) = right_answers(tmp_path / "peek", 1)
    lines = practise(tmp_path / "log", f"{answer}\nquit\n", kinds=(Kind.DEGREE,))
    assert lines[0] == "Few keys: Alto saxophone in Eb. help shows what can be typed."
    assert lines[1] == (
        "note: returning cell in Bb major down begins an octave higher than usual: "
        "from there all of it is on the horn"
    )
    assert lines[2].startswith("1 of 40. ")
    assert lines[3] == "right"
    assert lines[4].startswith("2 of 40. ")
    assert lines[5:] == ["end: 1 of 1 right"]


def test_what_a_prompt_says(tmp_path: Path) -> None:
    of = deck(keys='["G"]', more='directions = ["up"]\ndegrees = [4]')
    lines = practise(tmp_path, "", of=of)
    assert lines[1] == ("1 of 40. G major (1 sharp: F#), 1-2-3-1, going up; the cell on 4:")
    of = deck(keys='["G"]', more='directions = ["down"]\ndegrees = [7]')
    lines = practise(tmp_path / "down", "", of=of, kinds=(Kind.DEGREE,))
    assert lines[1] == (
        "1 of 40. G major (1 sharp: F#), 1-2-3-1, coming down 8-7-6-8 and so on; the cell on 7:"
    )
    of = deck(keys='["Cb"]', patterns='["cln"]', more='directions = ["down"]\ndegrees = [8]')
    lines = practise(tmp_path / "chromatic", "", of=of, kinds=(Kind.DEGREE,))
    assert lines[-2] == (
        "1 of 40. Cb major (7 flats: Bb Eb Ab Db Gb Cb Fb), 1-l1-1, coming down, same shape; "
        "the cell on 8:"
    )


def test_a_wrong_answer_is_explained_and_typed_once_more(tmp_path: Path) -> None:
    of = deck(keys='["G"]', more='directions = ["up"]\ndegrees = [5]')
    typed = "D E F D\nD E F D\nD E F# D\n" + "D E F# D\n" * 7 + "D F\nnext\nD E F# D\n"
    lines = practise(tmp_path, typed, of=of, kinds=(Kind.DEGREE,), prompts=10)
    said = (
        "not right: F natural: the signature of G has F sharp "
        "(that is the signature of C major). The cell is D E F# D"
    )
    prompt = "of 10. G major (1 sharp: F#), 1-2-3-1, going up; the cell on 5:"
    copy = "type the cell on 5 once more: D E F# D"
    assert lines[1:] == [
        f"1 {prompt}", said, copy,
        said, "next goes on without the copy", copy,  # held until it is right
        *(line for n in range(2, 10) for line in ("right", f"{n} {prompt}")),
        "not right: the cell is D E F# D", copy,  # and next goes on
        "10 of 10. once more, G major (1 sharp: F#), 1-2-3-1, going up; the cell on 5:",
        "right",
        "end: 7 of 9 right",
        "  signature forgotten: 1",
        "  wrong: 1",
        "Enough for today: nothing more is due; tomorrow 1 cell is worth asking.",
    ]  # fmt: skip


def test_minutes_that_are_left_are_told_once_a_minute(tmp_path: Path) -> None:
    lines = practise(tmp_path, "show\nnext\n" * 90, again=True, prompts=None, minutes=3)
    told = [line for line in lines if line.endswith("min left") or line == "last minute"]
    assert told == ["3 min left", "2 min left", "last minute"]
    asked = objects(practise(tmp_path / "json", "", json_lines=True, minutes=2))[0]
    assert asked["left"] == {"prompts": 40, "minutes": 2.0}


def test_words_in_place_of_notes(tmp_path: Path) -> None:
    typed = "help\nmute\nMUTE\nhear\nshow\nquit\n"
    player = SilentPlayer(muted=True)
    lines = practise(tmp_path, typed, player=player, kinds=(Kind.DEGREE,))
    text = "\n".join(lines)
    assert "words instead of notes: show" in text
    assert lines[lines.index("sound on") + 1] == "sound off"
    assert "the notes sound after the answer" in lines
    assert any(line.startswith("not right: the cell is") for line in lines)
    assert lines[-2:] == ["end: 0 of 1 right", "  not answered: 1"]
    assert player.muted


def test_a_prompt_by_ear_says_so_where_no_output_can_be_had(tmp_path: Path) -> None:
    player = SilentPlayer()
    player.failed = True
    lines = practise(tmp_path, "quit\n", player=player, kinds=(Kind.EAR,))
    told = "This is asked by ear, and nothing sounds: hear tries again, quit ends"
    assert "by ear" in lines[lines.index(told) - 1]
    assert told not in practise(tmp_path / "seen", "quit\n", player=player, kinds=(Kind.NEXT,))


@pytest.mark.parametrize("word", ["quit", "q", "exit", " Quit "])
def test_ways_to_stop(tmp_path: Path, word: str) -> None:
    assert practise(tmp_path, f"{word}\nC D E C\n")[-1] == "end: 0 of 0 right"
    assert Store.open(tmp_path / "answers.db").count() == 0


def test_by_ear_the_cell_can_be_heard_once_more(tmp_path: Path) -> None:
    player = SilentPlayer()
    lines = practise(
        tmp_path, "hear\nhear\nshow\nquit\n", player=player, kinds=(Kind.EAR,), again=False
    )
    assert "by ear: spell what you hear" in lines[2]
    with Store.open(tmp_path / "answers.db") as store:
        assert [answer.details for answer in store.answers()] == ['{"heard": 3}']


def test_what_was_not_heard_is_not_counted_as_heard(tmp_path: Path) -> None:
    player = SilentPlayer()
    typed = "hear\nmute\nhear\nshow\nquit\n"
    lines = practise(tmp_path, typed, player=player, kinds=(Kind.EAR,), again=False)
    off = "The sound is off: mute turns it on, then hear sounds the cell"
    after = lines[lines.index("sound off") + 1 :]
    assert after[0] == off  # at hear
    assert after[2] == off  # and before what cannot be heard
    assert after[3].startswith("2 of 40. ")
    assert kept(tmp_path)[0].details == '{"heard": 2}'


def test_seconds_run_from_the_first_sight_of_a_prompt(tmp_path: Path) -> None:
    """The clock goes on by a second each time it is read, at the prompt and at its answer: what
    could not be read begins nothing anew, and after a walk no time is kept."""
    plain, unread, walked = tmp_path / "plain", tmp_path / "unread", tmp_path / "walked"
    practise(plain, "show\nquit\n", kinds=(Kind.DEGREE,))
    practise(unread, "??\n??\nshow\nquit\n", kinds=(Kind.DEGREE,))
    practise(walked, "walk\nquit\n??\nshow\nquit\n", kinds=(Kind.DEGREE,))
    once, more = kept(plain)[0].seconds, kept(unread)[0].seconds
    assert once is not None
    assert more is not None
    assert more > once
    assert kept(walked)[0].seconds is None


def kept(folder: Path) -> list[Answer]:
    with Store.open(folder / "answers.db") as store:
        return list(store.answers())


def test_the_end_of_the_input_ends_the_practice(tmp_path: Path) -> None:
    assert practise(tmp_path, "")[-1] == "end: 0 of 0 right"
    # A last line without its line feed is still an answer.
    assert practise(tmp_path, "C", again=False)[-2:] == ["end: 0 of 1 right", "  wrong: 1"]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "not read: nothing typed"),
        ("C D H C", "not read: H is German for B"),
        ("ceb", "not read: 'ceb' can be C E B or C Eb: put spaces between notes"),
        ("\x1b[31m\x07", "not read: a control character"),
        ("x" * 10_000, "not read: more than 400 characters"),
        ("\ufffd\ufffd", "not read: "),
    ],
)
def test_what_cannot_be_read_is_asked_again(tmp_path: Path, typed: str, said: str) -> None:
    lines = practise(tmp_path, f"{typed}\nquit\n")
    (place,) = [n for n, line in enumerate(lines) if line.startswith(said)]
    assert lines[place - 1] == lines[place + 1]  # the same prompt stands
    assert lines[-1] == "end: 0 of 0 right"
    assert all(line.isprintable() for line in lines)
    assert Store.open(tmp_path / "answers.db").count() == 0


def test_a_stream_that_cannot_be_decoded_is_asked_again(tmp_path: Path) -> None:
    raw = io.TextIOWrapper(io.BytesIO(b"\xff\xfe\nquit\n"), encoding="utf-8")
    lines = practise(tmp_path, raw)
    assert any(line.startswith("not read: ") for line in lines)
    assert lines[-1] == "end: 0 of 0 right"


# JSON.


def test_the_fields_of_the_json_are_frozen(tmp_path: Path) -> None:
    seen = objects(practise(tmp_path, "C\nceb\nnext\n", json_lines=True))
    kinds = [line["kind"] for line in seen]
    assert kinds == [
        "prompt", "verdict", "prompt", "verdict", "prompt", "prompt", "end",
    ]  # fmt: skip
    fields = {"prompt": PROMPT, "verdict": VERDICT, "end": END}
    for line in seen:
        assert list(line) == fields[line["kind"]]
    assert list(seen[1]["notes"][0]) == ["typed", "expected", "outcome"]


def test_a_prompt_as_json(tmp_path: Path) -> None:
    of = deck(keys='["G"]', more='directions = ["up"]\ndegrees = [4]')
    (prompt, end) = objects(practise(tmp_path, "", of=of, json_lines=True))
    assert prompt == {
        "kind": "prompt", "number": 1, "id": "G:major:1-2-3-1/up:4", "instrument": "alto_sax",
        "tonic": "G", "scale": "major", "written_key": "G major", "concert_key": "Bb major",
        "pattern": "return3", "cell": "1-2-3-1", "descent": "mirror", "ending": "overrun",
        "direction": "up", "degree": 4, "label": "4", "given": [], "help": "degree",
        "again": False, "closing": False, "place": None, "ask": "the cell on 4",
        "left": {"prompts": 40, "minutes": None}, "chosen_by": "first",
    }  # fmt: skip
    assert end == {
        "kind": "end", "asked": 0, "right": 0, "slips": {}, "missed": [],
        "enough_for_today": False, "due_today": None, "due_tomorrow": None,
    }  # fmt: skip


def test_the_upper_tonic_is_degree_eight_and_the_cell_is_as_played_upward(tmp_path: Path) -> None:
    of = deck(keys='["G"]', more='directions = ["down"]\ndegrees = [8]')
    prompt = objects(practise(tmp_path, "", of=of, json_lines=True))[0]
    assert (prompt["degree"], prompt["cell"], prompt["direction"]) == (8, "1-2-3-1", "down")


def test_a_verdict_as_json(tmp_path: Path) -> None:
    of = deck(keys='["G"]', more='directions = ["up"]\ndegrees = [5]')
    seen = objects(practise(tmp_path, "D E F\nD E F# D\n", of=of, json_lines=True, prompts=1))
    assert seen[1] == {
        "kind": "verdict", "id": "G:major:1-2-3-1/up:5", "again": False, "right": False,
        "notes": [
            {"typed": "D", "expected": "D5", "outcome": "right"},
            {"typed": "E", "expected": "E5", "outcome": "right"},
            {"typed": "F", "expected": "F#5", "outcome": "wrong"},
            {"typed": None, "expected": "D5", "outcome": "missing"},
        ],
        "expected": ["D5", "E5", "F#5", "D5"], "slip": "unexplained",
        "hypotheses": ["unexplained"], "say": "the cell is D E F# D",
    }  # fmt: skip
    assert (seen[2]["again"], seen[2]["given"], seen[2]["number"]) == (
        True, ["D5", "E5", "F#5", "D5"], 1,
    )  # fmt: skip
    assert (seen[3]["again"], seen[3]["right"], seen[3]["slip"]) == (True, True, None)


def test_a_retyped_answer_is_in_the_log_with_the_same_mark(tmp_path: Path) -> None:
    practise(tmp_path, "C\nC\n", json_lines=True)
    with Store.open(tmp_path / "answers.db") as store:
        assert [answer.again for answer in store.answers()] == [False, True]
        assert [answer.kind for answer in store.answers()] == ["degree", "degree"]


def test_a_run_from_memory_is_several_prompts_in_a_row(tmp_path: Path) -> None:
    seen = objects(
        practise(tmp_path, "show\n" * 8, json_lines=True, kinds=(Kind.RUN,), again=False)
    )
    prompts = [line for line in seen if line["kind"] == "prompt"]
    assert [line["place"] for line in prompts[:8]] == [[n, 7] for n in range(1, 8)] + [[1, 7]]
    assert len({(line["tonic"], line["direction"]) for line in prompts[:7]}) == 1
    assert {line["degree"] for line in prompts[:7]} in ({*range(1, 8)}, {*range(2, 9)})


def test_the_same_seed_and_answers_give_the_same_transcript(tmp_path: Path) -> None:
    typed = "show\nC D E C\nF# G\nceb\nG A B G\n" * 5
    for json_lines in (False, True):
        one, two = (
            practise(tmp_path / f"{name}{json_lines}", typed, json_lines=json_lines, seed=9)
            for name in "ab"
        )
        assert one == two
    assert practise(tmp_path / "c", typed, seed=10) != practise(tmp_path / "d", typed, seed=9)


# The other way round.


def test_a_question_the_other_way_round_does_not_tell_its_answer(tmp_path: Path) -> None:
    of = deck(keys='["G"]', more='directions = ["up"]\ndegrees = [4]')
    seen = objects(practise(tmp_path, "show\n", of=of, json_lines=True, kinds=("key",)))
    prompt = seen[0]
    assert prompt["ask"] == "C D E C is 1-2-3-1 up on 4 of which major key?"
    assert "G" not in json.dumps({**prompt, "ask": ""}).replace("alto_sax", "")
    assert seen[1]["say"] == "it is G"
    assert seen[1]["id"] == prompt["id"]


def test_names_and_words(tmp_path: Path) -> None:
    of = deck(keys='["Bb"]', more='directions = ["up"]\ndegrees = [3]')
    lines = practise(
        tmp_path / "a", "D E F D\n", of=of, language=Language.GERMAN, prompts=1, kinds=(Kind.NEXT,)
    )
    assert lines[1] == (
        "1 of 1. B major (2 flats: B Es), 1-2-3-1, going up; before it C D Es C; "
        "the next cell, on 3:"
    )
    assert lines[2] == (
        "not right: E: the signature of B has Es (that is the signature of F major). "
        "The cell is D Es F D"
    )
    lines = practise(tmp_path / "b", "show\n", of=of, words=True, prompts=1, kinds=(Kind.NEXT,))
    assert lines[1:4] == [
        (
            "1 of 1. B flat major (2 flats: B flat, E flat), 1-2-3-1, going up; "
            "before it C, D, E flat, C; the next cell, on 3:"
        ),
        "not right: the cell is D, E flat, F, D",
        "type the cell on 3 once more: D, E flat, F, D",
    ]
    lines = practise(
        tmp_path / "j", "show\n", of=of, words=True, prompts=1, kinds=(Kind.NEXT,), json_lines=True
    )
    assert objects(lines)[1]["say"] == "the cell is D, E flat, F, D"
    lines = practise(
        tmp_path / "c",
        "mi fa sol mi\n",
        of=of,
        language=Language.MOVABLE,
        prompts=1,
        kinds=(Kind.NEXT,),
    )
    assert lines[1].endswith("before it re mi fa re; the next cell, on 3:")
    assert lines[2] == "right"


def test_a_run_from_memory_in_root_mode_names_its_roots(tmp_path: Path) -> None:
    of = deck(keys='["Bb"]', patterns='["chord-m7b5"]', more='directions = ["up"]')
    lines = practise(tmp_path, "", of=of, language=Language.GERMAN, kinds=(Kind.DEGREE,))
    assert lines[1].endswith("1-b3-b5-b7, going up; Bm7b5, 1-b3-b5-b7:")


def test_a_right_answer_is_held_until_enter_where_that_is_wished(tmp_path: Path) -> None:
    (answer,) = right_answers(tmp_path / "peek", 1)
    typed = f"{answer}\n\nquit\n"
    lines = practise(tmp_path / "log", typed, kinds=(Kind.DEGREE,), hold=True)
    assert lines[3:5] == ["right", "enter goes on"]
    assert lines[5].startswith("2 of 40. ")
    assert lines[6:] == ["end: 1 of 1 right"]
    left = practise(tmp_path / "left", f"{answer}\nquit\n", kinds=(Kind.DEGREE,), hold=True)
    assert left[4:] == ["enter goes on", "end: 1 of 1 right"]
    wrong = practise(tmp_path / "other", "c c c c\nquit\n", kinds=(Kind.DEGREE,), hold=True)
    assert "enter goes on" not in wrong
    told = objects(practise(tmp_path / "json", f"{answer}\n", json_lines=True, hold=True))
    assert [row["kind"] for row in told][:3] == ["prompt", "verdict", "prompt"]


def test_a_walk_is_offered_at_the_first_meeting_and_goes_through_the_run(tmp_path: Path) -> None:
    of = deck(keys='["C"]', more='directions = ["up"]')
    run = ["C D E C", "D E F D", "E F G E", "F G A F", "G A B G", "A B C A", "B C D B"]
    typed = "\n".join(["walk", *run * 3, "quit"])
    lines = practise(tmp_path, typed, of=of, offers=True)
    assert lines[1] == "new: 1-2-3-1 going up; walk goes through the whole run first"
    asked = lines[2]
    assert lines[3:6] == [
        "walk 1 of 3, the whole run, to be read: C major, 1-2-3-1, going up",
        " | ".join(run),
        "cell 1 of 7: the cell on 1: C D E C",
    ]
    half = lines.index("walk 2 of 3, every other cell covered: C major, 1-2-3-1, going up")
    covered = "C D E C | - - - | E F G E | - - - | G A B G | - - - | B C D B"
    assert lines[half + 1 : half + 5] == [
        covered, "cell 1 of 7: the cell on 1: C D E C", "right", "cell 2 of 7: the cell on 2:",
    ]  # fmt: skip
    assert " | ".join(["- - -"] * 7) in lines
    assert lines[-3:] == ["end of the walk: 21 of 21 right", asked, "end: 0 of 0 right"]


def test_a_walk_as_json(tmp_path: Path) -> None:
    of = deck(keys='["C"]', more='directions = ["up"]\ndegrees = [1, 2]')
    seen = objects(practise(tmp_path, "walk\nC D E C\n", of=of, json_lines=True))
    assert seen[1]["help"] == "walk"
    assert seen[1]["walk"] == {
        "stage": 1, "page": [["C4", "D4", "E4", "C4"], ["D4", "E4", "F4", "D4"]],
    }  # fmt: skip
    assert [row["kind"] for row in seen[-3:]] == ["walked", "prompt", "end"]  # one practice ends
    assert (seen[-3]["asked"], seen[-3]["right"], seen[-1]["asked"]) == (1, 1, 0)


def test_show_and_next_say_where_they_belong(tmp_path: Path) -> None:
    lines = practise(tmp_path, "next\nshow\nshow\nnext\nquit\n", kinds=(Kind.DEGREE,))
    first = lines[2]
    assert lines[3:5] == ["show shows the cell; next goes on where a copy stands", first]
    copy = lines[6]
    assert copy.startswith("type the cell on ")
    assert lines[7:9] == ["next goes on without the copy", copy]
    assert lines[9].startswith("2 of 40. ")


def test_a_walk_is_refused_where_no_run_stands(tmp_path: Path) -> None:
    lines = practise(tmp_path, "walk\nquit\n", kinds=(Back.SIGNATURE,))
    assert lines[-3] == "there is no run to walk here: it is walked from a cell asked by itself"
    assert lines[-4] == lines[-2]


def test_a_deck_that_lets_nothing_new_in_says_so(tmp_path: Path) -> None:
    of = deck(more="[practice]\nnew_cells = 0")
    lines = practise(tmp_path, "C\n", of=of)
    assert lines[-2] == "end: 0 of 0 right"
    assert lines[-1].startswith("drill: nothing to ask: no cell of this deck was asked before")
