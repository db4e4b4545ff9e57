"""Arguments in, exit code out, nothing else."""

import gc
import os
import sys
from argparse import Namespace
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from drc.gate.bug import Guard, stop
from drc.options import (
    SWAP_VERDICTS,
    HelpPage,
    Parser,
    completion_options,
    inventory_options,
    meant,
    mend_options,
    no_options,
    parts_options,
    reports,
    review_options,
    rules_options,
    scheduler,
    size_options,
    swap_options,
    wrong,
)
from drc.report.formats import FLEET_FORMATS
from drc.trouble import InputError
from drc.version import __version__

if TYPE_CHECKING:
    from drc.gate.project import Request

WRONG_INPUT, BUG, INTERRUPTED = 2, 3, 130

_GARBAGE = 100_000
"""Objects made before cycles are looked for: Python's own 700 costs a tenth of a cold start."""

PURPOSE = "Proves the timing functions of a board from its netlist, before layout and at\nevery commit."
EXIT_CODES = """exit codes:
  0  nothing at the gate's level or above    2  an option or an input is wrong
  1  something at the gate's level or above  3  a bug in tickproof"""


class Command(NamedTuple):
    """A command: what it does, an example, its options, and what runs it with the parsed arguments.

    `more` is what its help tells beside that.
    """

    meaning: str
    example: str
    options: Callable[[Parser], None]
    run: Callable[[Namespace], int]
    more: str = ""


def command() -> NoReturn:
    """The installed command: `main`, and then out at once.

    What the interpreter would still do, taking every module apart, costs a tenth of a small review.
    """
    from signal import SIGINT, signal

    signal(SIGINT, stop)
    try:
        code = main()
        sys.stdout.flush()
        sys.stderr.flush()
    except KeyboardInterrupt:
        code = INTERRUPTED
    os._exit(code)


def main(argv: Sequence[str] | None = None) -> int:
    """Runs a command and gives its exit code; whatever goes wrong is told in one line."""
    gc.set_threshold(_GARBAGE)
    code = WRONG_INPUT
    guard = Guard()
    try:
        with guard:
            code = run(sys.argv[1:] if argv is None else argv)
    except InputError as error:
        from drc.gate.output import print_troubles  # only where something is wrong

        print_troubles(error.troubles)
    except KeyboardInterrupt:
        return INTERRUPTED
    if guard.bug is not None:
        sys.stderr.write(f"tickproof: {guard.bug}\n")
        return BUG
    return code


def run(argv: Sequence[str]) -> int:
    """The exit code of the command that the arguments name. InputError for wrong arguments."""
    if argv and argv[0].startswith("-"):
        _top_parser().parse_args(argv)
    word = argv[0] if argv else ""
    if word not in COMMANDS:
        found = f'"{word}"{meant(word, COMMANDS)}' if word else "none"
        raise wrong(f"expected a command ({', '.join(COMMANDS)}), found {found}; see `tickproof --help`")
    parser = _command_parser(word)
    arguments, unknown = parser.parse_known_intermixed_args(list(argv[1:]))
    if unknown:
        found = unknown[0].partition("=")[0]
        hint = meant(found, parser._option_string_actions)
        raise wrong(f'found "{found}", which {parser.prog} does not take{hint}; see `{parser.prog} --help`')
    return COMMANDS[word].run(arguments)


def _top_parser() -> Parser:
    """The parser of a line without a command: help and version."""
    lines = [f"  {name:<11} {command.meaning}" for name, command in COMMANDS.items()]
    more = "`tickproof COMMAND --help` tells more, with an example"
    epilog = "\n".join(("commands:", *lines, "", EXIT_CODES, "", more))
    parser = _parser("tickproof", PURPOSE, epilog)
    parser.usage = "tickproof COMMAND ..."
    parser.add_argument("--version", action="version", version=f"tickproof {__version__}")
    return parser


def _command_parser(name: str) -> Parser:
    """The parser of one command's arguments."""
    command = COMMANDS[name]
    meaning = f"{command.meaning[:1].upper()}{command.meaning[1:]}."
    more = f"{command.more}\n\n" if command.more else ""
    parser = _parser(f"tickproof {name}", meaning, f"{more}example:\n  {command.example}\n\n{EXIT_CODES}")
    command.options(parser)
    parser.shorten_usage()
    return parser


def _parser(name: str, meaning: str, epilog: str) -> Parser:
    return Parser(
        name,
        description=meaning,
        epilog=epilog,
        formatter_class=HelpPage,
        allow_abbrev=False,
    )


