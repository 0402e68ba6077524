"""Renews the locks: exact versions and hashes of all that a set-up installs.

    python3 tests --lock             what fits stays, what is new or must change is taken in
    python3 tests --lock --upgrade   the newest of everything that pyproject.toml allows

For Linux, macOS and Windows and every Python from 3.11.  A lock holds names, versions and
SHA-256 sums and says nothing of where the files come from: pip looks where it is told to.
"""

from __future__ import annotations

import argparse
import hashlib
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT)]

from drill.setup_make import fingerprint, requirements  # noqa: E402
from drill.setup_state import PROGRAM, TESTS, EnvKind  # noqa: E402

BUILDER = ("setuptools>=80", "wheel>=0.45")
"""What builds simpleaudio from its source."""
OLDEST = "3.11"


def compiled(wanted: Sequence[str], before: str, bounds: str, upgrade: bool) -> str:
    """The exact versions and hashes that meet the requirements; ``before`` are those that stay
    where they can, ``bounds`` those that must not differ."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "in.txt").write_text("\n".join(wanted), encoding="utf-8")
        (folder / "bounds.txt").write_text(bounds, encoding="utf-8")
        (folder / "out.txt").write_text("" if upgrade else before, encoding="utf-8")
        subprocess.run(
            [
                sys.executable, "-m", "uv", "pip", "compile", "in.txt", "-c", "bounds.txt",
                "-o", "out.txt", "--universal", "--generate-hashes", "--python-version", OLDEST,
                "--no-header", "--no-annotate", "--no-emit-index-url", "--no-emit-find-links",
                "--quiet",
            ],
            cwd=folder, check=True,
        )  # fmt: skip
        return (folder / "out.txt").read_text(encoding="utf-8")


def pins(locked: str) -> str:
    """The versions alone."""
    return "\n".join(line.rstrip("\\ ") for line in locked.splitlines() if "==" in line)


def written(kind: EnvKind, wanted: Sequence[str], parts: dict[str, str]) -> None:
    """Write a lock: its first line names the requirements and what follows."""
    body = "".join(f"# -- {name}\n{text}" for name, text in parts.items())
    sums = f"{fingerprint(wanted)} {hashlib.sha256(body.encode()).hexdigest()}"
    (ROOT / kind.lock).write_text(f"# locked for {sums}\n{body}", encoding="utf-8", newline="\n")


def main(arguments: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--upgrade", action="store_true", help="the newest of everything")
    upgrade = parser.parse_args(arguments).upgrade
    project = (ROOT / "pyproject.toml").read_bytes()
    bounds = ""
    for kind in (TESTS, PROGRAM):  # the tests try what players get: the same versions
        wanted, extra, engraver = requirements(project, kind.groups)
        before = old_parts(kind)
        parts = {
            "all": compiled(wanted, before.get("all", ""), bounds, upgrade),
            "builder": compiled(BUILDER, before.get("builder", ""), "", upgrade),
            "simpleaudio": compiled(extra, before.get("simpleaudio", ""), "", upgrade),
        }
        if engraver:
            parts["print"] = compiled(engraver, before.get("print", ""), bounds, upgrade)
        written(kind, [*wanted, *extra, *engraver], parts)
        bounds = pins(parts["all"])
        print(f"{kind.lock}: {len(bounds.splitlines())} packages")
    return 0


def old_parts(kind: EnvKind) -> dict[str, str]:
    """The parts of the lock as it stands, whatever it was made for."""
    try:
        first = (ROOT / kind.lock).read_text(encoding="utf-8").splitlines()[0]
    except (OSError, IndexError):
        return {}
    if not first.startswith("# locked for "):
        return {}
    text = (ROOT / kind.lock).read_text(encoding="utf-8")
    return {
        name.strip(): body
        for name, _, body in (part.partition("\n") for part in text.split("# -- ")[1:])
    }


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
