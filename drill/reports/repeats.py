"""What was handed in twice counts once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING

from drill.reports.finding import FileRemark, WhyNot, remark
from drill.reports.reading import ResultsSource
from drill.reports.results import Results
from drill.wording import handing as words

if TYPE_CHECKING:
    from drill.reports.gathering import Found

Read = tuple[ResultsSource, Results]
"""A file with what it says."""


def digest(results: Results) -> str:
    """A digest of which answers they are, whoever handed them in."""
    return sha256("\n".join(answer.uuid for answer in results.answers).encode()).hexdigest()


def without_repeats(good: Sequence[Read]) -> tuple[list[Read], list[FileRemark]]:
    """The files that say something new, the newest first, and what is said of the others."""
    kept: list[tuple[ResultsSource, Results, frozenset[str]]] = []
    remarks: list[FileRemark] = []
    for file, results in good:
        ids = frozenset(answer.uuid for answer in results.answers)
        deck = results.deck.fingerprint, results.horn
        same = [(str(other), theirs) for other, more, theirs in kept
                if (more.deck.fingerprint, more.horn) == deck]  # fmt: skip
        fuller = next((each for each in same if ids <= each[1]), None)
        if fuller is None:
            if same and ids and all(ids.isdisjoint(theirs) for _, theirs in same):
                remarks.append(remark(file, WhyNot.NOTE, words.nothing_in_common(same[0][0])))
            kept.append((file, results, ids))
        elif len(fuller[1]) == len(ids):
            remarks.append(remark(file, WhyNot.DUPLICATE, words.same_answers(fuller[0])))
        else:
            remarks.append(remark(file, WhyNot.OLDER, words.in_newer(fuller[0])))
    return [(file, results) for file, results, _ in kept], remarks


class Copies:
    """Notices the same answers handed in under two names."""

    def __init__(self) -> None:
        self._first: dict[str, tuple[str, str]] = {}

    def check(self, found: Found) -> Found:
        """The student as found, or without a study where all the answers are another's."""
        if found.study is None:
            return found
        copies = []
        for mark, file in found.digests:
            first = self._first.setdefault(mark, (file, found.study.name))
            if first[0] != file:
                copies.append((file, first))
        if not copies:
            return found
        whole = len(copies) == len(found.digests)
        why = WhyNot.COPY if whole else WhyNot.NOTE
        remarks = tuple(
            FileRemark(file, why, words.same_answers(first, name)) for file, (first, name) in copies
        )
        study_left = None if whole else found.study
        return replace(found, study=study_left, remarks=(*found.remarks, *remarks))