def _review(arguments: Namespace) -> int:
    from drc.gate.commands import Output, review  # loaded to run, not for --help
    from drc.gate.effort import Work
    from drc.gate.page import Extra

    asked = reports(arguments.report)
    fleets = reports(arguments.fleet, FLEET_FORMATS, "--fleet")
    if sum(name == "-" for _, name in (*asked, *fleets)) > 1:
        raise wrong("--fleet: found - twice, expected at most one report on standard output")
    full = bool(asked or arguments.explain)
    request = _request(arguments)._replace(
        touched=arguments.touched,
        revision="" if arguments.staged else None,
        rules=arguments.rules,
        known=arguments.known,
        taking=arguments.accept,
        gate=arguments.gate,
        seed=arguments.seed,
        draws=arguments.draws,
        depth="all" if full else "verdicts",
    )
    if arguments.date:
        request = request._replace(date=arguments.date)
    work = Work(arguments.jobs, not arguments.no_cache, scheduler(arguments))
    return review(request, Output(asked, fleets, Extra(arguments.tally, arguments.explain)), work)


def _inventory(arguments: Namespace) -> int:
    from drc.gate.commands import inventory

    return inventory(_request(arguments)._replace(judged=False), chained=arguments.chains)


def _swap(arguments: Namespace) -> int:
    from drc.gate.swap import swap  # with both sides' comparison, which other commands do without
    from drc.gate.swap_forms import SwapRequest
    from drc.report.swap_formats import FORMATS

    asked = reports(arguments.report, FORMATS)
    request = _request(arguments)._replace(
        rules=arguments.rules,
        stock=arguments.stock,
        gate=arguments.gate,
        seed=arguments.seed,
        draws=arguments.draws,
        depth="all" if asked else "facts",
    )
    if arguments.date:
        request = request._replace(date=arguments.date)
    between = None if arguments.between is None else (arguments.between[0], arguments.between[1])
    return swap(SwapRequest(request, between, arguments.replace, arguments.bom_after), asked, arguments.jobs)


def _mend(arguments: Namespace) -> int:
    from drc.gate.mend import mend  # with the search for remedies, which other commands do without

    asked = _request(arguments)._replace(rules=arguments.rules, gate=arguments.gate, stock=arguments.stock)
    return mend(asked, arguments.write)


def _size(arguments: Namespace) -> int:
    from drc.gate.project import Request
    from drc.gate.size import SizeRequest, run_size

    given = vars(arguments)
    names = ("frequency", "period", "pulse_width", "delay")
    quantity = next((name for name in names if given[name] is not None), "frequency")
    own = {name: given[name] for name in SizeRequest._fields if name in given}
    asked = SizeRequest(quantity=quantity.replace("_", "-"), wanted=given[quantity], **own)
    parts, rules = arguments.parts, arguments.rules
    return run_size(asked, Request(date="", parts=parts, rules=rules, settings=arguments.settings))


def _parts(arguments: Namespace) -> int:
    from drc.gate.reference import parts

    return parts(arguments.name, arguments.parts, arguments.settings)


def _rules(arguments: Namespace) -> int:
    from drc.gate.reference import facts, rules

    if arguments.facts:
        return facts()
    return rules(arguments.name, arguments.rules, arguments.settings)


def _start(_: Namespace) -> int:
    from drc.gate.start import start

    return start()


def _completion(arguments: Namespace) -> int:
    from drc.completion import script

    parsers = {name: (command.meaning, _command_parser(name)) for name, command in COMMANDS.items()}
    sys.stdout.write(script(arguments.shell, parsers))
    return 0


def _request(arguments: Namespace) -> "Request":
    """What every command about boards asks for."""
    from time import localtime, strftime

    from drc.gate.project import Request

    return Request(
        date=strftime("%Y-%m-%d", localtime()),
        paths=arguments.paths,
        intent=arguments.intent,
        bom=arguments.bom,
        parts=arguments.parts,
        settings=arguments.settings,
    )


COMMANDS = {
    "review": Command(
        "judge the timing blocks of boards: the gate",
        "tickproof review boards/ --report json=review.json",
        review_options,
        _review,
    ),
    "inventory": Command(
        "list the timing blocks of boards and what they do, unjudged",
        "tickproof inventory boards/lamp.cir",
        inventory_options,
        _inventory,
    ),
    "swap": Command(
        "say whether new parts do the old ones' work, and what they need",
        "tickproof swap boards/lamp.cir --replace swaps.csv",
        swap_options,
        _swap,
        SWAP_VERDICTS,
    ),
    "mend": Command(
        "show, or with --write make, the smallest edits that mend a board",
        "tickproof mend boards/radio.cir",
        mend_options,
        _mend,
    ),
    "size": Command(
        "choose resistors for a wanted frequency, period, pulse or delay",
        "tickproof size --frequency 10kHz --part HA10",
        size_options,
        _size,
    ),
    "parts": Command(
        "list the parts that are known, or describe one", "tickproof parts HA10", parts_options, _parts
    ),
    "rules": Command(
        "list the rules in force, or explain one",
        "tickproof rules strap-near-threshold",
        rules_options,
        _rules,
    ),
    "start": Command(
        "write a first settings file, having looked for boards here", "tickproof start", no_options, _start
    ),
    "completion": Command(
        "print a script by which a shell completes this command line",
        "source <(tickproof completion bash)",
        completion_options,
        _completion,
    ),
}
