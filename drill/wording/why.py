"""Why a cell is asked, in two sentences: what is known of it, and the rule that chose it."""

from __future__ import annotations

from drill.marking.back import Back
from drill.memory.kinds import Kind
from drill.memory.planner import RETURNS_EVERY, Rule
from drill.memory.why import Why
from drill.shown import counted
from drill.terms import Cell, Run
from drill.theory.scales import key_label
from drill.wording.figures import ago, in_percent
from drill.wording.sentence import going

NOTHING_NEW = (
    "nothing to ask: no cell of this deck was asked before, and it lets no new one in "
    "(new_cells = 0)"
)


began_now = "{}, if a practice began now:".format
"""Of which deck the two sentences are."""


def asked_told(run: Run, cell: Cell, kind: str) -> tuple[str, str]:
    """What the cell and its key are called without the answer being given away."""
    key = key_label(run.key)
    way = going(cell.direction)
    pattern = cell.shape or run.pattern.text
    match kind:
        case Back.KEY:
            return f"A cell of {pattern} {way} whose key you name", "Its key"
        case Back.WHICH_DEGREE:
            return f"A cell of {pattern} {way} in {key} whose degree you name", key
        case Back.WRITTEN:
            return "A question after the written key", "That key"
        case Back.CHORD:
            return f"A chord {way} in {key} that you name", key
        case Back.SIGNATURE:
            return f"The question after the signature of {key}", key
        case Back.CONCERT:
            return f"The question after the concert key of {key}", key
    whole = " (in its whole run)" if kind == Kind.RUN else ""
    return f"The cell on {cell.called} of {pattern} {way} in {key}{whole}", key


def why_told(why: Why, cell: str, key: str) -> tuple[str, str]:
    """Two sentences for a player, with the caller's names for the cell and the key."""
    return _known(why, cell), f"{_chance(why, key)}; {_rule(why)}."


def _known(why: Why, cell: str) -> str:
    if why.turns is None or why.days_away is None:
        return f"{cell} is new: it has not been asked yet."
    return (
        f"{cell} was asked {_times(why.asked)} with {_slips(why.slips)}, "
        f"last {counted(why.turns, 'prompt')} back, {ago(why.days_away)}."
    )


def _chance(why: Why, key: str) -> str:
    seen = f"{key} is new too"
    if why.key_asked:
        seen = f"{key} had {_slips(why.key_slips)} in {counted(why.key_asked, 'answer')}"
    chance = in_percent(why.recall)
    if why.aim_recall is not None:
        chance += f" ({in_percent(why.aim_recall)} on the day)"
    return f"{seen}, and the chance that you have the cell now is about {chance}"


def _rule(why: Why) -> str:
    """What chose it, and nothing else."""
    waiting = ""
    if why.waiting:
        turn = "waits its turn" if why.waiting == 1 else "wait their turn"
        waiting = f", while {counted(why.waiting, 'new cell')} {turn}"
    largest = "the largest chance of error times its wait and its notes' wait"
    if why.notes_missed:
        largest += f" ({in_percent(why.notes_missed)} of them missed last time)"
    match why.rule:
        case Rule.RETURN:
            return (
                "you missed it when it was last asked, in an earlier practice, and one prompt in "
                f"{RETURNS_EVERY} belongs to such cells"
            )
        case Rule.FIRST:
            return (
                "it is a first meeting, easy keys first; its turn among the "
                f"{counted(why.among, 'cell')} that may be asked now was drawn by lot, weighted by "
                f"its chance of error{waiting}"
            )
        case Rule.KNOWN:
            return (
                f"no new cell may come now, and of the {counted(why.among, 'cell')} asked before "
                f"that have rested it has {largest}"
            )
        case Rule.SCORE:
            among = counted(why.among, "cell")
            return f"of the {among} that may be asked now it has {largest}{waiting}"


def _times(number: int) -> str:
    return "once" if number == 1 else f"{number} times"


def _slips(number: int) -> str:
    return "no slip" if number == 0 else counted(number, "slip")
