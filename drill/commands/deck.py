"""``drill deck``: write, add and look at decks."""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path

from drill.commands.giving import Out, need_deck, or_replaced
from drill.commands.options import day, whole
from drill.decks.load import SUFFIX, find, listing, load, loads, names_files
from drill.decks.schema import Deck
from drill.decks.write import write
from drill.errors import DataError, ExitCode, TakenError, UsageError
from drill.files import file_name, make_folder, write_whole
from drill.opening.saving import STDOUT
from drill.opening.tools import Tools
from drill.shown import harmless
from drill.wording.remedies import Remedy

EXAMPLES = """\
examples:
  drill deck new                           a few questions, then a file
  drill deck new --title "Flat keys" --instrument trumpet_bb \\
      --patterns 1-2-3-1,thirds --keys "up to 4 flats" --out flat-keys.toml
  drill deck tricky results/ --worst 4     from what a class got wrong
  drill deck tricky results/ --by student --out-dir next-week/
  drill deck tricky                        from what you got wrong yourself
  drill deck show flat-keys.toml           its runs, spelled
  drill deck add flat-keys.toml            take an assignment in
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """One of new, tricky, show and add."""
    kinds = parser.add_subparsers(dest="what", required=True, metavar="new|tricky|show|add")
    _new_arguments(kinds.add_parser("new", help="write a deck, by questions or options"))
    _tricky_arguments(kinds.add_parser("tricky", help="make a deck of what goes wrong"))
    show = kinds.add_parser("show", help="print a deck and its runs")
    show.add_argument("deck", metavar="NAME|FILE", help="the deck")
    show.add_argument("--json", action="store_true", help="as JSON")
    add = kinds.add_parser("add", help="put an assignment into your own decks")
    add.add_argument("file", metavar="FILE", help="the deck file you were given")
    add.add_argument("--as", dest="name", metavar="NAME", help="call it so, not as the file")
    add.add_argument("--replace", action="store_true", help="put it in the place of another")


def _new_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--title", metavar="TEXT", help="what it is called")
    add("--instrument", metavar="ID", help="the horn, such as alto_sax or trumpet_bb")
    add("--patterns", metavar="P[,P]", help="patterns or cells, such as 1-2-3-1,thirds")
    add("--keys", metavar="K[,K]|GROUP", help="written keys, such as Db,Gb or 'up to 3 flats'")
    add("--concert-keys", metavar="K[,K]|GROUP", help="concert keys, in place of written ones")
    add("--scales", metavar="ID[,ID]", help="scales (major if left out)")
    add("--directions", metavar="up|down", help="one direction only")
    add("--degrees", metavar="N[,N]", help="only cells begun on these degrees")
    add("--span", metavar="1|2|octaves|full", help="how far the runs go")
    add("--tempo", type=int, metavar="N", help="beats a minute to begin at")
    add("--goal-tempo", type=int, metavar="N", help="beats a minute to reach")
    add("--right", metavar="PERCENT", help="share of cells to know (90 if left out)")
    add("--ask", metavar="KINDS", help="kinds of prompt: next,degree,run,ear,time")
    add("--prompts", type=int, metavar="N", help="prompts in one practice")
    add("--due", metavar="YYYY-MM-DD", help="the day by which it should be known")
    add("--note", metavar="TEXT", help="a note to the student")
    _out_arguments(parser)


def _tricky_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("results", nargs="*", metavar="RESULTS", help="results files or folders (else your log)")
    add("--worst", type=whole(1, 15), default=5, metavar="N", help="how many keys (5 if left out)")
    add("--title", metavar="TEXT", help="what it is called")
    add("--instrument", metavar="ID", help="the horn (else that of the answers' deck)")
    add("--concert", action="store_true", help="count concert keys, over all horns")
    add("--by", choices=("student", "group", "horn"), help="one deck for each, in --out-dir")
    add("--out-dir", metavar="FOLDER", help="where --by writes them")
    add("--roster", metavar="FILE", help="roster.csv, for groups and ids")
    add("--due", type=day, metavar="YYYY-MM-DD", help="the day by which it should be known")
    add("--note", metavar="TEXT", help="a note to the student")
    _out_arguments(parser)


def _out_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--out", metavar="FILE", help="write it there (else it is printed)")
    parser.add_argument("--replace", action="store_true", help="write over a file that exists")


def run(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """What was asked for.  Raises UsageError, FaultsError."""
    if args.what == "new":
        return _new(args, tools)
    if args.what == "tricky":
        return _tricky(args, tools)
    return _show(args, tools) if args.what == "show" else _add(args, tools)


# -- new


def _new(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """A deck from options and answers, with every setting that it could have as a comment."""
    from drill.commands.deck_new import new_deck

    deck, out = new_deck(args, tools)
    heading = ("Written by drill deck new. Edit it freely: drill check FILE says what is wrong.",)
    _give(write(deck, heading=heading), out, args.replace, tools)
    return ExitCode.OK


def _give(text: str, out: str | None, replaced: bool, tools: Tools) -> None:
    """Print the deck, or write it to a file; it is read back first."""
    need_deck(text)
    if out is None or out == STDOUT:
        tools.out.write(text)
        return
    path = Path(out)
    if path.name not in ("", "..") and not path.name.endswith(SUFFIX):
        path = path.with_name(path.name + SUFFIX)
    with or_replaced(tools):
        write_whole(path, text.encode(), replace=replaced)
    tools.say(f"{harmless(str(path))} written; give it to students, who take it in with")
    tools.say(f"  drill deck add {shlex.quote(harmless(str(path)))}")


# -- tricky


def _tricky(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """A deck of what a class, a student or the player gets wrong, or one for each."""
    from drill.commands.deck_tricky import tricky_decks

    made, code = tricky_decks(args, tools)
    if args.out_dir:
        out = Out(tools, shared=True, replace=args.replace)
        for path in out.decks(Path(args.out_dir), made):
            tools.say(f"{harmless(str(path))} written")
        return code
    name, text = made[0]
    _give(text, name or None, args.replace, tools)
    return code


# -- show


def _show(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """A deck's own words, then each of its runs, cell by cell."""
    from drill.commands.deck_show import deck_lines, deck_object
    from drill.opening.choosing import deck_choices

    deck = tools.house.deck(args.deck)
    found = deck_choices(deck)
    if args.json:
        tools.give(deck_object(deck, found))
        return ExitCode.OK
    tools.out.writelines(f"{line}\n" for line in deck_lines(deck, found))
    return ExitCode.OK


