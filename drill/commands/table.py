"""Every command with its one-line purpose, and the parser of each.

The command line, the help and the completion scripts all work from here.
"""

from __future__ import annotations

import argparse
import importlib
import keyword
import re
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from types import ModuleType
from typing import Any, NoReturn, cast

from drill.errors import ExitCode

COMMANDS: dict[str, str] = {
    "practise": "ask, check, sound and space cells (what drill alone does)",
    "walk": "walk a run: with the page, with half of it, and without",
    "spell": "spell the runs of a pattern in any keys, on any horn",
    "sheet": "engrave a deck or pattern: page, worksheet, MusicXML, MIDI",
    "hear": "play the runs of a pattern or deck, or write them as WAV or MIDI",
    "take": "check a recording of a run note by note, or record one",
    "sound": "test the sound: device, latency, level",
    "progress": "show what is known, how soon it is by heart, and what trips you",
    "why": "say why the next cell is asked now",
    "list": "list the horns, patterns, scales, chords and orders there are",
    "decks": "list the decks that can be practised",
    "deck": "write a deck, make one of what goes wrong, show or add one",
    "hand-in": "write your answers to a deck as one small file for the teacher",
    "take-in": "read what students handed in, each file once, and say what is new",
    "assign": "write an assignment for each student, group or level of a roster",
    "plan": "show week by week what is out, due, in and missing",
    "class": "report who knows what, from the results that students handed in",
    "tour": "see deck, practice, hand-in and report with an invented class",
    "check": "read deck files and name every fault",
    "log": "print the answers, one a line",
    "config": "show the settings and where each came from, or change one",
    "merge": "take in the answers of another machine",
    "backup": "copy all answers to one file",
    "restore": "bring the answers of a backup back",
    "paths": "show the folders and files in use",
    "completion": "print the script that completes words in bash, zsh or fish",
    "help": "show help on a command, on the keys or on the exit codes",
}
"""Every command with its one-line purpose; ``module_of`` gives its module."""

KEYS, CODES, PATTERNS = "keys", "codes", "patterns"
TOPICS = (KEYS, CODES, PATTERNS)
"""What there is help on beside the commands."""

EXIT_CODES: dict[ExitCode, str] = {
    ExitCode.OK: "good",
    ExitCode.FAILURE: "failed",
    ExitCode.USAGE: "wrong usage",
    ExitCode.BAD_DATA: "a deck or data file that cannot be read",
    ExitCode.HUNG_UP: "the terminal is gone",
    ExitCode.INTERRUPTED: "ended by ctrl+c",
    ExitCode.TERMINATED: "ended by the system",
}
"""What each exit code says."""

WIDTH = 80
"""Columns that no help goes beyond."""
NO_INPUT = "--no-input"
"""Taken out before a command's parser sees it: every command has it."""
_LONG_CHOICE = 24
_FILES = re.compile(r"FILE|FOLDER|RESULTS")
"""What a name of a file is called; an empty one comes of a script whose variable is empty."""


class _Formatter(argparse.RawDescriptionHelpFormatter):
    """Help within ``WIDTH``; a long list of choices stands in the help, not in the usage."""

    def __init__(self, prog: str) -> None:
        width = min(WIDTH, shutil.get_terminal_size().columns)
        super().__init__(prog, max_help_position=26, width=max(40, width) - 1)

    def _metavar_formatter(
        self, action: argparse.Action, default_metavar: str
    ) -> Callable[[int], tuple[str, ...]]:
        if action.metavar is None and _long(action):
            return lambda count: (action.dest.upper().replace("_", "-"),) * count
        return super()._metavar_formatter(action, default_metavar)

    def _expand_help(self, action: argparse.Action) -> str:
        said = super()._expand_help(action)
        if action.metavar is None and _long(action):
            return f"{said}: {', '.join(map(str, action.choices or ()))}"
        return said


def _long(action: argparse.Action) -> bool:
    """Whether the choices of an option would burst a line."""
    if action.choices is None or isinstance(action, argparse._SubParsersAction):
        return False
    return len(",".join(map(str, action.choices))) > _LONG_CHOICE


