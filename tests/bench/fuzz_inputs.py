"""Seeded inputs for the readers: what they should read, mutated, and what nobody would write."""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable, Sequence

ODD = (
    "\0", "\x1b[31m", "\x1b]0;x\x07", "\u202e", "\ufeff", "\u200b", "é", "♯", "♭", "𝄪", "𝄫", "½",
    "٣", "\U0001f3b7", "\ud800", "\r", "\r\n", "\t", "\\", '"', "'", '"""', "'''", "[", "]", "{",
    "}", "(", ")", "=", ",", ".", "-", "#", "b", "x", "9" * 40, "1e999", "nan", "-0", "0x", "%s",
    "../", "/etc/passwd", "~", "$HOME", "`", ";", "|", "&", "<!--", "\x7f", "\x9b", "İ", "ǅ", "ﬀ",
)  # fmt: skip
"""Scraps that have hurt readers of text."""

TOML = (
    "title = ", "instrument = ", "patterns = ", "keys = ", "[[pattern]]\n", "cell = ", "[goal]\n",
    "[practice]\n", "due = 2030-06-14\n", "true", "[", "]", "{}", "a.b.c = 1\n", "[" * 20,
    "a." * 20, "0x" + "f" * 30, "1979-05-27T07:32:00Z", "\\u0000", "\\", '"', "'", "\n", "# c\n",
    "names = ", "volume = ", "[keys]\n", "mute = ", '"f2"', "[practice]\nminutes = ", "a4 = ",
)  # fmt: skip
FIELDS = (
    'scales = ["dorian"]', 'directions = ["up"]', 'span = "full"', "span = 2", "joined = true",
    'range = "standard"', 'range = { low = "C4", high = "A5" }', 'ending = "clipped"',
    "degrees = [5, 6]", "tempo = 66", 'swing = "triplet"', 'articulation = "two-and-two"',
    'note = "Sing it."', "due = 2030-06-14", 'descent = "same-shape"',
    '[practice]\nprompts = 20\nask = ["next", "run"]\nnew_keys = 2\nagain = true',
    "[goal]\nright = 0.85\ndays = 2\ntempo = 72", '[[pattern]]\nname = "ours"\ncell = "u3-l3-1"',
    '[[pattern]]\nname = "chords"\nprogression = "Cmaj7 A7"',
)  # fmt: skip
"""What a deck may have besides what it must have, each in a line or a table."""


def short_decks(rng: random.Random, number: int) -> list[str]:
    """Decks of a few lines, over all fields."""
    made = []
    for _ in range(number):
        more = sorted(rng.sample(FIELDS, 3), key=lambda field: field.startswith("["))
        pattern, key = rng.choice(("thirds", "return3", "1-2-5")), rng.choice(("C", "Eb", "F#"))
        made.append(
            f'title = "T"\ninstrument = "trumpet_bb"\npatterns = ["{pattern}"]\n'
            f'keys = ["{key}"]\n' + "\n".join(more) + "\n"
        )
    return made


CELLS = tuple("1 2 3 4 5 6 7 8 9 15 7. 1' 8 l1 u1 ll1 uu1 b3 #4 bb7 ##1 - , . ' 0 16".split())
NOTES = tuple(
    "C D E F G A B c d e f g a b H h Cis Des Es As B Fisis Eses do ré mi fa sol la si ti bémol "
    "dièse diesis sharp flat double # ## x b bb ♯ ♭ + ^ v ↑ ↓ 𝄪 × Bb F# gabg abba bbb Bbb".split()
)
WORDS = ("quit", "help", "show", "hear", "mute", "?", "q", "z", "1", "12", "next", "C D E C")


def mutated(text: str, rng: random.Random, scraps: Sequence[str], most: int = 4) -> str:
    """The text with a few scraps put in, pieces cut out, doubled or moved."""
    for _ in range(rng.randint(1, most)):
        begin = rng.randint(0, len(text))
        end = min(len(text), begin + int(rng.expovariate(0.2)))
        match rng.randrange(6):
            case 0:
                text = text[:begin] + text[end:]
            case 1:
                text = text[:end] + text[begin:]
            case 2:
                place = rng.randint(0, len(text))
                text = text[:place] + text[begin:end] + text[place:]
            case 3:
                text = text[:begin] + rng.choice(ODD) + text[end:]
            case 4 if begin < len(text):
                text = (
                    text[:begin] + chr(ord(text[begin]) ^ 1 << rng.randrange(7)) + text[begin + 1 :]
                )
            case _:
                text = text[:begin] + rng.choice(scraps) + text[begin:]
    return text


