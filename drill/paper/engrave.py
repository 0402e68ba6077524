"""The one door to the engraver (verovio) and the page maker (typst): the extra ``print``.

Both are loaded when a page is made, never before.  Words go to the page maker as
data, so that no title or name is ever read as markup.
"""

from __future__ import annotations

import json
from importlib import resources
from importlib.util import find_spec
from typing import Any

from drill.errors import DrillError
from drill.paper.musicxml import allowed, section_text
from drill.paper.score import Score, Section
from drill.terms import Instrument

PAPERS = {"a4": ("a4", 210.0), "letter": ("us-letter", 215.9)}
"""Paper by option: the page maker's name for it, and its width in millimetres (ISO 216; letter is
8.5 inches)."""
MARGIN_MM = 15.0

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
        raise _absent(missing)


def _absent(missing: list[str]) -> DrillError:
    return DrillError(
        f"engraving needs {' and '.join(missing)}: python -m pip install {' '.join(missing)}"
    )


class Engraver:
    """Turns scores into pages.  Raises DrillError where the extra ``print`` is absent."""

    def __init__(self, paper: str = "a4") -> None:
        need_engraver()
        try:
            import typst
            import verovio
        except (ImportError, OSError) as error:  # OSError: a library that does not load
            raise DrillError(f"verovio and typst are installed but do not load: {error}") from None
        verovio.enableLog(verovio.LOG_OFF)
        self._typst: Any = typst
        self._toolkit: Any = verovio.toolkit()
        self._paper = paper

    def systems(
        self, section: Section, horn: Instrument | None, staff_mm: float = STAFF_MM
    ) -> tuple[str, ...]:
        """The lines of music of a section, each an SVG picture as wide as the page's text."""
        width = (PAPERS[self._paper][1] - 2 * MARGIN_MM) * _UNITS_PER_MM
        self._options(
            page_width=width * _UNIT_STAFF / _UNITS_PER_MM / staff_mm,
            # Bars to be filled in are as wide on the last line as on the others.
            last=0.0 if any(note.open for bar in section.bars for note in bar.notes) else 0.5,
        )
        return self._pictures(section_text(section, horn))

    def _options(self, *, page_width: float, last: float = 1.0, natural: bool = False) -> None:
        """``last`` is how full the last line must be for it to be stretched, 0 to 1."""
        self._toolkit.setOptions(
            {
                "pageWidth": round(page_width),
                "pageHeight": 100,
                "adjustPageHeight": True,
                "adjustPageWidth": natural,
                "noJustification": natural,
                "pageMarginTop": 0,
                "pageMarginBottom": 0,
                "pageMarginLeft": 0,
                "pageMarginRight": 0,
                "breaks": "encoded",
                "minLastJustification": last,
                "header": "none",
                "footer": "none",
                "xmlIdSeed": 1,  # the same page twice is the same bytes
            }
        )

    def natural_widths(self, section: Section, horn: Instrument | None) -> tuple[float, ...]:
        """The room that each line of music would take if nothing stretched it, in staff spaces."""
        self._options(page_width=60_000, natural=True)
        pictures = self._pictures(section_text(section, horn))
        widths = []
        for picture in pictures:
            words = picture.split("<svg ", 1)[1].split('width="', 1)[1]
            widths.append(float(words.split("px", 1)[0]) / _UNIT_STAFF * 4)
        return tuple(widths)

    def _pictures(self, text: str) -> tuple[str, ...]:
        toolkit = self._toolkit
        toolkit.resetXmlIdSeed(1)
        if not toolkit.loadData(text):
            raise DrillError("the engraver could not read the music: please report this")
        pages = range(1, toolkit.getPageCount() + 1)
        return tuple(toolkit.renderToSVG(page) for page in pages)

    def pdf(self, score: Score) -> bytes:
        """The whole sheet as one PDF file."""
        made = self._compiled(score, "pdf")
        return made if isinstance(made, bytes) else made[0]

    def svg(self, score: Score) -> tuple[bytes, ...]:
        """The sheet as SVG pictures, one for each page; letters are drawn, no font is needed."""
        made = self._compiled(score, "svg")
        return (made,) if isinstance(made, bytes) else tuple(made)

    def _compiled(self, score: Score, kind: str) -> bytes | list[bytes]:
        template = resources.files("drill.paper").joinpath("page.typ").read_bytes()
        inputs = {"page": json.dumps(self._page(score))}
        try:
            made: bytes | list[bytes] = self._typst.compile(
                template, format=kind, sys_inputs=inputs
            )
        except RuntimeError as error:
            raise DrillError(f"the page could not be made: {_first_line(error)}") from None
        return made

    def _page(self, score: Score) -> dict[str, Any]:
        """What the template is handed; see ``page.typ``."""
        staff = WORKSHEET_STAFF_MM if score.worksheet else STAFF_MM
        return {
            "paper": PAPERS[self._paper][0],
            "margin": MARGIN_MM,
            "title": allowed(score.title),
            "subtitle": allowed(score.subtitle),
            "note": allowed(score.note),
            "teacher": allowed(score.teacher),
            "worksheet": score.worksheet,
            "gap": 6.0 if score.worksheet else 2.8,
            "sections": self._sections(score.sections, score.horn, staff),
            "answers": self._sections(score.answers, score.horn, STAFF_MM),
        }

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


def _first_line(error: Exception) -> str:
    return (str(error).strip().splitlines() or ["no reason given"])[0]
