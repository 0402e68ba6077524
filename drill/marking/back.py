"""The other way round: which key, which degree, which concert key, which signature.

The answer is a key, a degree or a signature and not a cell; the marking is the
same: right, right sound with another name, or wrong, with the slip named.
"""

from __future__ import annotations

import re
from dataclasses import replace
from enum import StrEnum

from drill.decks.schema import AskKind
from drill.errors import TheoryError
from drill.marking.different import different_unanswered, mark_different
from drill.marking.facts import Keyed, OnOther
from drill.marking.question import Question
from drill.marking.read import read
from drill.marking.typed import Problem, Unread
from drill.marking.verdict import Hypothesis, Marked, Outcome, Slip, Verdict, missed, unread
from drill.terms import Instrument, Key, Name
from drill.theory.cells import LARGEST_DEGREE
from drill.theory.keys import concert_key, written_key
from drill.theory.language import Language
from drill.theory.names import read_name
from drill.theory.scales import SCALES, signature, signature_names
from drill.theory.spelling import moved
from drill.theory.symbols import Symbol, read_kind, read_symbol


class Back(StrEnum):
    """What is asked about a cell or a key that is shown or heard."""

    KEY = AskKind.KEY.value
    """Which key has this cell on this degree?"""
    WHICH_DEGREE = AskKind.WHICH_DEGREE.value
    """On which degree does this cell stand?"""
    CONCERT = AskKind.CONCERT.value
    """Which concert key sounds when the horn reads this key?"""
    WRITTEN = AskKind.WRITTEN.value
    """Which key does the horn read for this concert key?"""
    SIGNATURE = AskKind.SIGNATURE.value
    """Which sharps or flats does this key have?"""
    DIFFERENT = AskKind.DIFFERENT.value
    """The cell is heard twice: which note was different the second time?"""
    CHORD = AskKind.CHORD.value
    """Which chord are these notes?  A symbol is typed."""


def about_a_cell(back: Back) -> bool:
    """Whether the question is about a cell; else it is about a key alone."""
    return back in (Back.KEY, Back.WHICH_DEGREE, Back.DIFFERENT, Back.CHORD)


def mark_back(question: Question, back: Back, text: str, language: Language) -> Verdict:
    """The verdict on an answer to such a question; an unreadable one is never raised."""
    if back is Back.DIFFERENT:
        return mark_different(question, text, language)
    language = _letters(language)
    match back:
        case Back.WHICH_DEGREE:
            return _mark_degree(question, text)
        case Back.SIGNATURE:
            return _mark_signature(question, text, language)
        case Back.KEY:
            return _mark_tonic(question, back, text, language, (question.run.key.tonic,))
        case Back.CONCERT:
            return _mark_tonic(question, back, text, language, _concert_names(question))
        case Back.WRITTEN:
            return _mark_tonic(question, back, text, language, _written_names(question))
        case Back.CHORD:
            return _mark_chord(question, text, language)


def back_unanswered(question: Question, back: Back, language: Language) -> Verdict:
    """The verdict where the player asks to see the answer."""
    if back is Back.DIFFERENT:
        return different_unanswered(question)
    return missed((Marked(None, wanted(question, back), Outcome.MISSING),), Slip.UNANSWERED)


def wanted(question: Question, back: Back) -> str:
    """The right answer as it is kept in a verdict: in ASCII English, ``none`` for no signature."""
    match back:
        case Back.KEY:
            return str(question.run.key.tonic)
        case Back.CONCERT:
            return str(concert_of(question).tonic)
        case Back.WRITTEN:
            return str(written_of(question).tonic)
        case Back.SIGNATURE:
            names = signature_names(signature(question.run.key))
            return " ".join(map(str, names)) or "none"
        case Back.DIFFERENT:
            return str(question.altered.place + 1) if question.altered else ""
        case Back.WHICH_DEGREE:
            return question.cell.label
        case Back.CHORD:
            return question.cell.symbol


def _letters(language: Language) -> Language:
    """The language of tonics: in movable do every tonic is do, so that letters name keys."""
    return Language.ENGLISH if language is Language.MOVABLE else language


def concert_of(question: Question) -> Key:
    """The concert key that sounds, as it is usually named."""
    return question.concert or concert_key(question.run.key, question.horn)


