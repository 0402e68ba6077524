"""What ids are called: a slip, a note's marking.  Ids are kept in logs and files, labels shown."""

from __future__ import annotations

from drill.marking.verdict import Outcome, Slip

_SLIPS = {
    Slip.UNREADABLE: "not readable",
    Slip.UNANSWERED: "not answered",
    Slip.NAME: "right sound, wrong name",
    Slip.CONCERT: "concert pitch",
    Slip.OCTAVE: "wrong octave",
    Slip.DIRECTION: "wrong direction",
    Slip.DEGREE: "wrong degree",
    Slip.BACKWARDS: "backwards",
    Slip.SWAPPED: "two notes swapped",
    Slip.STOPPED: "stopped early",
    Slip.RAN_ON: "ran on",
    Slip.SIGNATURE: "signature forgotten",
    Slip.ALTERATION: "accidental forgotten",
    Slip.B_OR_H: "B or H",
    Slip.NEIGHBOUR: "another signature",
    Slip.OTHER_KEY: "another key",
    Slip.SHAPE: "another shape",
    Slip.LETTER: "one note off",
    Slip.MIXTURE: "another mode",
    Slip.UNEXPLAINED: "wrong",
}

_OUTCOMES = {
    Outcome.RIGHT: "right",
    Outcome.NAME: "right sound, wrong name",
    Outcome.WRONG: "wrong",
    Outcome.MISSING: "missing",
    Outcome.EXTRA: "too many",
}


def slip_label(slip: str) -> str:
    """What a player calls a slip: ``signature forgotten``; the id of one that a later version
    wrote into the log, as it stands."""
    try:
        return _SLIPS[Slip(slip)]
    except ValueError:
        return slip


def outcome_label(outcome: Outcome) -> str:
    """How one note was answered."""
    return _OUTCOMES[outcome]
