"""``drill completion``: the words that a shell can complete, made from the commands' parsers."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from drill.commands.table import Part, every_part, options_of, words_of
from drill.errors import ExitCode
from drill.opening.tools import Tools

EXAMPLES = """\
examples:
  drill completion bash > ~/.local/share/bash-completion/completions/drill
  drill completion zsh > "${fpath[1]}/_drill"
  drill completion fish > ~/.config/fish/completions/drill.fish
"""

SHELLS = ("bash", "zsh", "fish")
_FILES = ("FILE", "RESULTS", "OTHER")


def arguments(parser: argparse.ArgumentParser) -> None:
    """The shell."""
    parser.add_argument("shell", choices=SHELLS, help="the shell that is to read it")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Print the script."""
    rows = tuple(_rows())
    made = {"bash": _bash, "zsh": _zsh, "fish": _fish}[args.shell](rows)
    tools.out.write("\n".join((*made, "")))
    return ExitCode.OK


# -- what there is to complete


@dataclass(frozen=True, slots=True)
class Offered:
    """What may stand in one place of the command line."""

    words: tuple[str, ...]
    files: bool
    """Whether a file may stand there too."""


@dataclass(frozen=True, slots=True)
class Option:
    """An option as a shell sees it."""

    word: str
    about: str
    value: Offered | None
    """What may follow it; None where nothing does."""


@dataclass(frozen=True, slots=True)
class CommandRow:
    """One command or part: what may follow it."""

    path: tuple[str, ...]
    """Empty for ``drill`` alone."""
    about: str
    parts: tuple[str, ...]
    options: tuple[Option, ...]
    words: Offered

    @property
    def spot(self) -> str:
        """The path as the scripts keep it: ``/deck/new``."""
        return "".join(f"/{word}" for word in self.path)


def _rows() -> Iterator[CommandRow]:
    """Every command and part; first ``drill`` alone, which is a practice."""
    found = list(every_part())
    commands = tuple(part.words[0] for part in found if len(part.words) == 1)
    practise = next(part for part in found if part.words == ("practise",))
    yield _row((), "", practise, commands)
    for part in found:
        inner = tuple(
            each.words[-1]
            for each in found
            if len(each.words) == len(part.words) + 1 and each.words[:-1] == part.words
        )
        yield _row(part.words, part.purpose, part, inner)


def _row(path: tuple[str, ...], about: str, part: Part, inner: tuple[str, ...]) -> CommandRow:
    options = tuple(
        Option(word, _plain(action.help or ""), None if action.nargs == 0 else _offer(action))
        for word, action in options_of(part.parser).items()
        if word.startswith("--")
    )
    offers = [_offer(action) for action in words_of(part.parser)]
    words = tuple(dict.fromkeys(word for offer in offers for word in offer.words))
    return CommandRow(
        path, _plain(about), inner, options, Offered(words, any(o.files for o in offers))
    )


def _offer(action: argparse.Action) -> Offered:
    if action.choices is not None:
        return Offered(tuple(map(str, action.choices)), False)
    name = str(action.metavar or "")
    return Offered(_known(action.dest), any(word in name for word in _FILES))


def _known(name: str) -> tuple[str, ...]:
    """The words of what is no closed choice for the parser, by its name."""
    from drill.decks.load import listing
    from drill.decks.shipped import shipped_folder
    from drill.settings.catalogue import FIELDS
    from drill.theory.instruments import INSTRUMENTS
    from drill.theory.patterns import PATTERNS
    from drill.theory.scales import SCALES

    settings = {field.name: field for field in FIELDS}
    word = settings[name].words if name in settings else None
    if word is not None:
        return tuple(each.value for each in word)
    decks = tuple(path.stem for path in listing([shipped_folder()]))
    return {
        "instrument": tuple(INSTRUMENTS),
        "scale": tuple(SCALES),
        "pattern": tuple(PATTERNS),
        "deck": decks,
        "what": (*PATTERNS, *decks),
        "name": tuple(settings),
        "topic": ("keys", "codes"),
    }.get(name, ())


def _plain(text: str) -> str:
    """Help as a description: one line, nothing that a shell would expand."""
    words = "".join(each for each in text if each not in "\"'`$\\:[]%")
    return " ".join(words.split())


def _list(words: Iterable[str]) -> str:
    return " ".join(words)


# -- bash


