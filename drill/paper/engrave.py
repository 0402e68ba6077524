"""The one door to the engraver (verovio) and the page maker (typst): the extra ``print``.

Both are loaded when a page is made, never before.  Words go to the page maker as
data, so that no title or name is ever read as markup.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from importlib import resources
from importlib.util import find_spec
from itertools import pairwise
from typing import Any

from drill.errors import DrillError
from drill.paper.musicxml import allowed, section_text
from drill.paper.score import Score, Section
from drill.terms import Instrument
from drill.wording.paper import MUSIC_UNREAD, engraver_broken, engraver_missing, page_failed

PAPERS = {"a4": ("a4", 210.0, 297.0), "letter": ("us-letter", 215.9, 279.4)}
"""Paper by option: the page maker's name for it, its width and height in millimetres (ISO 216;
letter is 8.5 by 11 inches)."""
MARGIN_MM, TOP_MM, BOTTOM_MM = 15.0, 14.0, 16.0

STAFF_MM = 6.5
"""Height of a staff on a sheet."""
WORKSHEET_STAFF_MM = 7.6
"""Height of a staff that is written on by hand."""
_HAND = 1.5
"""Room that a note written by hand takes, to that of an engraved one."""

_UNITS_PER_MM = 10.0
_UNIT_STAFF = 72.0
"""The engraver's own staff height at its default unit of 9, in its page units."""
_NAMES = ("verovio", "typst")


def line_spaces(paper: str, *, by_hand: bool = False) -> float:
    """Length of a line of music in staff spaces; ``by_hand`` leaves room for a pencil's notes."""
    width = PAPERS[paper][1] - 2 * MARGIN_MM
    if by_hand:
        return width / WORKSHEET_STAFF_MM * 4 / _HAND
    return width / STAFF_MM * 4


def need_engraver() -> None:
    """Raises DrillError, with what to install, where the extra ``print`` is absent."""
    missing = [name for name in _NAMES if find_spec(name) is None]
    if missing:
        raise DrillError(engraver_missing(missing, sys.executable))


@dataclass(frozen=True, slots=True)
class Spacing:
    """White between what stands on a page, in millimetres."""

    group: float
    """Above a pattern's name."""
    above: float
    """Above a key."""
    below: float
    """Below its name."""
    gap: float
    """Between lines of music."""


LOOSE = Spacing(7.0, 4.4, 2.0, 2.8)
CLOSE = Spacing(3.4, 1.5, 0.4, 0.0)
WORKSHEET = Spacing(7.0, 4.4, 2.0, 6.0)
_SURE = 0.96
"""How much of a page is counted on when it is decided whether all of it fits."""
_GROUP_MM, _TITLE_MM, _REMARK_MM = 2.9 + 3.0, 2.6, 3.6
"""Height of a pattern's name with what is below it, of a key's and of a remark's line."""


def _height(one: dict[str, Any], spacing: Spacing, wide: float) -> float:
    """About how high a section is, in millimetres."""
    music = 0.0
    for picture in one["systems"]:
        x, y = _SIZE.search(picture).groups()  # type: ignore[union-attr]  # each picture has one
        music += wide * float(y) / float(x)
    high = spacing.above + _TITLE_MM + spacing.below + _REMARK_MM * len(one["remarks"]) + music
    high += spacing.gap * (len(one["systems"]) - 1)
    return high + (spacing.group + _GROUP_MM if one["group"] else 0.0)


_SIZE = re.compile(r'<svg width="([0-9.]+)px" height="([0-9.]+)px"')