def _concert_names(question: Question) -> tuple[Name, ...]:
    """The usual concert tonic, then the strict one."""
    key = question.run.key
    strict = _strict(key.tonic, question.horn, 1)
    return tuple(dict.fromkeys((concert_of(question).tonic, strict)))


def written_of(question: Question) -> Key:
    """The key that the horn reads, as it is usually named."""
    return written_key(concert_of(question), question.horn)


def _written_names(question: Question) -> tuple[Name, ...]:
    """The usual written tonic, then the question's own and the strict one."""
    strict = _strict(concert_of(question).tonic, question.horn, -1)
    usual = written_of(question).tonic
    return tuple(dict.fromkeys((usual, question.run.key.tonic, strict)))


def _strict(tonic: Name, horn: Instrument | None, way: int) -> Name:
    if horn is None:
        return tonic
    return moved(tonic, way * horn.steps, way * horn.semitones)


def _mark_tonic(
    question: Question, back: Back, text: str, language: Language, right: tuple[Name, ...]
) -> Verdict:
    """A tonic; the scale may follow it and is not needed."""
    reading = read(_tonic_alone(text, question.run.key.scale), language)
    if reading.problem is not None:
        return unread(reading.problem)
    if len(reading.notes) != 1:
        return unread(Problem(Unread.ONE_KEY))
    got, want = reading.notes[0].name, right[0]
    if got in right:
        mark = Marked(str(got), str(want), Outcome.RIGHT)
        return Verdict(True, (mark,), (), None, usual=got == want)
    if got.pitch_class == want.pitch_class:
        return missed((Marked(str(got), str(want), Outcome.NAME),), Slip.NAME)
    mark = Marked(str(got), str(want), Outcome.WRONG)
    return missed((mark,), *_tonic_slips(question, back, got))


def _tonic_alone(text: str, scale: str) -> str:
    """The tonic of a key as players say it: without ``concert``, ``key of`` and the scale.

    Of a minor key ``g minor`` and ``gm`` will do; the scale asked for is known.
    """
    kind = SCALES[scale]
    before = r"^\s*(concert\s+|the\s+|key\s+of\s+)*"
    plain = re.sub(before, "", text.strip(), flags=re.IGNORECASE)
    minor = "b3" in kind.up
    plainly = ("minor", "min") if minor else ("major", "maj")
    said = [kind.label, kind.name, *kind.aliases, *plainly]
    words = "|".join(re.escape(word) for word in sorted(said, key=len, reverse=True))
    plain = re.sub(rf"[\s-]+({words})\s*$", "", plain, flags=re.IGNORECASE)
    if minor and re.fullmatch(r"[A-Ga-g](#|b|♯|♭|\+)?m", plain):
        plain = plain[:-1]
    return plain


def _tonic_slips(question: Question, back: Back, got: Name) -> tuple[Slip | Hypothesis, ...]:
    key, concert = question.run.key, concert_of(question)
    found: list[Slip | Hypothesis] = []
    if back in (Back.CONCERT, Back.WRITTEN):
        given, way = (key.tonic, 1) if back is Back.CONCERT else (concert.tonic, -1)
        if got == given:
            found.append(Slip.CONCERT)
        elif got.pitch_class == _strict(given, question.horn, -way).pitch_class:
            found.append(Slip.DIRECTION)
        return (*found, Slip.OTHER_KEY)
    other = Key(got, key.scale)
    if abs(signature(other) - signature(key)) == 1:
        found.append(Hypothesis(Slip.NEIGHBOUR, Keyed(other)))
    return (*found, Hypothesis(Slip.OTHER_KEY, Keyed(other)))


_ORDINALS = {
    word: str(number)
    for number, words in enumerate(
        ("1st first i", "2nd second ii", "3rd third iii", "4th fourth iv", "5th fifth v",
         "6th sixth vi", "7th seventh vii", "8th eighth octave"), start=1
    )
    for word in words.split()
}  # fmt: skip


