"""``drill completion``: the words that a shell can complete, made from the commands' parsers."""

from __future__ import annotations

import argparse
from itertools import dropwhile

from drill.commands.table import COMMANDS, TOPICS, add_parts, module_of, parser_of, parts_of
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
    import shtab  # only here: no other command needs it

    parser = parser_of("practise", module_of("practise"), named=False)
    add_parts(parser)
    made: list[str] = []
    for part in parts_of(parser):
        for action in part._actions:
            _describe(action, made)
    own = "\n".join(made) if args.shell == "bash" else ""
    head, *lines = shtab.complete(parser, args.shell, preamble=own).splitlines()
    about = [head] if head.startswith("#compdef") else []  # zsh looks for it in the first line
    about.append(f"# {args.shell} completion for drill; made by: drill completion {args.shell}")
    code = dropwhile(lambda line: not line or line.startswith("#"), lines)
    tools.out.write("\n".join((*about, *code, "")))
    return ExitCode.OK


def _describe(action: argparse.Action, made: list[str]) -> None:
    """Tell a shell what may stand there; functions for bash are added to ``made``."""
    if action.help and action.help is not argparse.SUPPRESS:
        action.help = _plain(action.help)
    if action.choices is not None or action.nargs == 0:
        return
    words = " ".join(_known(action.dest))
    if not any(word in str(action.metavar or "") for word in _FILES):
        action.choices = words.split() or None
        return
    name = f"_drill_{len(made)}"
    made.append(f'{name}() {{ compgen -W "{words}" -- "$1"; _shtab_compgen_files "$1"; }}')
    action.complete = {  # type: ignore[attr-defined]
        "bash": name,
        "zsh": f"{{_alternative 'words:word:({words})' 'files:file:_files'}}",
        "fish": f"{words} (__fish_complete_path (commandline -ct))",
    }


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
        "topic": (*TOPICS, *COMMANDS),
    }.get(name, ())


def _plain(text: str) -> str:
    """Help as a description: one line, nothing that a shell would expand."""
    words = "".join(each for each in text if each not in "\"'`$\\:[]%")
    return " ".join(words.split())
