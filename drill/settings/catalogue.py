"""The one table of settings: what may be written for each, and what it does.

The reader, the writer, ``drill config`` and the Settings screen all work from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, StrEnum, auto

from drill.memory.kinds import Kind
from drill.settings.values import (
    Color,
    GlyphChoice,
    Motion,
    Overrides,
    Settings,
    Theme,
)
from drill.sound.limits import A4_HIGH, A4_LOW, Backend
from drill.theory.language import Language

PREFIX = "DRILL_"
"""What the environment variables of the program begin with."""
SOUND_VARIABLE = "DRILL_SOUND"
"""Switches sound on and off, and names the backend: the sound room reads it too."""
DECK = "deck"
"""The word that leaves a wish for a practice to the deck."""
NONE = "none"
"""The word that names no horn."""
PRACTICE = "practice"
"""The table of wishes for a practice."""
KEYS = "keys"
"""The table of keys by action id."""


class Shape(Enum):
    """What kind of value a setting takes."""

    FLAG = auto()
    WORD = auto()
    """One word of a closed set."""
    WORDS = auto()
    """A list of such words."""
    WHOLE = auto()
    DECIMAL = auto()
    LINE = auto()
    """A line of text."""
    HORN = auto()
    """An instrument's id or name, or a ``[horn]`` table that describes one."""


@dataclass(frozen=True, slots=True)
class Field:
    """One setting."""

    name: str
    """As commands say it: ``volume``, ``practice.prompts``."""
    shape: Shape
    what: str
    """What it does, for a person; a sentence without its full stop."""
    words: type[StrEnum] | None = None
    """The words of ``WORD`` and ``WORDS``; None for the others."""
    low: int = 0
    high: int = 0
    """The least and the greatest number; the most characters of a ``LINE``."""
    unit: str = ""
    was_number: bool = False
    """Of a ``FLAG``: version 0.1.0 had a number up to ``high``, of which 0 meant no."""
    variable: str = ""
    """The environment variable; empty for the one made from the name."""

    @property
    def table(self) -> str:
        """The table it stands in; empty for the top of the file."""
        return self.name.rpartition(".")[0]

    @property
    def key(self) -> str:
        """Its key in that table."""
        return self.name.rpartition(".")[2]

    @property
    def optional(self) -> bool:
        """Whether it can be left to the deck: None, the word ``deck`` in a file."""
        return self.table == PRACTICE

    @property
    def environment(self) -> str:
        """The environment variable that sets it."""
        return self.variable or PREFIX + self.name.upper().replace(".", "_")

    @property
    def default(self) -> object:
        """What it is where nobody says anything."""
        return value_of(Settings(), self)


def value_of(settings: Settings, field: Field) -> object:
    """What the field is in these settings."""
    owner: Settings | Overrides = settings.practice if field.table == PRACTICE else settings
    value: object = getattr(owner, field.key)
    return value


FIELDS: tuple[Field, ...] = (
    Field(
        "names",
        Shape.WORD,
        "the language of note names: typed, shown and printed",
        Language,
    ),
    Field(
        "glyphs",
        Shape.WORD,
        "the characters drawn; auto takes Unicode where the terminal's encoding is UTF-8",
        GlyphChoice,
    ),
    Field(
        "theme",
        Shape.WORD,
        "the colours of the screens; terminal takes the terminal's own sixteen",
        Theme,
    ),
    Field(
        "color",
        Shape.WORD,
        "whether colour is used; auto uses it on a terminal unless NO_COLOR is set",
        Color,
    ),
    Field("words", Shape.FLAG, "spell notes in words in line mode: G sharp"),
    Field("motion", Shape.WORD, "reduced keeps everything on the screens still", Motion),
    Field(
        "hold",
        Shape.FLAG,
        "after a right answer wait for Enter before the next prompt",
        high=60,
        was_number=True,
    ),
    Field("sound", Shape.FLAG, "sound the right notes after an answer", variable=SOUND_VARIABLE),
    Field("volume", Shape.DECIMAL, "how loud: 1 is full", low=0, high=1, unit="a volume"),
    Field("room", Shape.FLAG, "a little reverberation under the notes"),
    Field(
        "a4",
        Shape.DECIMAL,
        "the pitch of A above middle C in hertz",
        low=int(A4_LOW),
        high=int(A4_HIGH),
        unit="hertz",
    ),
    Field(
        "backend",
        Shape.WORD,
        "the audio library; auto lets the machine decide, silent keeps time without sound",
        Backend,
        variable=SOUND_VARIABLE,
    ),
    Field("in_time", Shape.FLAG, "allow drills in time with the metronome where a deck asks"),
    Field("horn", Shape.HORN, "your own horn, for decks that are for everyone's own"),
    Field(
        "student", Shape.LINE, "the name on results that are handed in", high=60, unit="characters"
    ),
    Field(
        "practice.prompts",
        Shape.WHOLE,
        "prompts in one practice, the closing round among them; 0 for no limit",
        low=0,
        high=100_000,
        unit="prompts",
    ),
    Field(
        "practice.minutes",
        Shape.DECIMAL,
        "minutes to the end of a practice, closing round and all; 0 for no limit",
        low=0,
        high=600,
        unit="minutes",
    ),
    Field(
        "practice.new_keys",
        Shape.WHOLE,
        "new keys opened in one practice at most; 0 opens all at once",
        low=0,
        high=200,
        unit="keys",
    ),
    Field(
        "practice.new_cells",
        Shape.WHOLE,
        "new cells in one practice at most; 0 for none",
        low=0,
        high=1000,
        unit="cells",
    ),
    Field("practice.again", Shape.FLAG, "have a missed cell copied before going on"),
    Field(
        "practice.missed_again",
        Shape.FLAG,
        "ask missed cells once more at the end, in at most a tenth of the practice",
    ),
    Field("practice.kinds", Shape.WORDS, "the kinds of prompt that may be asked", Kind),
)
"""Every setting but the keys, in the order in which they are shown."""

BY_NAME: dict[str, Field] = {each.name: each for each in FIELDS}


def expected(field: Field) -> str:
    """What may be written for a setting, in words: ``hertz, 430 to 450``."""
    said = _expected(field)
    return f"{said}; or {DECK}" if field.optional else said


def _expected(field: Field) -> str:
    match field.shape:
        case Shape.FLAG:
            return "true or false"
        case Shape.WORD:
            return _listed(field, "or")
        case Shape.WORDS:
            return f"some of {_listed(field, 'and')}"
        case Shape.WHOLE | Shape.DECIMAL:
            return f"{field.unit}, {field.low} to {field.high}"
        case Shape.HORN:
            return f"an instrument such as alto_sax, or {NONE}"
        case Shape.LINE:
            return f"text of at most {field.high} {field.unit}"


def _listed(field: Field, last: str) -> str:
    assert field.words is not None  # as the shape asks
    words = [word.value for word in field.words]
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
