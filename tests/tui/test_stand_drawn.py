"""The stand in its rarer states, drawn from fixed values at three sizes."""

from __future__ import annotations

from dataclasses import replace

from test_views_drawn import Draw, drawn
from tui_desk import DECK, prompt_of

from drill.marking.back import Back
from drill.memory.kinds import Kind
from drill.practice.effects import Judge, Prompt
from drill.terms import Direction, Key, Name
from drill.tui.draft import Draft
from drill.tui.views.stand import stand
from drill.tui.views.verdict import Stand
from drill.wording.slips import marker as marker_of
from drill.wording.soundwords import sound_is_off

CONCERT = Key(Name("B", -1), "major")
LONG = DECK.replace('directions = ["up", "down"]', 'span = "full"')
"""Runs over the whole horn."""


def view(prompt: Prompt, text: str = "", **more: object) -> Stand:
    marker = marker_of()
    key, count = prompt.question.run.key, len(prompt.cell.notes)
    reading = marker.read(text, key, count, unfinished=True)
    made = Stand(
        "Two keys", prompt, CONCERT, Draft(text), reading, asked=4, right=3, planned=" of 9"
    )
    return replace(made, **more)  # type: ignore[arg-type]


def test_the_stand() -> None:
    marker = marker_of()

    def judged(prompt: Prompt, text: str) -> Judge:
        return Judge(prompt, marker.mark(prompt.question, text))

    first, fourth = (prompt_of("G", at) for at in (0, 3))
    down = prompt_of("G", 2, Direction.DOWN)
    long = prompt_of("G", 6, deck=LONG)
    turned = replace(fourth, question=replace(fourth.question, back=Back.KEY.value), given=())
    degree = replace(
        fourth, question=replace(fourth.question, back=Back.WHICH_DEGREE.value), given=()
    )
    signature = replace(
        fourth, question=replace(fourth.question, back=Back.SIGNATURE.value), given=()
    )
    run = replace(fourth, kind=Kind.RUN, place=(4, 7), given=())
    ear = replace(fourth, kind=Kind.EAR, sounds=(60, 62), given=(), heard=2)
    slip, right = judged(fourth, "C D Eb C"), judged(fourth, "C D E C")
    problem = "put spaces between notes"
    states = {
        "opening": Stand("Two keys"),
        "first of a run": view(first, "g a "),
        "coming down": view(down, "F"),
        "a long run": view(replace(long, kind=Kind.NEXT), "C D"),
        "more than asked": view(fourth, "C D E F G A B"),
        "right": view(first, last=right),
        "a slip": view(
            replace(fourth, again=True, copies=1, given=fourth.cell.notes), "C D", last=slip
        ),
        "held": view(fourth, last=right, held=True),
        "not read": view(fourth, "ceb", problem=problem),
        "a notice": view(fourth, last=right, notice="no sound: the device is gone"),
        "closing": view(replace(fourth, closing=True)),
        "a run from memory": view(run),
        "by ear": view(ear),
        "by ear, sound off": view(ear, sound_off=sound_is_off("z", ".")),
        "which key": view(turned, "G", last=right),
        "which degree": view(degree, "4"),
        "the signature": view(signature, "1 sharp"),
        "a long answer": view(fourth, "C D E C " * 12),
        "no horn": view(replace(fourth, question=replace(fourth.question, horn=None))),
    }  # fmt: skip
    states_drawn: dict[str, Draw] = {
        k: lambda w, x, y, v=v: stand(v, w, x, y)  # type: ignore[misc]
        for k, v in states.items()
    }
    drawn("views-stand", states_drawn)