class Engraver:
    """Turns scores into pages.  Raises DrillError where the extra ``print`` is absent."""

    def __init__(self, paper: str = "a4") -> None:
        need_engraver()
        try:
            import typst
            import verovio
        except (ImportError, OSError) as error:  # OSError: a library that does not load
            raise DrillError(engraver_broken(error)) from None
        verovio.enableLog(verovio.LOG_OFF)
        self._typst: Any = typst
        self._toolkit: Any = verovio.toolkit()
        self._paper = paper

    def systems(
        self, section: Section, horn: Instrument | None, staff_mm: float = STAFF_MM
    ) -> tuple[str, ...]:
        """The lines of music of a section, each an SVG picture as wide as the page's text."""
        width = (PAPERS[self._paper][1] - 2 * MARGIN_MM) * _UNITS_PER_MM
        open_ = any(note.open for bar in section.bars for note in bar.notes)
        self._toolkit.setOptions(
            {
                "pageWidth": round(width * _UNIT_STAFF / _UNITS_PER_MM / staff_mm),
                "pageHeight": 100,
                "adjustPageHeight": True,
                "pageMarginTop": 0,
                "pageMarginBottom": 0,
                "pageMarginLeft": 0,
                "pageMarginRight": 0,
                "breaks": "encoded",
                # How full a last line must be to be stretched.  Bars to be filled in are as wide
                # on it as on the others.
                "minLastJustification": 0.0 if open_ else 0.5,
                "header": "none",
                "footer": "none",
                "xmlIdSeed": 1,  # the same page twice is the same bytes
            }
        )
        return tuple(
            picture
            for part in _by_clef(section)
            for picture in self._pictures(section_text(part, horn))
        )

    def _pictures(self, text: str) -> tuple[str, ...]:
        toolkit = self._toolkit
        toolkit.resetXmlIdSeed(1)
        if not toolkit.loadData(text):
            raise DrillError(MUSIC_UNREAD)
        pages = range(1, toolkit.getPageCount() + 1)
        return tuple(toolkit.renderToSVG(page) for page in pages)

    def pdf(self, *scores: Score) -> bytes:
        """The whole sheet as one PDF file; several begin each on a page of its own."""
        made = self._compiled(scores, "pdf")
        return _quiet(made if isinstance(made, bytes) else made[0])

    def svg(self, *scores: Score) -> tuple[bytes, ...]:
        """The sheet as SVG pictures, one for each page; letters are drawn, no font is needed."""
        made = self._compiled(scores, "svg")
        return (made,) if isinstance(made, bytes) else tuple(made)

    def _compiled(self, scores: Sequence[Score], kind: str) -> bytes | list[bytes]:
        template = resources.files("drill.paper").joinpath("page.typ").read_bytes()
        name, _, tall = PAPERS[self._paper]
        page = {
            "paper": name,
            "margin": MARGIN_MM,
            "top": TOP_MM,
            "bottom": BOTTOM_MM,
            "height": tall - TOP_MM - BOTTOM_MM,
            "title": allowed(scores[0].title),
            "parts": [self._part(score) for score in scores],
        }
        try:
            made: bytes | list[bytes] = self._typst.compile(
                template, format=kind, sys_inputs={"page": json.dumps(page)}
            )
        except RuntimeError as error:
            raise DrillError(page_failed(error)) from None
        return made

    def _part(self, score: Score) -> dict[str, Any]:
        """What the template is handed of one sheet; see ``page.typ``."""
        staff = WORKSHEET_STAFF_MM if score.worksheet else STAFF_MM
        sections = self._sections(score.sections, score.horn, staff)
        answers = self._sections(score.answers, score.horn, STAFF_MM)
        loose = WORKSHEET if score.worksheet else LOOSE
        return {
            "spacing": asdict(self._spacing(score, sections, loose)),
            "answer_spacing": asdict(LOOSE),
            "title": allowed(score.title),
            "subtitle": allowed(score.subtitle),
            "tempo": score.tempo or 0,
            "student": allowed(score.student),
            "note": allowed(score.note),
            "teacher": allowed(score.teacher),
            "worksheet": score.worksheet,
            "sections": sections,
            "answers": answers,
        }

    def _spacing(self, score: Score, sections: list[dict[str, Any]], loose: Spacing) -> Spacing:
        """The usual spacing, or the close one where that saves a page."""
        if score.worksheet:
            return loose
        _, wide, tall = PAPERS[self._paper]
        text, room = wide - 2 * MARGIN_MM, (tall - TOP_MM - BOTTOM_MM) * _SURE
        head = 15.0 + 5.0 * bool(score.student) + 5.0 * (score.note.count("\n") + bool(score.note))

        def pages(spacing: Spacing) -> int:
            full, used = 1, head
            for one in sections:
                high = _height(one, spacing, text)
                if used + high > room:
                    full, used = full + 1, 0.0
                used += high
            return full

        return CLOSE if pages(CLOSE) < pages(loose) else loose

    def _sections(
        self, sections: tuple[Section, ...], horn: Instrument | None, staff_mm: float
    ) -> list[dict[str, Any]]:
        groups = {section.group for section in sections}
        found: list[dict[str, Any]] = []
        before = ""
        for section in sections:
            group = section.group if len(groups) > 1 and section.group != before else ""
            before = section.group
            found.append(
                {
                    "group": group,
                    "heading": section.heading,
                    "sounding": section.sounding,
                    "remarks": list(section.remarks),
                    "systems": list(self.systems(section, horn, staff_mm)),
                }
            )
        return found


def _by_clef(section: Section) -> tuple[Section, ...]:
    """The section in parts of one clef each: a part begins a line of music of its own."""
    starts = [0, *(at for at, bar in enumerate(section.bars) if at and bar.clef)]
    parts = []
    for begin, end in pairwise([*starts, len(section.bars)]):
        first = section.bars[begin]
        bars = (replace(first, clef=None), *section.bars[begin + 1 : end])
        parts.append(replace(section, clef=first.clef or section.clef, bars=bars))
    return tuple(parts)


def pages_of(pdf: bytes) -> int:
    """How many pages a PDF file of this page maker has."""
    found = re.search(rb"/Type\s*/Pages\s*/Count\s+(\d+)", pdf)
    return int(found[1]) if found else 1


def _quiet(pdf: bytes) -> bytes:
    """The file without an entry that says nothing and that a common reader complains of.

    Blanks take its place, so that every offset of the file stays.
    """
    entry = b"/Suspects false"
    return pdf.replace(entry, b" " * len(entry))
