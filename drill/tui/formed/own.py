"""A practice of one's own as a form: a deck that is written, changed, practised once or kept."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

from drill.decks.build import build
from drill.decks.load import SUFFIX
from drill.decks.mine import keep_deck
from drill.decks.schema import Deck
from drill.errors import FaultsError
from drill.files import file_name
from drill.terms import Instrument
from drill.theory.instruments import INSTRUMENTS, NO_HORN, OWN
from drill.tui.formed.deckdraft import NEW, DeckDraft
from drill.tui.formed.decklists import deck_list
from drill.tui.formed.deckrows import deck_rows
from drill.tui.formed.saving import keep
from drill.tui.practices import ToPractice
from drill.tui.views.form import Row
from drill.tui.ways import Program
from drill.wording.forms import NEW_DECK, kept_told, own_title


class OwnForm:
    """One deck that is being written."""

    said = ""

    def __init__(
        self, program: Program, deck: Deck | None = None, *, for_others: bool = False
    ) -> None:
        """``deck`` is changed; None begins a new one, ``for_others`` a teacher's."""
        self._program = program
        self._draft = DeckDraft(deck)
        if for_others:
            self._draft.put("title", NEW_DECK)
        self._as_kept = self._draft.values
        self.title = NEW_DECK if for_others else own_title(deck.title if deck else None)

    @property
    def unkept(self) -> bool:
        """True where something was changed since it was begun, opened or kept."""
        return self._draft.values != self._as_kept

    def rows(self) -> tuple[Row, ...]:
        own, words = self._own_horn(), self._program.studio.words
        rows = deck_rows(self._draft, words.horn(own) if own else "")
        if self._unnamed:  # a name is typed in its place, not after it
            rows = tuple(replace(row, text="") if row.name == "title" else row for row in rows)
        return rows

    @property
    def _unnamed(self) -> bool:
        """True while a new deck has the name that every new one begins with."""
        return self._draft.path is None and self._draft.get("title") == self._as_kept["title"]

    def turn(self, name: str, by: int) -> None:
        self._draft.turn(name, by)

    def put(self, name: str, text: str) -> None:
        if text or name != "title" or not self._unnamed:
            self._draft.put(name, text)

    def press(self, name: str) -> str | None:
        if name not in ("once", "keep"):
            value = self._draft.get("instrument", OWN)
            horn = self._own_horn() if value == OWN else INSTRUMENTS.get(str(value))
            studio, back = self._program.studio, self._program.back
            self._program.go(deck_list(name, self._draft, horn, studio, back))
            return None
        try:
            deck = self._draft.deck()
        except FaultsError as error:
            return error.faults[0].message
        if name == "keep":
            return self._keep(deck)
        self._program.go(ToPractice(self._program.studio.context.opened(deck)))
        return None

    def _keep(self, deck: Deck) -> str | None:
        """Write it to the player's own folder; one that is another deck's is asked for first."""
        folder, here = self._program.studio.context.folders[0], self._draft.path
        mine = here if here is not None and here.parent == folder else None
        path = mine or folder / f"{here.stem if here else file_name(deck.title) or 'deck'}{SUFFIX}"
        write = partial(self._written, deck)
        return keep(self, self._program, path, mine, write)

    def _written(self, deck: Deck, path: Path) -> str:
        keep_deck(path, deck)
        self._program.studio.choose(path)
        self._draft.path = path
        self._as_kept = self._draft.values
        return kept_told(path.stem)

    def _own_horn(self) -> Instrument | None:
        """The player's own horn; None where none is named."""
        horn = self._program.studio.context.opened(build(NEW, "deck")).horn
        return None if horn == NO_HORN else horn
