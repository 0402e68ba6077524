"""Keys, pitches, horns and chords within a sentence, in the signs of each voice."""

from __future__ import annotations

import pytest

from drill.terms import Note
from drill.theory.instruments import INSTRUMENTS
from drill.theory.language import Language
from drill.theory.scales import parse_key
from drill.wording.sentence import Sentence, chord, figures, horn, pitch, sentence, written
from drill.wording.voice import PLAIN, Script, Voice

ALTO = horn(INSTRUMENTS["alto_sax"])


@pytest.mark.parametrize(
    ("said", "typed", "shown", "spoken"),
    [
        (sentence(pitch(Note("B", -1, 3))), "Bb3", "B♭3", "B flat 3"),
        (written(parse_key("Eb harmonic_minor")), "Eb harmonic minor", "E♭ harmonic minor",
         "E flat harmonic minor"),
        (ALTO, "Alto saxophone in Eb", "Alto saxophone in E♭", "Alto saxophone in E flat"),
        (horn(INSTRUMENTS["tuba"]), "Tuba (C/BBb), bass clef", "Tuba (C/BB♭), bass clef",
         "Tuba (C/BB flat), bass clef"),
        (sentence(figures("1-b3-5-b7")), "1-b3-5-b7", "1-♭3-5-♭7", "1-flat 3-5-flat 7"),
        (sentence(figures("bII7")), "bII7", "♭II7", "flat II7"),
        (sentence(figures("7#5b9")), "7#5b9", "7♯5♭9", "7 sharp 5 flat 9"),
        (sentence(figures("bb7")), "bb7", "♭♭7", "double flat 7"),
        (sentence(figures("sus4")), "sus4", "sus4", "sus4"),
        (chord("Bbm7b5/Fb"), "Bbm7b5/Fb", "B♭m7♭5/F♭", "B flat m7 flat 5/F flat"),
    ],
    ids=lambda part: part if isinstance(part, str) else "",
)  # fmt: skip
def test_a_part_has_the_signs_of_its_voice(
    said: Sentence, typed: str, shown: str, spoken: str
) -> None:
    assert PLAIN.text(said) == typed
    assert Voice(script=Script.SIGNS).text(said) == shown
    assert Voice(script=Script.SPOKEN).text(said) == spoken


def test_a_horn_s_own_name_keeps_its_letters() -> None:
    """An E flat horn is called so in any language."""
    assert Voice(Language.GERMAN).text(ALTO) == "Alto saxophone in Eb"


@pytest.mark.parametrize("id_", list(INSTRUMENTS))
def test_every_horn_as_typed_is_its_name_in_the_table(id_: str) -> None:
    assert PLAIN.text(horn(INSTRUMENTS[id_])) == INSTRUMENTS[id_].name
