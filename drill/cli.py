"""The composition root: the command line.

It parses and hands over.  Each command is a module of ``commands`` with two
functions, ``arguments(parser)`` and ``run(args, tools)``, imported only when that
command is given: ``--help`` and ``--version`` load neither music21 nor textual.
"""

from __future__ import annotations

import argparse
import contextlib
import difflib
import importlib
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from drill import __version__
from drill.clock import utc_now
from drill.errors import DrillError, ExitCode

EXAMPLES = """\
examples:
  drill                                        open the trainer
  drill --deck tricky-keys-tenor               practise one deck
  drill --plain --prompts 10                   ten prompts in plain lines
  drill spell 1-2-3-1 --key G --down           a run, spelled
  drill spell thirds --concert-key Bb --instrument alto_sax
  drill decks                                  the decks that can be practised
  drill check my-deck.toml                     what is wrong with a deck file
"""

COMMANDS: dict[str, str] = {
    "practise": "ask, check, sound and space the cells of a deck (what drill alone does)",
    "spell": "spell the runs of a pattern in any keys, on any horn",
    "decks": "list the decks that can be practised",
    "check": "read deck files and name every fault",
    "log": "print the answers, one a line",
    "config": "show the settings and where each came from, or change one",
    "paths": "show the folders and files in use",
}
"""Every command with its one-line purpose; the module has the same name, ``_`` for ``-``."""


class _Parser(argparse.ArgumentParser):
    """argparse with one-line errors and exit code 2."""

    def error(self, message: str) -> NoReturn:
        sys.stderr.write(f"{self.prog}: {message} (try {self.prog} --help)\n")
        raise SystemExit(int(ExitCode.USAGE))


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program with these arguments (``sys.argv`` when None); the exit code.

    Every fault is one line on standard error; see ``errors.ExitCode`` for the codes.
    """
    args = list(sys.argv[1:] if argv is None else argv)
    if args in (["--version"], ["-V"]):
        print(f"drill {__version__}")
        return ExitCode.OK
    try:
        code = _run(args)
        sys.stdout.flush()
        return code
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else ExitCode.USAGE
    except DrillError as error:
        sys.stderr.write("".join(f"drill: {line}\n" for line in str(error).splitlines()))
        return error.exit_code
    except KeyboardInterrupt:
        sys.stderr.write("drill: interrupted\n")
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        # The reader has gone (``| head``): nothing more can be said, and nothing is wrong.
        with contextlib.suppress(OSError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        return ExitCode.OK


def _run(args: list[str]) -> int:
    name = args[0] if args and not args[0].startswith("-") else ""
    if not name and ("-h" in args or "--help" in args):
        print(_overview(), end="")
        return ExitCode.OK
    if name and name not in COMMANDS:
        near = difflib.get_close_matches(name, list(COMMANDS), n=1)
        hint = f"; did you mean {near[0]}?" if near else " (try drill --help)"
        sys.stderr.write(f"drill: there is no command {name!r}{hint}\n")
        return ExitCode.USAGE
    command = name or "practise"
    module = importlib.import_module(f"drill.commands.{command.replace('-', '_')}")
    parser = _Parser(
        prog=f"drill {name}" if name else "drill",
        description=f"{COMMANDS[command]}.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog=getattr(module, "EXAMPLES", None),
        allow_abbrev=False,
    )
    module.arguments(parser)
    parsed = parser.parse_args(args[1:] if name else args)
    from drill.commands.tools import open_tools

    return int(module.run(parsed, open_tools(utc_now)))


def _overview() -> str:
    """The help of the whole program: examples first."""
    width = max(map(len, COMMANDS))
    rows = "\n".join(f"  {name:<{width}}  {text}" for name, text in COMMANDS.items())
    return (
        "usage: drill [COMMAND] [OPTIONS]\n\n"
        "Quizzes wind players on spelling the next cell of a pattern in a written key,\n"
        "sounds the right notes, and brings back what went wrong.\n\n"
        f"{EXAMPLES}\ncommands (drill COMMAND --help says more):\n{rows}\n\n"
        "exit codes: 0 good, 1 failed, 2 usage, 65 bad deck or data, 130 ctrl+c, 143 ended\n"
    )