def _bash(rows: tuple[CommandRow, ...]) -> list[str]:
    return [
        "# bash completion for drill; made by: drill completion bash",
        "_drill() {",
        "    local cur=${COMP_WORDS[COMP_CWORD]} at= word i words= files= value=",
        "    for ((i = 1; i < COMP_CWORD; i++)); do",
        "        word=${COMP_WORDS[i]}",
        '        case "$at/$word" in',
        *(f"            {row.spot}) at={row.spot} ;;" for row in rows if row.path),
        "        esac",
        "    done",
        '    case "$at:${COMP_WORDS[COMP_CWORD - 1]}" in',
        *_bash_values(rows),
        "    esac",
        "    if [[ -z $value ]]; then",
        '        case "$at" in',
        *(_bash_row(row) for row in rows),
        "        esac",
        "    fi",
        '    mapfile -t COMPREPLY < <(compgen -W "$words" -- "$cur")',
        "    if [[ -n $files ]]; then",
        "        compopt -o filenames 2>/dev/null",
        '        mapfile -t -O "${#COMPREPLY[@]}" COMPREPLY < <(compgen -f -- "$cur")',
        "    fi",
        "}",
        "complete -F _drill drill",
    ]


def _bash_values(rows: tuple[CommandRow, ...]) -> Iterator[str]:
    for row in rows:
        for option in row.options:
            if option.value is not None:
                words, files = _list(option.value.words), "1" if option.value.files else ""
                yield (
                    f"        '{row.spot}:{option.word}') value=1 words='{words}' files={files} ;;"
                )


def _bash_row(row: CommandRow) -> str:
    words = _list((*row.parts, *row.words.words, *(option.word for option in row.options)))
    return f"            '{row.spot}') words='{words}' files={'1' if row.words.files else ''} ;;"


# -- zsh


def _zsh(rows: tuple[CommandRow, ...]) -> list[str]:
    return [
        "#compdef drill",
        "# zsh completion for drill; made by: drill completion zsh",
        "_drill() {",
        "    local at= i value= files=",
        "    local -a found words_of",
        "    for ((i = 2; i < CURRENT; i++)); do",
        '        case "$at/${words[i]}" in',
        *(f"            {row.spot}) at={row.spot} ;;" for row in rows if row.path),
        "        esac",
        "    done",
        '    case "$at:${words[CURRENT - 1]}" in',
        *_zsh_values(rows),
        "    esac",
        "    if [[ -z $value ]]; then",
        '        case "$at" in',
        *(line for row in rows for line in _zsh_row(row, rows)),
        "        esac",
        "    fi",
        "    (( ${#words_of} )) && compadd -a words_of",
        "    (( ${#found} )) && _describe 'drill' found",
        "    [[ -n $files ]] && _files",
        "    return 0",
        "}",
        '[[ ${funcstack[1]} == _drill ]] && _drill "$@" || compdef _drill drill',
    ]


def _zsh_values(rows: tuple[CommandRow, ...]) -> Iterator[str]:
    for row in rows:
        for option in row.options:
            if option.value is not None:
                words, files = _list(option.value.words), "1" if option.value.files else ""
                yield (
                    f"        '{row.spot}:{option.word}') "
                    f"value=1 words_of=({_quoted(words.split())}) files={files} ;;"
                )


def _zsh_row(row: CommandRow, rows: tuple[CommandRow, ...]) -> Iterator[str]:
    about = {each.path: each.about for each in rows}
    found = [f"{part}:{about[(*row.path, part)]}" for part in row.parts]
    found += [f"{option.word}:{option.about}" for option in row.options]
    yield f"            '{row.spot}')"
    yield f"                words_of=({_quoted(row.words.words)})"
    yield f"                found=({_quoted(found)})"
    yield f"                files={'1' if row.words.files else ''} ;;"


def _quoted(words: Iterable[str]) -> str:
    """Each word in single quotes; ``_plain`` leaves none within."""
    return " ".join(f"'{word}'" for word in words)


# -- fish


def _fish(rows: tuple[CommandRow, ...]) -> list[str]:
    return [
        "# fish completion for drill; made by: drill completion fish",
        "function __drill_at",
        "    set -l at ''",
        "    for word in (commandline -opc)[2..-1]",
        "        switch $at/$word",
        *(f"            case '{row.spot}'\n                set at $at/$word" for row in rows[1:]),
        "        end",
        "    end",
        '    test "$at" = "$argv[1]"',
        "end",
        "complete -c drill -f",
        *(line for row in rows for line in _fish_row(row, rows)),
    ]


def _fish_row(row: CommandRow, rows: tuple[CommandRow, ...]) -> Iterator[str]:
    about = {each.path: each.about for each in rows}
    here = f"complete -c drill -n \"__drill_at '{row.spot}'\""
    for part in row.parts:
        yield f"{here} -a '{part}' -d '{about[(*row.path, part)]}'"
    if row.words.words:
        yield f"{here} -a '{_list(row.words.words)}'"
    if row.words.files:
        yield f"{here} -F"
    for option in row.options:
        line = f"{here} -l {option.word[2:]} -d '{option.about}'"
        if option.value is not None:
            line += f" -x -a '{_list(option.value.words)}'" if option.value.words else " -r"
            line += "" if option.value.words or option.value.files else " -f"
            line = line.replace(" -x ", " -r -F ") if option.value.files else line
        yield line
