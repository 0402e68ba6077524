"""Why an answer could not be read, and what to type instead."""

from __future__ import annotations

from drill.marking.typed import Problem, Row, Unread
from drill.terms import Key, Name
from drill.theory.language import Language
from drill.theory.names import foreign, read_name
from drill.wording.sentence import Sentence, joined, prose, row, sentence

_SCRIPTS = {
    "CYRILLIC": "Cyrillic", "GREEK": "Greek", "ARMENIAN": "Armenian", "CHEROKEE": "Cherokee",
    "CJK": "Chinese", "HIRAGANA": "Japanese", "KATAKANA": "Japanese", "HANGUL": "Korean",
    "HEBREW": "Hebrew", "ARABIC": "Arabic",
}  # fmt: skip
NOT_READ = "not read, and not marked"
_LONG = 20
"""Characters of a token that are shown."""


def quoted(token: str) -> str:
    """A token as it may be shown: short, and without anything that a terminal would obey."""
    return repr(token if len(token) <= _LONG else token[:_LONG] + "…")


def foreign_told(token: str, language: Language) -> Sentence:
    """One sentence on a token of another language, ``H is German for B``; empty for none."""
    shown = token.strip()
    if len(shown) == 1:
        shown = shown.upper()
    said = [sentence(f"{label} for ", prose(name)) for label, name in foreign(token, language)]
    return sentence(f"{shown} is ", joined(", ", said)) if said else Sentence()


def problem_told(problem: Problem, language: Language, key: Key | None = None) -> Sentence:
    """The reason in a sentence, in the words of one language of note names.

    ``key`` is what movable do counts from.
    """
    told = _told(problem, language, key)
    if problem.or_place:
        told += f"; or its place, 1 to {problem.or_place}"
    if problem.or_number:
        told += "; or a number: 3 sharps, 2 flats, none"
    return told


def _example(language: Language, key: Key | None) -> Sentence:
    """A name as it is typed, such as B flat; in movable do the tonic."""
    if language is Language.MOVABLE and key is not None:
        return sentence(row((key.tonic,), key))
    return sentence(row((Name("B", -1),)))


def _ways(ways: tuple[Row, ...], key: Key | None) -> Sentence:
    return joined(" or ", (row((note.name for note in way), key) for way in ways))


def _told(  # noqa: C901, PLR0911, PLR0912 - a sentence a reason
    problem: Problem, language: Language, key: Key | None
) -> Sentence:
    shown, example = quoted(problem.token), _example(language, key)
    match problem.why:
        case Unread.NOTHING:
            return sentence("nothing typed: type the notes, such as ", example)
        case Unread.TOO_LONG:
            return sentence(f"more than {problem.number} characters: type the notes of one cell")
        case Unread.KEYS:
            return sentence("keys that are no notes are in the line: type the notes again")
        case Unread.CONTROL:
            code = f"U+{ord(problem.token):04X}"
            return sentence(f"a control character ({code}) is in the line: type it again")
        case Unread.HANGING:
            return sentence(
                f"{shown} has a hyphen after it: a hyphen is not a flat, it stands between notes"
            )
        case Unread.SEVERAL:
            ways = _ways(problem.choices, key)
            return sentence(f"{shown} can be ", ways, ": put spaces between notes")
        case Unread.TOGETHER:
            return _together(problem, language, key)
        case Unread.DEGREES:
            return sentence("type note names, not degrees; for example ", example)
        case Unread.FOREIGN:
            told = foreign_told(problem.token, language)
            return sentence(told, f"; the note names are set to {language.label}")
        case Unread.SCRIPT:
            return _script(problem.token)
        case Unread.SIGN_APART:
            return sentence(f"{shown}: a sharp or flat stands right after its letter")
        case Unread.OCTAVE_APART:
            return sentence(f"{shown}: an octave stands right after the name of its note")
        case Unread.NO_NAME:
            return sentence(
                f"{shown} is not a note name: type names such as ", example, ", with spaces between"
            )
        case _:
            return _of_a_question(problem)


def _of_a_question(problem: Problem) -> Sentence:
    """What the questions other than for a cell ask again."""
    number = problem.number
    match problem.why:
        case Unread.NO_KEY:
            return sentence("movable do needs a key: choose another language of note names")
        case Unread.ONE_KEY:
            example = row((Name("B", -1),))
            return sentence("one key is asked for: type its tonic, such as ", example)
        case Unread.NO_DEGREE:
            return sentence("a degree is asked for: type a digit such as 4")
        case Unread.PLACE:
            return sentence(f"type a place from 1 to {number}, or spell the note")
        case Unread.PLACE_OR_CELL:
            return sentence(
                f"type the place, 1 to {number}, the note you heard there, or the second cell"
            )
        case Unread.NO_CHORD:
            return sentence("a chord is asked for: type its symbol, such as Bbm7 or F#7b9")
        case Unread.TWICE:
            names = (problem.name,) if problem.name else ()
            return sentence(row(names), " stands in the cell more than once: type the place")
        case _:
            return sentence("nothing was altered: hear the cells again")


def _together(problem: Problem, language: Language, key: Key | None) -> Sentence:
    """Notes run together that are one name elsewhere: ``Bb is English: B flat is B here``."""
    ways = _ways(problem.choices, key)
    spaces = sentence("for ", ways, " put spaces between")
    token = problem.token
    english = read_name(token, Language.ENGLISH)
    meant = [(Language.ENGLISH.label, english)] if english else list(foreign(token, language))
    if not meant:
        return sentence(f"{quoted(token)} is not one name: ", spaces)
    label, name = meant[0]
    return sentence(f"{token} is {label}, and ", row((name,), key), " here; ", spaces)


def _script(char: str) -> Sentence:
    """A letter that only looks like one of ours."""
    import unicodedata  # only where such a letter was typed

    script = _SCRIPTS.get(unicodedata.name(char, "").partition(" ")[0], "")
    article = "an" if script[:1] == "A" else "a"
    kind = f"{article} {script} letter" if script else "a letter of another script"
    return sentence(f"{quoted(char)} is {kind}: switch the keyboard to Latin letters")
