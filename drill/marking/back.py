"""The other way round: which key, which degree, which concert key, which signature.

The answer is a key, a degree or a signature and not a cell; the marking is the
same: right, right sound with another name, or wrong, with the slip named.
"""

from __future__ import annotations

import re
from enum import StrEnum

from drill.marking.different import different_unanswered, mark_different
from drill.marking.question import Question
from drill.marking.read import read
from drill.marking.verdict import Hypothesis, Marked, Outcome, Slip, Verdict
from drill.terms import Instrument, Key, Name
from drill.theory.keys import concert_key, written_key
from drill.theory.language import Language
from drill.theory.names import show_name
from drill.theory.scales import SCALES, key_label, signature, signature_names
from drill.theory.spelling import moved


class Back(StrEnum):
    """What is asked about a cell or a key that is shown or heard."""

    KEY = "key"
    """Which key has this cell on this degree?"""
    WHICH_DEGREE = "which-degree"
    """On which degree does this cell stand?"""
    CONCERT = "concert"
    """Which concert key sounds when the horn reads this key?"""
    WRITTEN = "written"
    """Which key does the horn read for this concert key?"""
    SIGNATURE = "signature"
    """Which sharps or flats does this key have?"""
    DIFFERENT = "different"
    """The cell is heard twice: which note was different the second time?"""


def about_a_cell(back: Back) -> bool:
    """Whether the question is about a cell; else it is about a key alone."""
    return back in (Back.KEY, Back.WHICH_DEGREE, Back.DIFFERENT)


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


def back_unanswered(question: Question, back: Back, language: Language) -> Verdict:
    """The verdict where the player asks to see the answer."""
    if back is Back.DIFFERENT:
        return different_unanswered(question, language)
    language = _letters(language)
    names = signature_names(signature(question.run.key))
    want = {
        Back.KEY: show_name(question.run.key.tonic, language),
        Back.WHICH_DEGREE: question.cell.label,
        Back.CONCERT: show_name(concert_of(question).tonic, language),
        Back.WRITTEN: show_name(question.run.key.tonic, language),
        Back.SIGNATURE: " ".join(show_name(name, language) for name in names) or "none",
    }[back]
    return _wrong(Marked(None, want, Outcome.MISSING), Hypothesis(Slip.UNANSWERED, f"it is {want}"))


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


def _written_names(question: Question) -> tuple[Name, ...]:
    """The written tonic that is recommended, then the strict one and the deck's own."""
    concert = concert_of(question)
    strict = _strict(concert.tonic, question.horn, -1)
    own = question.run.key.tonic
    return tuple(dict.fromkeys((written_key(concert, question.horn).tonic, own, strict)))


def _strict(tonic: Name, horn: Instrument | None, way: int) -> Name:
    if horn is None:
        return tonic
    return moved(tonic, way * horn.steps, way * horn.semitones)


def _mark_tonic(
    question: Question, back: Back, text: str, language: Language, right: tuple[Name, ...]
) -> Verdict:
    """A tonic; the scale may follow it and is not needed."""
    label = SCALES[question.run.key.scale].label
    reading = read(_tonic_alone(text, question.run.key.scale), language)
    if not reading.readable or len(reading.notes) != 1:
        return _unread(reading.problem or "one key is asked for: type its tonic, such as Bb")
    got, want = reading.notes[0].name, right[0]
    shown = f"{show_name(want, language)} {label}"
    if got in right:
        say = "right" if got == want else f"right; usually written {shown}"
        return Verdict(True, (Marked(str(got), str(want), Outcome.RIGHT),), (), None, say)
    if got.pitch_class == want.pitch_class:
        found = Hypothesis(Slip.NAME, f"right sound, wrong name: here it is {shown}")
        return _wrong(Marked(str(got), str(want), Outcome.NAME), found)
    return _wrong(
        Marked(str(got), str(want), Outcome.WRONG), *_tonic_slips(question, back, got, shown)
    )


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


