"""From a deck to what can be asked: every cell as an item of memory, with its question.

An item is a cell *as spelled*: the same cell in two octaves, on two horns or in two
decks is one item, so that what is known counts once.
"""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass

from drill.decks.schema import Deck
from drill.errors import DataError, TheoryError
from drill.marking.back import Back, about_a_cell
from drill.marking.different import alterations
from drill.marking.question import Altered, AskedBefore, Question
from drill.memory.items import Item
from drill.memory.kinds import TURNED
from drill.terms import Cell, Descent, Direction, Ending, Instrument, Key, Mode, Pattern, Run, Span
from drill.theory.keys import concert_key, sounding_shift, written_key
from drill.theory.runs import build_run
from drill.theory.scales import SCALES, has_signature, scale_of, signature, signature_names
from drill.theory.spelling import moved_note
from drill.wording.decks import left_out, nothing_to_ask
from drill.wording.remarks import run_remarks
from drill.wording.sentence import Sentence


@dataclass(frozen=True, slots=True)
class Entry:
    """One cell that can be asked."""

    item: Item
    run: Run
    index: int
    """Which cell of the run, from 0."""
    back: str = ""
    """A ``marking.back.Back`` where something about the cell or key is asked."""
    alterations: tuple[Altered, ...] = ()
    """Where the note that was different is asked for: the ways to alter one note; else empty."""

    @property
    def cell(self) -> Cell:
        """The cell that is asked."""
        return self.run.cells[self.index]

    @property
    def previous(self) -> Cell | None:
        """The cell played before it; None for the first of the run."""
        return self.run.cells[self.index - 1] if self.index else None


@dataclass(frozen=True, slots=True)
class Syllabus:
    """All that a deck asks, in the deck's own order."""

    deck: Deck
    horn: Instrument
    entries: dict[str, Entry]
    """By item id."""
    runs: tuple[Run, ...]
    left_out: tuple[Sentence, ...]
    """Runs that the horn cannot play at all, a sentence each."""

    @property
    def remarks(self) -> tuple[Sentence, ...]:
        """What had to be left out or changed to fit the horn, a sentence each."""
        changed = (told for run in self.runs for told in run_remarks(run, named=True))
        return tuple(dict.fromkeys((*self.left_out, *changed)))

    @property
    def items(self) -> tuple[Item, ...]:
        """What memory keeps of each entry, in the deck's order."""
        return tuple(entry.item for entry in self.entries.values())

    def question(self, entry: Entry, before: AskedBefore | None = None) -> Question:
        """The entry as the marking sees it; ``before`` is the prompt before."""
        key = entry.run.key
        return Question(entry.run, entry.index, self.horn, before, entry.back, self.concert(key))

    def concert(self, key: Key) -> Key:
        """The concert key of a written key: the one the deck names, where it names one."""
        for own, sounding in zip(self.deck.keys, self.deck.concert_keys, strict=False):
            if own == key:
                return sounding
        return concert_key(key, self.horn)

    def sounding(self, key: Key, cell: Cell) -> tuple[int, ...]:
        """MIDI numbers of what sounds when the horn plays the cell."""
        shift = sounding_shift(key, self.concert(key), self.horn)
        return tuple(moved_note(note, *shift).midi for note in cell.notes)


def shape_id(pattern: Pattern, direction: Direction, clipped: int = 0) -> str:
    """A name for a pattern with its direction: free cells and catalogue cells share it.

    ``clipped`` is the number of octaves after which the run turns back; 0 where it does not.
    """
    parts = [pattern.text.replace(" ", "")]
    if pattern.moves_by != 1:
        parts.append(f"by{pattern.moves_by}")
    if pattern.roots:
        parts.append(",".join(pattern.roots))
    if pattern.groups_of:
        parts.append(f"in{pattern.groups_of}")
    if pattern.led:
        parts.append("led")
    if pattern.functions:
        parts.append("by function")
    if direction is Direction.DOWN:
        parts.append(pattern.descent.value)
    if clipped:
        parts.append("clipped" if clipped == 1 else f"clipped{clipped}")
    return f"{'~'.join(parts)}/{direction.value}"