# -- add


def _add(args: argparse.Namespace, tools: Tools) -> ExitCode:
    """Take a deck in: read it whole, then copy it byte for byte under a safe name; lines from
    files of music are written out as cells."""
    path = Path(args.file)
    deck = load(path)
    data = path.read_bytes()
    text = data.removeprefix(b"\xef\xbb\xbf").decode()
    if loads(text, str(path)) != deck:
        raise DataError(f"{harmless(str(path))}: it changed while it was read: try again")
    if names_files(text, str(path)):  # the music stays where it is: its lines come as cells
        data = write(deck).encode()
    wanted = args.name.removesuffix(SUFFIX) if args.name is not None else path.stem
    name = file_name(wanted)
    if not name:
        hint = tools.do(Remedy.NAME_DECK)
        raise UsageError(f"{wanted!r} has no letter or digit to name a deck by: {hint}")
    folder = tools.house.places.decks
    target = folder / f"{name}{SUFFIX}"
    # A file system may not tell capitals apart.
    same = [each for each in listing((folder,)) if each.stem.casefold() == name.casefold()]
    target = same[0] if same else target
    if same and target.read_bytes() == data:
        tools.say(f"the deck {target.stem} is among your decks already: nothing was changed")
        return ExitCode.OK
    if same and not args.replace:
        raise TakenError(
            f"another deck is called {target.stem} already: {tools.do(Remedy.KEEP_BOTH)}", target
        )
    make_folder(folder, private=True)
    write_whole(target, data, replace=args.replace)
    _say_added(deck, target, tools)
    return ExitCode.OK


def _say_added(deck: Deck, target: Path, tools: Tools) -> None:
    name = target.stem
    due = f", due {deck.due.isoformat()}" if deck.due else ""
    tools.say(f"{deck.title}{due}: added to your decks as {name}")
    given = deck.assignment
    if given and (given.name or given.group):
        tools.say(f"  for {given.name or given.group}")
    for line in (*deck.note.splitlines(), *([given.line] if given and given.line else ())):
        tools.say(f"  {line}")
    if deck.own and not (given and given.horn) and tools.house.horn() is None:
        tools.say(f"  it is for your own horn: {tools.do(Remedy.NAME_HORN)}")
    shipped = {path.stem for path in listing(tools.house.deck_folders[1:])}
    if name in shipped:
        tools.say(f"it stands before the deck {name} that comes with the program")
    found = find(name, tools.house.deck_folders)
    if found.resolve() == target.resolve():
        tools.say(tools.do(Remedy.PRACTISE).format(name))
