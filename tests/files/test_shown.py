"""What comes from elsewhere is spelled out before it is printed."""

from __future__ import annotations

import json
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drill.shown import first_harmful, harmless, in_cells, is_harmful, printable

HOSTILE = {
    "an escape sequence": "\x1b]0;x\x07",
    "C1": "\x9b31m",
    "a next line": "\x85",
    "right to left": "\u202e",
    "zero width": "\u200b\u200d\ufeff\u2060",
    "a soft hyphen": "\u00ad",
    "tags": "\U000e0041\U000e007f",
    "a filler": "\u3164",
    "half a character": "\ud800",
    "a line's end": "\u2028",
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_what_acts_or_hides_is_spelled_out(text: str) -> None:
    assert first_harmful(text) == text[0]
    for made in (harmless(f"a{text}b"), printable(f"a{text}b")):
        assert first_harmful(made) is None
        assert made.startswith("a\\")


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_in_cells_it_stays_as_wide_as_it_was(text: str) -> None:
    made = in_cells(f"a{text}b")
    assert len(made) == len(text) + 2
    assert first_harmful(made) is None


def test_what_people_write_stays() -> None:
    for text in ("Café", "G♯ B♭ 𝄪", "李", "Ünlü", "a\u0301", "❤\ufe0f", " ", "🎷"):
        assert harmless(text) == text == printable(text)


@given(st.text(st.characters(exclude_categories=())))
def test_json_stays_the_json_that_it_was(text: str) -> None:
    made = printable(json.dumps({"typed": text}, ensure_ascii=False) + "\n")
    assert made.endswith("\n")
    assert first_harmful(made, "\n") is None
    # A pair of halves is one character in JSON, whether or not it was two before.
    whole = text.encode("utf-16", "surrogatepass").decode("utf-16", "surrogatepass")
    assert json.loads(made)["typed"] in (text, whole)


def test_every_control_and_format_character_is_known() -> None:
    """Against Python's own copy of the Unicode character database."""
    unknown = {
        code
        for code in range(0x110000)
        if unicodedata.category(chr(code)) in ("Cc", "Cs", "Cf", "Zl", "Zp")
        and not is_harmful(chr(code))
    }
    # Marks that are seen, before numbers in Arabic, Syriac and Kaithi; hieroglyphs' joiners and
    # shorthand's, which are Egyptology's and Duployan's own.
    assert {unicodedata.name(chr(code)).split()[0] for code in unknown} <= {
        "ARABIC", "SYRIAC", "KAITHI", "EGYPTIAN",
    }  # fmt: skip