class Parser(argparse.ArgumentParser):
    """argparse with one-line errors, the nearest option for an unknown one, and exit code 2."""

    def __init__(self, *args: Any, **named: Any) -> None:
        named.setdefault("formatter_class", _Formatter)
        named.setdefault("allow_abbrev", False)
        super().__init__(*args, **named)
        self.color = False  # Python 3.14 would colour the help

    def parse_args(  # type: ignore[override]
        self, args: Sequence[str] | None = None, namespace: argparse.Namespace | None = None
    ) -> argparse.Namespace:
        """The arguments; an unknown option is named before anything that follows from it."""
        words = list(sys.argv[1:] if args is None else args)
        self._refuse_unknown(words)
        return super().parse_args(words, namespace)

    def _refuse_unknown(self, words: Iterable[str]) -> None:
        known = {option for parser in parts_of(self) for option in options_of(parser)}
        for word in words:
            if word == "--":
                return
            option = word.partition("=")[0]
            if option.startswith("--") and option not in known:
                import difflib  # only where a word was mistyped

                near = difflib.get_close_matches(option, sorted(known), n=1)
                hint = f"; did you mean {near[0]}?" if near else f" (try {self.prog} --help)"
                self.say(f"there is no option {_shown(option)}{hint}")

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        super()._check_value(action, value)
        if value == "" and isinstance(action.metavar, str) and _FILES.search(action.metavar):
            raise argparse.ArgumentError(action, "expected a name, found nothing")

    def error(self, message: str) -> NoReturn:
        """One line on standard error and the exit code of a wrong command line."""
        found = re.fullmatch(r"argument (\S*?--[\w-]+): expected one argument", message)
        if found:
            option = found[1].rpartition("/")[2]
            message = f"{option} needs a value; one that begins with - is written {option}=VALUE"
        for kind, number in (("int", "a whole number"), ("float", "a number")):
            message = message.replace(f"invalid {kind} value:", f"expected {number}, found")
        self.say(f"{_one_line(message)} (try {self.prog} --help)")

    def say(self, text: str) -> NoReturn:
        """One line on standard error, and the end."""
        sys.stderr.write(f"{self.prog}: {text}\n")
        raise SystemExit(int(ExitCode.USAGE))


def _shown(text: str) -> str:
    return text if text.isprintable() and len(text) <= 60 else ascii(text[:60])


def _one_line(text: str) -> str:
    return "".join(each if each.isprintable() else ascii(each)[1:-1] for each in text)


@dataclass(frozen=True, slots=True)
class Part:
    """A word of the command line that has options: a command, or a part of one."""

    words: tuple[str, ...]
    """``("deck", "new")``; empty for the program alone."""
    parser: argparse.ArgumentParser
    purpose: str


def module_of(command: str) -> ModuleType:
    """The module of a command, loaded: ``_`` for ``-``, and after Python's own words and names."""
    name = command.replace("-", "_")
    own = keyword.iskeyword(name) or name == "help"
    return importlib.import_module(f"drill.commands.{name}_" if own else f"drill.commands.{name}")


def parser_of(command: str, module: ModuleType, *, named: bool = True) -> Parser:
    """The parser of a command; ``named`` False for ``practise`` without its name."""
    examples = getattr(module, "EXAMPLES", "").rstrip()
    purpose = f"{COMMANDS[command]}."
    parser = Parser(
        prog=f"drill {command}" if named else "drill",
        description="\n\n".join(filter(None, (purpose, examples))),
    )
    said = "never ask: what is missing is an error"
    parser.add_argument(NO_INPUT, action="store_true", help=said)
    module.arguments(parser)
    for part in _parts(parser, (command,), ""):
        if part.words[1:]:
            part.parser.add_argument(
                NO_INPUT, action="store_true", help=said, default=argparse.SUPPRESS
            )
            own = _examples_of(examples, f"drill {' '.join(part.words)}")
            part.parser.description = "\n\n".join(filter(None, (f"{part.purpose}.", own)))
    return parser


def _examples_of(examples: str, line: str) -> str:
    """Those of the examples that begin so, with the lines that go on from them."""
    kept: list[str] = []
    taking = False
    for each in examples.splitlines()[1:]:
        if each.startswith("  drill "):
            taking = each.startswith(f"  {line}")
        if taking:
            kept.append(each)
    return "\n".join(["examples:", *kept]) if kept else ""


def add_parts(parser: argparse.ArgumentParser) -> None:
    """Every command as a part of one parser; loads all their modules."""
    commands = parser.add_subparsers(metavar="COMMAND", parser_class=Parser)
    for command, purpose in COMMANDS.items():
        one = commands.add_parser(command, help=purpose)
        one.add_argument(NO_INPUT, action="store_true", help="never ask")
        module_of(command).arguments(one)


def every_part() -> Iterator[Part]:
    """Every command and part of a command, with its parser; loads all their modules."""
    for command, purpose in COMMANDS.items():
        yield from _parts(parser_of(command, module_of(command)), (command,), purpose)


def _parts(parser: argparse.ArgumentParser, words: tuple[str, ...], purpose: str) -> Iterator[Part]:
    yield Part(words, parser, purpose)
    for group in _groups(parser):
        said = {choice.dest: choice.help or "" for choice in group._choices_actions}
        for name, part in group.choices.items():
            yield from _parts(part, (*words, name), said.get(name, ""))


def parts_of(parser: argparse.ArgumentParser) -> Iterator[argparse.ArgumentParser]:
    """The parser and those of its parts."""
    for part in _parts(parser, (), ""):
        yield part.parser


def options_of(parser: argparse.ArgumentParser) -> dict[str, argparse.Action]:
    """Its options by the words that give them; hidden ones are left out."""
    return {
        option: action
        for action in parser._actions
        for option in action.option_strings
        if action.help is not argparse.SUPPRESS
    }


def _groups(
    parser: argparse.ArgumentParser,
) -> Iterator[argparse._SubParsersAction[argparse.ArgumentParser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield cast("argparse._SubParsersAction[argparse.ArgumentParser]", action)
