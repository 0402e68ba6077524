"""Pieces of TOML text: literals and comments that nothing can break out of."""

from __future__ import annotations

from collections.abc import Iterable

from drill.shown import harmless, is_harmful


def text_literal(text: str, *, lines: bool = False) -> str:
    """The text as a TOML string; ``lines`` sets several lines between triple quotes."""
    if lines and "\n" in text:
        body = "".join(c if c in "\n\t" else _escaped(c) for c in text)
        return f'"""\n{body}\n"""'
    return '"' + "".join(_escaped(c) for c in text) + '"'


def _escaped(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    if not is_harmful(character):
        return character
    code = ord(character)
    return f"\\u{code:04X}" if code < 0x10000 else f"\\U{code:08X}"


def list_text(texts: Iterable[str]) -> str:
    """A TOML list of strings on one line."""
    return "[" + ", ".join(text_literal(str(text)) for text in texts) + "]"


def commented_list(name: str, rows: Iterable[tuple[str, str]]) -> list[str]:
    """A list of strings under its key, each on a line with its comment; an empty one is none."""
    said = (f"    {text_literal(text)}, {comment(why) if why else ''}" for text, why in rows)
    return [f"{name} = [", *map(str.rstrip, said), "]"]


def comment(text: str) -> str:
    """The text as a comment of one line, control characters spelled out."""
    return f"# {harmless(' '.join(text.splitlines()))}".rstrip()