def _mark_degree(question: Question, text: str) -> Verdict:
    want = question.cell.label
    got = _ordinal(text.strip().casefold().removeprefix("on ").removeprefix("the ").strip())
    size = len(SCALES[question.run.key.scale].up)
    if not re.fullmatch(r"[0-9]{1,2}\.{0,2}", got):
        return unread(Problem(Unread.NO_DEGREE, number=size))
    # Names alone do not tell octaves: 8 and 1 are the same tonic, and 7. is 7.
    number, asked = int(got.rstrip(".")), int(want.rstrip("."))
    if not 1 <= number <= max(LARGEST_DEGREE, *(cell.degree for cell in question.run.cells)):
        return unread(Problem(Unread.NO_DEGREE, number=size))
    if (number - asked) % size == 0:
        return Verdict(True, (Marked(got, want, Outcome.RIGHT),), (), None)
    slip = Hypothesis(Slip.DEGREE, OnOther(got))
    return missed((Marked(got, want, Outcome.WRONG),), slip)


def _ordinal(text: str) -> str:
    """A degree in digits, where it was typed as ``3rd``, ``third`` or ``iii``."""
    return _ORDINALS.get(text, text)


_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven")
_COUNT = re.compile(rf"([0-9]|{'|'.join(_NUMBERS)})\s*(#|♯|sharps?|b|♭|flats?)")
_NONE = {"0", "none", "no", "nothing", "no sharps or flats", "no sharps", "no flats", "natural"}


def _mark_signature(question: Question, text: str, language: Language) -> Verdict:
    """A number of sharps or flats, or their names in any order."""
    fifths = signature(question.run.key)
    want = wanted(question, Back.SIGNATURE)
    plain = text.strip().casefold()
    got_fifths: int | None = None
    if plain in _NONE:
        got_fifths = 0
    elif match := _COUNT.fullmatch(plain):
        sharp = match[2][0] in "#♯s"
        count = int(match[1]) if match[1].isdecimal() else _NUMBERS.index(match[1])
        got_fifths = count if sharp else -count
    else:
        reading = read(text, language)
        if reading.problem is not None:
            return unread(replace(reading.problem, or_number=True))
        plain = " ".join(str(note.name) for note in reading.notes)
        typed = {note.name for note in reading.notes}
        for fifth in range(-7, 8):
            if typed == set(signature_names(fifth)):
                got_fifths = fifth
    if got_fifths == fifths:
        return Verdict(True, (Marked(plain, want, Outcome.RIGHT),), (), None)
    mark = Marked(plain, want, Outcome.WRONG)
    if got_fifths is not None and got_fifths == -fifths:
        return missed((mark,), Slip.SIGNS)
    if got_fifths is not None and abs(got_fifths - fifths) == 1:
        return missed((mark,), Slip.NEIGHBOUR)
    return missed((mark,), Slip.SIGNATURE)


_LONGEST_NAME = 12
"""Characters of a note name in any language."""


def _symbol(text: str, language: Language) -> Symbol | None:
    """The chord symbol typed, its root in the player's language: German ``H7`` is a B seventh.

    The longest name that leaves a kind of chord is the root; None where there is none.
    """
    plain = text.strip()
    for end in range(min(len(plain), _LONGEST_NAME), 0, -1):
        root = read_name(plain[:end], language)
        if root is None or "+" in plain[:end]:  # after a root it means augmented
            continue
        rest, slash, bass = plain[end:].rpartition("/")
        under = read_name(bass, language) if slash else None
        kind = f"{rest}/{under}" if under else plain[end:]
        try:
            return read_symbol(f"{root}{kind}")
        except TheoryError:
            continue
    return None


def _mark_chord(question: Question, text: str, language: Language) -> Verdict:
    """A chord symbol in any usual spelling; the bass need not be named.

    The root may have its other name where the chord is right under it, too.
    """
    want = read_symbol(question.cell.symbol)
    got = _symbol(text, language)
    if got is None:
        return unread(Problem(Unread.NO_CHORD))
    # Alterations in another order, or C9sus for C9sus4, make no other chord.
    same_kind = read_kind(got.chord, str(got)) == read_kind(want.chord, str(want))
    if got.root == want.root and same_kind and got.bass in (None, want.bass):
        mark = Marked(str(got), str(want), Outcome.RIGHT)
        return Verdict(True, (mark,), (), None)
    if same_kind and got.root.pitch_class == want.root.pitch_class and got.bass is None:
        mark = Marked(str(got), str(want), Outcome.RIGHT)
        return Verdict(True, (mark,), (), None, usual=False)
    mark = Marked(str(got), str(want), Outcome.WRONG)
    if got.root == want.root:
        return missed((mark,), Slip.INVERSION if same_kind else Slip.QUALITY)
    return missed((mark,), Slip.ROOT)