def strung(rng: random.Random, scraps: Sequence[str], most: int, glue: Sequence[str]) -> str:
    """Scraps strung together."""
    parts: list[str] = []
    for _ in range(rng.randint(0, most)):
        parts += (rng.choice(scraps if rng.random() < 0.9 else ODD), rng.choice(glue))
    return "".join(parts)


def toml_texts(
    corpus: Sequence[str], most_bytes: int, most: int = 4
) -> Callable[[random.Random], str]:
    """Texts like the corpus; one in 2,000 is as large as is read, and hostile."""

    def make(rng: random.Random) -> str:
        chance = rng.random()
        if chance < 0.0005:
            return _large(rng, most_bytes)
        if chance < 0.75:
            return mutated(rng.choice(corpus), rng, TOML, most)
        return strung(rng, TOML, 12, ("", "\n", " ", '"x"\n'))

    return make


def _large(rng: random.Random, size: int) -> str:
    piece = rng.choice(
        ("1,", "'G',", "a{}=1\n", '"a{}"=1\n', "a.b.c{}.d=1\n", "[[pattern]]\n", "[t{}]\n", "x=1\n",
         "[],", "\\u0041", "#\n", "x=[\n", "titel{}=1\n", "{{}},", "k{}={{a=1}}\n")
    )  # fmt: skip
    start = rng.choice(
        ("", 'title="t"\n', "x = [", "patterns = [", "keys = [", 'note = "', "x = {")
    )
    body = "".join(piece.format(n) for n in range(size // max(1, len(piece) - 1)))
    return (start + body)[: size - rng.randint(0, 40)]


def cells(rng: random.Random) -> str:
    if rng.random() < 0.001:
        return rng.choice(CELLS) * rng.randint(100, 20_000)
    if rng.random() < 0.3:  # nearly right
        return mutated("-".join(rng.choices(CELLS[:18], k=rng.randint(2, 7))), rng, CELLS, 1)
    return strung(rng, CELLS, 12, ("-", " ", ",", "", "--"))


def notes(rng: random.Random) -> str:
    if rng.random() < 0.001:
        return rng.choice(NOTES) * rng.randint(10, 20_000)
    if rng.random() < 0.3:  # nearly right
        return mutated(" ".join(rng.choices(NOTES[:14], k=rng.randint(2, 7))), rng, NOTES, 1)
    return strung(rng, NOTES, 10, (" ", " ", "", ",", "-", "  "))


def lines(rng: random.Random) -> str:
    if rng.random() < 0.05:
        return rng.choice(WORDS[1:])
    return notes(rng).replace("\n", " ")


def results_files(sound: Sequence[bytes], header: bytes) -> Callable[[random.Random], bytes]:
    """Results files hurt within; most have a checksum that fits what they became."""

    def make(rng: random.Random) -> bytes:
        data = rng.choice(sound)
        _, _, body = data.partition(b"\n")
        if rng.random() < 0.1:
            return mutated(data.decode(), rng, ODD).encode(errors="surrogatepass")
        hurt = bytearray(body)
        for _ in range(rng.randint(1, 4)):
            begin = rng.randrange(len(hurt) + 1)
            end = min(len(hurt), begin + rng.randrange(6))
            scrap = rng.choice(_JSON) if rng.random() < 0.7 else bytes([rng.randrange(256)])
            hurt[begin:end] = scrap
        return header % hashlib.sha256(hurt).hexdigest().encode() + hurt

    return make


_JSON = (
    b"", b"null", b"true", b"[]", b"{}", b"1", b"-1", b"1e999", b"NaN", b'""', b'"\\u0000"', b",",
    b"]", b"}", b"9" * 25, b"[" * 60, b'"\\ud800"', b"\n", b'"x":', b"0.5", b"\\", b'"',
)  # fmt: skip