def _clipped(run: Run, size: int) -> int:
    """The octaves after which a run turns back; 0 where it goes past them or has no octaves."""
    if run.pattern.ending is not Ending.CLIPPED or run.pattern.mode is not Mode.KEY:
        return 0
    if run.span is Span.FULL:
        return 0
    return max(1, -(-(max(cell.degree for cell in run.cells) - 1) // size))


def key_name(key: Key) -> str:
    """What items call a key: ``G:major``."""
    return f"{key.tonic}:{key.scale}"


def item_of(run: Run, index: int) -> Item:
    """The item of memory for a cell of a run."""
    return next(iter(items_of(run, (index,))))


def items_of(run: Run, indexes: Iterable[int]) -> Iterable[Item]:
    """The items of memory for some cells of a run: a deck has thousands, so that what is the
    run's own is said once."""
    key, pattern = run.key, run.pattern
    keyed = pattern.mode is Mode.KEY
    size = len(SCALES[key.scale].up) if keyed else 99
    clipped = _clipped(run, size)
    name = key_name(key)
    shapes = {way: shape_id(pattern, way, clipped) for way in Direction}
    accidentals = min(abs(signature(key)), 7)
    # A cell is the same item wherever its run begins; the runs are not the same.
    ends = (pattern.begin, pattern.finish)
    off = "" if ends == (1, 0) else f":{ends[0]}-{ends[1]}"
    run_id = f"{name}:{shapes[run.direction]}{off}"
    for index in indexes:
        cell = run.cells[index]
        # Octaves of one cell are one item, but for those of a clipped run, where one is turned
        # back and the other is not.  A way down begins on the upper tonic, if it is not the way
        # up read backwards.
        place = cell.degree if clipped > 1 else (cell.degree - 1) % size + 1
        down = cell.direction is Direction.DOWN
        if place == 1 and down and keyed and pattern.descent is not Descent.RETROGRADE:
            place = size + 1
        if pattern.groups_of:
            place = index + 1
        shape = shapes[cell.direction]
        facts = tuple([f"{name}:{note.name}" for note in cell.notes])
        yield Item(f"{name}:{shape}:{place}", name, shape, facts, accidentals, run_id, index)


def back_item(entry: Entry, back: Back) -> Item:
    """The item of a question the other way round: of the cell, or of the key alone."""
    item = entry.item
    subject = item.id if about_a_cell(back) else item.key
    names = signature_names(signature(entry.run.key))
    facts = item.facts if about_a_cell(back) else tuple(f"{item.key}:{name}" for name in names)
    if back is Back.DIFFERENT:
        facts = ()  # nothing is spelled: only the key's own evidence is shared
    shape = f"{TURNED}{back.value}"
    return Item(f"{subject}:{back.value}", item.key, shape, facts, item.accidentals)


def build(deck: Deck, kinds: Iterable[str] = ()) -> Syllabus:
    """Everything the deck asks, spelled and fitted to its horn.

    ``kinds`` are the kinds of prompt that will be asked: those the other way round
    have items of their own; where there are no others, cells are not spelled at all.
    A run that the horn cannot play is left out with a remark; DataError where none is left.
    """
    horn = deck.horn
    limits = deck.compass.limits(horn)
    entries: dict[str, Entry] = {}
    runs: list[Run] = []
    missing: dict[Sentence, None] = {}
    for pattern, key, direction in _tasks(deck):
        try:
            run = build_run(
                key,
                pattern,
                direction,
                span=deck.span,
                horn=horn,
                limits=limits,
                joined=deck.joined,
            )
        except TheoryError as error:
            missing[left_out(pattern, key, direction, error)] = None
            continue
        runs.append(run)
        for item in items_of(run, _asked(deck, run)):
            entries.setdefault(item.id, Entry(item, run, item.place))
    if not entries:
        raise DataError(nothing_to_ask(deck.title, list(missing), runs=bool(runs)))
    asked = _with_back(entries, kinds, horn)
    return Syllabus(deck, horn, asked, tuple(runs), tuple(missing))


def _with_back(
    entries: dict[str, Entry], kinds: Iterable[str], horn: Instrument
) -> dict[str, Entry]:
    """The entries with those the other way round, as far as ``kinds`` asks for them."""
    asked = set(kinds)
    backs = [back for back in Back if back.value in asked]
    if horn.semitones % 12 == 0:  # nothing to transpose
        backs = [back for back in backs if back not in (Back.CONCERT, Back.WRITTEN)]
    keys = {entry.run.key for entry in entries.values()}
    only = bool(backs) and asked <= {back.value for back in Back}
    found = {} if only else dict(entries)
    for entry in entries.values():
        for back in backs:
            if not _can_be_asked(entry, back):
                continue
            if back is Back.WRITTEN and _asked_as_another(entry.run.key, keys, horn):
                continue
            item = back_item(entry, back)
            ways: tuple[Altered, ...] = ()
            if back is Back.DIFFERENT:
                ways = alterations(entry.cell, scale_of(entry.run.key))
                if not ways:
                    continue
            found.setdefault(item.id, Entry(item, entry.run, entry.index, back.value, ways))
    return found or entries


def _can_be_asked(entry: Entry, back: Back) -> bool:
    """Whether the question makes sense of this cell in its key."""
    pattern = entry.run.pattern
    if back is Back.SIGNATURE:  # else nothing is printed that could be asked for
        return has_signature(entry.run.key.scale)
    if not about_a_cell(back):
        return True
    if pattern.groups_of:
        return False  # notes that are grouped across cells stand on no degree of a key
    if back is Back.CHORD:
        return bool(entry.cell.symbol)
    return pattern.mode is Mode.KEY  # nor does a cell on a root of its own


def _asked_as_another(key: Key, keys: Set[Key], horn: Instrument) -> bool:
    """Whether the concert key of a written one is asked of a key that is written more simply:
    D flat and C sharp on alto are one question, concert E."""
    usual = written_key(concert_key(key, horn), horn)
    return usual != key and usual in keys


def _tasks(deck: Deck) -> Iterable[tuple[Pattern, Key, Direction]]:
    for pattern in deck.patterns:
        for key in deck.keys:
            for direction in deck.directions:
                yield pattern, key, direction


def _asked(deck: Deck, run: Run) -> Iterable[int]:
    """The places of the cells that the deck asks."""
    for index, cell in enumerate(run.cells):
        if not deck.degrees or cell.degree in deck.degrees:
            yield index
