"""The first start: which horn, which keys, how notes are called; then the first prompt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from drill.decks.mine import KnownKeys, Start, horns, keep_my_practice
from drill.errors import DrillError
from drill.terms import Instrument
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.tui.practices import ToPractice
from drill.tui.views.pick import Choice, Pick
from drill.tui.ways import Program, ToAsk, ToPick
from drill.tui.words import Words
from drill.wording.forms import FIRST, clef_told
from drill.wording.settings import language_words


class Starting:
    """Three questions, each with a good answer under Enter; leaving one takes that answer."""

    def __init__(self, program: Program) -> None:
        self._program = program
        studio = program.studio
        self._start = Start(names=studio.context.names_here)
        if studio.wishes.horn.id in INSTRUMENTS:
            self._start = replace(self._start, horn=studio.wishes.horn.id)

    def first(self) -> ToPick:
        """Which horn."""
        rows = horns()
        words = Words(Language.ENGLISH, self._program.studio.glyphs)
        choices = tuple(Choice(each.id, words.horn(each), _read(each)) for each in rows)
        at = next(i for i, each in enumerate(rows) if each.id == self._start.horn)
        return self._question("horn", choices, at, self._horn)

    def _horn(self, taken: str) -> ToPick:
        self._start = replace(self._start, horn=taken)
        choices = tuple(Choice(known, known.words) for known in KnownKeys)
        return self._question("keys", choices, 0, self._keys)

    def _keys(self, taken: str) -> ToPick:
        self._start = replace(self._start, known=KnownKeys(taken))
        here = self._start.names
        languages = (here, *(each for each in Language if each is not here))
        choices = tuple(Choice(each, language_words(each)) for each in languages)
        return self._question("names", choices, 0, self._names)

    def _names(self, taken: str) -> None:
        self._start = replace(self._start, names=Language(taken))

    def _question(
        self,
        name: str,
        choices: tuple[Choice, ...],
        at: int,
        then: Callable[[str], ToPick | None],
    ) -> ToPick:
        """One question; ``then`` takes the answer and gives the next, None after the last."""
        title, about = FIRST[name]
        pick = Pick(title, choices, about, chosen=at)
        default = choices[at].id

        def done(taken: tuple[str, ...]) -> str:
            after = then(taken[0])
            if after is None:
                return self._finish()
            self._program.go(ToAsk(after), instead=True)
            return ""

        return ToPick(pick, done, lambda: done((default,)), "skip")

    def _finish(self) -> str:
        """Keep the answers, and go to the first prompt; what went wrong, where it did."""
        studio = self._program.studio
        desk, start = studio.context.settings, self._start
        try:
            if desk is not None:
                said = desk.put("horn", start.horn) or desk.put("names", start.names.value)
                if said:
                    return said
            path = keep_my_practice(studio.context.folders[0], start.known)
            self._program.follow()
        except DrillError as error:
            return str(error)
        studio.chosen = path
        self._program.go(ToPractice(path), instead=True)
        return ""


def _read(horn: Instrument) -> str:
    """The clef it reads, where it is not the usual one and its name does not tell."""
    return "" if horn.clef == "treble" or "clef" in horn.name else clef_told(horn.clef)