def _tonic_slips(question: Question, back: Back, got: Name, shown: str) -> tuple[Hypothesis, ...]:
    key, concert = question.run.key, concert_of(question)
    found = []
    if back in (Back.CONCERT, Back.WRITTEN):
        given, way = (key.tonic, 1) if back is Back.CONCERT else (concert.tonic, -1)
        if got == given:
            found.append(Hypothesis(Slip.CONCERT, f"not transposed: it is {shown}"))
        elif got.pitch_class == _strict(given, question.horn, -way).pitch_class:
            found.append(
                Hypothesis(Slip.DIRECTION, f"transposed the other way round: it is {shown}")
            )
    other = Key(got, key.scale) if back is Back.KEY else None
    if other and abs(signature(other) - signature(key)) == 1:
        say = f"one sharp or flat away: it is {shown}"
        found.append(Hypothesis(Slip.NEIGHBOUR, say, instead=other))
    return (*found, Hypothesis(Slip.OTHER_KEY, f"another key: it is {shown}", instead=other))


def _mark_degree(question: Question, text: str) -> Verdict:
    want = question.cell.label
    got = _ordinal(text.strip().casefold().removeprefix("on ").removeprefix("the ").strip())
    if not re.fullmatch(r"[0-9]{1,2}\.{0,2}", got):
        return _unread("a degree is asked for: type a digit such as 4")
    # Names alone do not tell octaves: 8 and 1 are the same tonic, and 7. is 7.
    size = len(SCALES[question.run.key.scale].up)
    number, asked = int(got.rstrip(".")), int(want.rstrip("."))
    right = number > 0 and (number - asked) % size == 0
    if right:
        return Verdict(True, (Marked(got, want, Outcome.RIGHT),), (), None, "right")
    slip = Hypothesis(Slip.DEGREE, f"it stands on {want}, not on {got}")
    return _wrong(Marked(got, want, Outcome.WRONG), slip)


_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii")
_WORDS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def _ordinal(text: str) -> str:
    """A degree in digits, where it was typed as ``3rd``, ``third`` or ``iii``."""
    if text in _ROMAN:
        return str(_ROMAN.index(text) + 1)
    if text in _WORDS:
        return str(_WORDS.index(text) + 1)
    return re.sub(r"^([0-9]{1,2})(st|nd|rd|th)$", r"\1", text)


_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven")
_COUNT = re.compile(rf"([0-9]|{'|'.join(_NUMBERS)})\s*(#|♯|sharps?|b|♭|flats?)")
_NONE = {"0", "none", "no", "nothing", "no sharps or flats", "no sharps", "no flats", "natural"}


def _mark_signature(question: Question, text: str, language: Language) -> Verdict:
    """A number of sharps or flats, or their names in any order."""
    key = question.run.key
    fifths = signature(key)
    names = signature_names(fifths)
    want = " ".join(show_name(name, language) for name in names) or "none"
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
        if not reading.readable:
            return _unread(f"{reading.problem}; or a number: 3 sharps, 2 flats, none")
        plain = " ".join(str(note.name) for note in reading.notes)
        typed = {note.name for note in reading.notes}
        for fifth in range(-7, 8):
            if typed == set(signature_names(fifth)):
                got_fifths = fifth
    if got_fifths == fifths:
        return Verdict(True, (Marked(plain, want, Outcome.RIGHT),), (), None, "right")
    mark = Marked(plain, want, Outcome.WRONG)
    sentence = f"the signature of {_key(key, language)} is {want}"
    if got_fifths is not None and got_fifths == -fifths:
        return _wrong(mark, Hypothesis(Slip.DIRECTION, f"sharps and flats confused: {sentence}"))
    if got_fifths is not None and abs(got_fifths - fifths) == 1:
        return _wrong(mark, Hypothesis(Slip.NEIGHBOUR, f"one off: {sentence}"))
    return _wrong(mark, Hypothesis(Slip.SIGNATURE, sentence))


def _key(key: Key, language: Language) -> str:
    return f"{show_name(key.tonic, language)} {key_label(key).partition(' ')[2]}"


def _unread(problem: str) -> Verdict:
    return Verdict(False, (), (), Slip.UNREADABLE, problem)


def _wrong(mark: Marked, *found: Hypothesis) -> Verdict:
    return Verdict(False, (mark,), (), found[0].slip, found[0].say, found)
