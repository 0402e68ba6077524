"""What DEVELOPERS.md names in backticks is there."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest


def backticked(checkout: Path) -> set[str]:
    text = (checkout / "DEVELOPERS.md").read_text(encoding="utf-8")
    return {each.partition("(")[0] for each in re.findall(r"`([^`\n]+)`", text)}


def modules(checkout: Path) -> dict[str, list[str]]:
    """The modules by every end of their dotted names: ``runs`` and ``theory.runs``."""
    found: dict[str, list[str]] = {}
    for file in (checkout / "drill").rglob("*.py"):
        parts = file.relative_to(checkout).with_suffix("").parts
        parts = parts[:-1] if parts[-1] == "__init__" else parts
        for first in range(1, len(parts)):
            found.setdefault(".".join(parts[first:]), []).append(".".join(parts))
    return found


def has(module: str, names: list[str]) -> bool:
    """Whether a module has a name, or a dataclass in it a field of that name."""
    found = importlib.import_module(module)
    value: object = found
    for name in names:
        value = getattr(value, name, None)
    source = Path(found.__file__ or "").read_text(encoding="utf-8")
    return value is not None or bool(
        len(names) == 1 and re.search(rf"^    {names[0]}: ", source, re.MULTILINE)
    )


def missing(checkout: Path, named: set[str]) -> list[str]:
    """Dotted names that begin with a module of ours and end in nothing."""
    known, lost = modules(checkout), []
    for name in sorted(named):
        parts = name.split(".")
        ours = [
            (module, parts[end:])
            for end in range(len(parts), 0, -1)
            for module in known.get(".".join(parts[:end]), ())
        ]
        if name.endswith(".py") or not re.fullmatch(r"[a-z_]+(\.\w+)+", name):
            continue
        if ours and not any(has(*each) for each in ours):
            lost.append(name)
    return lost


def test_what_is_named_of_the_program_is_there(checkout: Path) -> None:
    named = backticked(checkout)
    assert len(named) > 200
    assert missing(checkout, named) == []


@pytest.mark.parametrize("name", ["theory.sun", "runs.no_such", "machine.PromptState.nothing"])
def test_a_name_that_has_gone_is_seen(checkout: Path, name: str) -> None:
    assert missing(checkout, {name, "theory.runs", "bowl.fish"}) == [name]


def test_what_is_named_of_the_tests_is_there(checkout: Path) -> None:
    files = [each for each in backticked(checkout) if re.fullmatch(r"[\w/]+\.(py|txt|md)", each)]
    assert len(files) > 20
    here = [str(each) for room in ("drill", "tests") for each in (checkout / room).rglob("*.*")]
    assert not [name for name in files if not any(each.endswith(f"/{name}") for each in here)]
