"""What was done to a run so that a horn can play it."""

from __future__ import annotations

from collections.abc import Sequence

from drill.terms import Fit, Mode, Remark, Run
from drill.wording.sentence import Sentence, chord, joined, sentence, written


def remark_told(remark: Remark, run: Run) -> Sentence:
    """One thing in a sentence of which the run is the subject."""
    match remark.fit:
        case Fit.BELOW:
            return sentence("begins under the horn's lowest tonic: from there on no cell fits")
        case Fit.MOVED:
            many = abs(remark.octaves)
            far = "an octave" if many == 1 else f"{many} octaves"
            way = "higher" if remark.octaves > 0 else "lower"
            return sentence(f"begins {far} {way} than usual: from there all of it is on the horn")
        case Fit.CLIPPED:
            why = "clipped, it stays within the octave"
            return sentence("leaves out ", _cells(remark.labels, run), f": {why}")
        case Fit.LACKING:
            each = "it" if len(remark.labels) == 1 else "each"
            why = f"the horn lacks a note of {each}"
            return sentence("leaves out ", _cells(remark.labels, run), f": {why}")


def _cells(labels: tuple[str, ...], run: Run) -> Sentence:
    """Cells by what they stand on: degrees in digits, roots and chords by their names."""
    rooted = run.pattern.mode is Mode.ROOT
    said = joined(", ", (chord(label) if rooted else label for label in labels))
    return sentence("the cell on " if len(labels) == 1 else "the cells on ", said)


def run_remarks(run: Run, *, named: bool = False) -> tuple[Sentence, ...]:
    """All that was done, each with the key and the way; ``named`` puts the pattern before."""
    head = sentence(f"{run.pattern.name} in " if named else "", written(run.key))
    return tuple(
        sentence(head, f" {run.direction.value} ", remark_told(each, run)) for each in run.remarks
    )


def remarks_told(remarks: Sequence[Sentence]) -> Sentence:
    """How many there are, and the first."""
    return sentence(f"{len(remarks)} left out or changed: ", remarks[0])


def left_out_told(runs: Sequence[Sentence]) -> Sentence:
    """The run that the horn cannot play; of several, how many and the first."""
    return runs[0] if len(runs) == 1 else sentence(f"{len(runs)} runs left out: ", runs[0])
