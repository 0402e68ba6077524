"""The composition root: the command line.

It parses and hands over.  Each command is a module of ``commands`` with two
functions, ``arguments(parser)`` and ``run(args, tools)``, imported only when that
command is given: ``--help`` and ``--version`` load neither music21 nor textual.
"""

from __future__ import annotations

import contextlib
import errno
import gc
import io
import os
import sys
from collections.abc import Sequence
from typing import TextIO

from drill import __version__
from drill.clock import utc_now
from drill.commands.table import COMMANDS, EXIT_CODES, NO_INPUT, module_of, options_of, parser_of
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

_STREAM_FAULTS = frozenset({errno.ENOSPC, errno.EIO, errno.EBADF, errno.EFBIG})
"""What the system says of an output that cannot be written."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program with these arguments (``sys.argv`` when None); the exit code.

    Every fault is one line on standard error; see ``errors.ExitCode`` for the codes.
    """
    gc.disable()  # a start makes much and drops little
    args = list(sys.argv[1:] if argv is None else argv)
    _hold_streams()
    try:
        return _code(args)
    finally:
        _collect_again()
        for stream in (sys.stdout, sys.stderr):
            _let_go(stream)


def _collect_again() -> None:
    """Let garbage be collected again, without a look through all that there is: it stays."""
    gc.freeze()
    gc.enable()


def _code(args: list[str]) -> int:
    """The exit code, once every fault is told."""
    try:
        if args in (["--version"], ["-V"]):
            print(f"drill {__version__}")
            return ExitCode.OK
        code = _run(args)
        sys.stdout.flush()
        return code
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else ExitCode.USAGE
    except DrillError as error:
        _say(str(error))
        return error.exit_code
    except KeyboardInterrupt:
        _say("interrupted")
        return ExitCode.INTERRUPTED
    except BrokenPipeError:
        # The reader has gone (``| head``): nothing more can be said, and nothing is wrong.
        _let_go(sys.stdout)
        return ExitCode.OK
    except UnicodeEncodeError as error:
        # An argument may hold half a character, which no name of a file can.
        _say(f"{error.object[:60]!r}: no file can have this name")
        return ExitCode.USAGE
    except OSError as error:
        _let_go(sys.stdout)
        # Without a file's name it is a stream, where the fault is one that streams have.
        stream = "standard output: " if error.errno in _STREAM_FAULTS else ""
        where = f"{error.filename}: " if error.filename else stream
        _say(f"{where}{error.strerror or error}")
        return ExitCode.FAILURE
    except Exception as error:
        _say(_reported(error))
        return ExitCode.FAILURE


class _Closed(io.TextIOBase):
    """A standard output that was closed before we began: who writes to it is told."""

    def write(self, _: str) -> int:
        raise OSError(errno.EBADF, "it is closed")


def _hold_streams() -> None:
    """Puts something in the place of standard streams that are closed.

    Else the next file that is opened, the answer log perhaps, would take their numbers, and
    whatever a library prints would be written into it.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free: this one
    # None is what Python has for a stream that was closed; the types do not know it.
    sys.stdout = sys.stdout if sys.stdout and _can_be_written(1) else _Closed()
    sys.stderr = sys.stderr if sys.stderr and _can_be_written(2) else io.StringIO()


def _can_be_written(number: int) -> bool:
    """Whether a stream was opened to be written.

    Behind a shell's script with a closed stream the script itself may have taken its number.
    """
    try:
        import fcntl
    except ImportError:  # Windows
        return True
    return fcntl.fcntl(number, fcntl.F_GETFL) & os.O_ACCMODE != os.O_RDONLY


def _say(text: str) -> None:
    """Each line on standard error, with our name before it and nothing in it that acts."""
    from drill.shown import harmless

    lines = (harmless(line) for line in text.splitlines())
    with contextlib.suppress(OSError):
        sys.stderr.write("".join(f"drill: {line}\n" for line in lines))


def _let_go(stream: TextIO) -> None:
    """Write what is still to be written, or let it go nowhere where it cannot be (a terminal that
    is gone): else the end of Python is noisy, and puts a code of its own, 120, for ours."""
    try:
        stream.flush()
    except (OSError, ValueError):
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _reported(error: Exception) -> str:
    """What a person reads of a fault of ours; the trace goes to a file."""
    from drill.places import places
    from drill.tui.crash import report
    from drill.wording.crash import crash_told

    file = None
    with contextlib.suppress(Exception):  # it must not end in a second fault
        file = report(places(os.environ).log, error, utc_now())
    return crash_told(type(error).__name__, file).removeprefix("drill: ")


def _run(args: list[str]) -> int:
    name, rest = _command(args)
    if not name and ("-h" in rest or "--help" in rest):
        print(_overview(), end="")
        return ExitCode.OK
    if name and name not in COMMANDS:
        import difflib

        near = difflib.get_close_matches(name, list(COMMANDS), n=1)
        hint = f"; did you mean {near[0]}?" if near else " (try drill --help)"
        _say(f"there is no command {name!r}{hint}")
        return ExitCode.USAGE
    command = name or "practise"
    module = module_of(command)
    parsed = parser_of(command, module, named=bool(name)).parse_args(rest)
    from drill.opening.tools import open_tools

    tools = open_tools(utc_now, asking=not parsed.no_input)
    _collect_again()
    return int(module.run(parsed, tools))


def _command(args: list[str]) -> tuple[str, list[str]]:
    """The command's name, empty where none is given, and the rest.

    Options may stand before it: ``drill --json decks``.
    """
    if args and not args[0].startswith("-"):
        return args[0], args[1:]
    for place, word in enumerate(args):
        if word == "--":
            break
        if not word.startswith("-"):
            if word in COMMANDS and not _takes_value(args[place - 1]):
                return word, args[:place] + args[place + 1 :]
            break
    return "", args


def _takes_value(option: str) -> bool:
    """Whether the word after this option of a practice belongs to it."""
    if option == NO_INPUT:
        return False
    known = options_of(parser_of("practise", module_of("practise")))
    return "=" not in option and option in known and known[option].nargs != 0


def _overview() -> str:
    """The help of the whole program: examples first."""
    import textwrap

    width = max(map(len, COMMANDS))
    rows = "\n".join(f"  {name:<{width}}  {text}" for name, text in COMMANDS.items())
    codes = ", ".join(f"{int(code)} {said}" for code, said in EXIT_CODES.items())
    return (
        "usage: drill [COMMAND] [OPTIONS]\n\n"
        "Quizzes wind players on spelling the next cell of a pattern in a written key,\n"
        "sounds the right notes, and brings back what went wrong.\n\n"
        f"{EXAMPLES}\ncommands (drill COMMAND --help says more):\n{rows}\n\n"
        f"{NO_INPUT} after any command: never ask, what is missing is an error\n"
        f"{textwrap.fill(f'exit codes: {codes}', 78)}\n"
    )
