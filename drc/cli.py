"""Arguments in, exit code out, nothing else."""

import gc
import os
import sys
from argparse import ArgumentParser, ArgumentTypeError, Namespace, RawDescriptionHelpFormatter
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from drc.gate.bug import Guard
from drc.report.formats import FORMATS
from drc.trouble import LEVELS, InputError, Place, Trouble
from drc.version import __version__

if TYPE_CHECKING:
    from drc.gate.project import Request

WRONG_INPUT, BUG, INTERRUPTED = 2, 3, 130

_GARBAGE = 100_000
"""Objects made before cycles are looked for: Python's own 700 costs a tenth of a cold start."""

PURPOSE = "Proves the timing functions of a board from its netlist, before layout and at every commit."
EXIT_CODES = """exit codes:
  0  nothing at the gate's level or above    2  a wrong option or an unreadable input
  1  something at the gate's level or above  3  a bug in tickproof"""


class Parser(ArgumentParser):
    """A parser whose refusals are input errors, so that all wrong input is told in one way."""

    def error(self, message: str) -> NoReturn:
        """Raises InputError with what is wrong, and where help is."""
        raise wrong(f"{message}; see `{self.prog} --help`")


class HelpPage(RawDescriptionHelpFormatter):
    """Help on 80 columns; argparse would load much to ask the terminal, and asks for every option."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, max_help_position=26, width=80)


class Command(NamedTuple):
    """A command: what it does, an example, its options, and what runs it with the parsed arguments."""

    meaning: str
    example: str
    options: Callable[[Parser], None]
    run: Callable[[Namespace], int]


def wrong(message: str) -> InputError:
    """The error for wrong arguments."""
    return InputError(Trouble("option", "error", Place(""), message))


def command() -> NoReturn:
    """The installed command: `main`, and then out at once.

    What the interpreter would still do, taking every module apart, costs a tenth of a small review.
    """
    code = main()
    sys.stdout.flush()
    sys.stderr.flush()
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
        found = f'"{word}"{_meant(word, COMMANDS)}' if word else "none"
        raise wrong(f"expected a command ({', '.join(COMMANDS)}), found {found}; see `tickproof --help`")
    parser = _command_parser(word)
    arguments, unknown = parser.parse_known_intermixed_args(list(argv[1:]))
    if unknown:
        found = unknown[0].partition("=")[0]
        hint = _meant(found, parser._option_string_actions)
        raise wrong(f'found "{found}", which {parser.prog} does not take{hint}; see `{parser.prog} --help`')
    return COMMANDS[word].run(arguments)


def _meant(word: str, known: Iterable[str]) -> str:
    from drc.intent.wording import did_you_mean  # only where something is wrong

    return did_you_mean(word, known)


def _top_parser() -> Parser:
    """The parser of a line without a command: help and version."""
    lines = [f"  {name:<10} {command.meaning}" for name, command in COMMANDS.items()]
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
    parser = _parser(f"tickproof {name}", meaning, f"example:\n  {command.example}\n\n{EXIT_CODES}")
    command.options(parser)
    return parser


def _parser(name: str, meaning: str, epilog: str) -> Parser:
    return Parser(
        name,
        description=meaning,
        epilog=epilog,
        formatter_class=HelpPage,
        allow_abbrev=False,
    )


_MAYBE_NONE: dict[str, Any] = {"nargs": "*", "default": None}
_FILES: dict[str, Any] = {"nargs": "+", "action": "extend", "default": [], "metavar": "FILE"}


def _settings_option(parser: Parser) -> None:
    meaning = "the settings file (default: tickproof.toml, upward from the board)"
    parser.add_argument("--settings", metavar="FILE", help=meaning)


def _parts_option(parser: Parser) -> None:
    parser.add_argument("--parts", **_FILES, help="part files, added to the built-in ones")


def _rules_option(parser: Parser) -> None:
    parser.add_argument("--rules", **_FILES, help="house rule books, added to the built-in one")


def _board_options(parser: Parser) -> None:
    """What every command about boards takes."""
    parser.add_argument("paths", nargs="*", metavar="PATH", help="netlists, or folders to search for them")
    parser.add_argument(
        "--intent", metavar="FILE", help="statements about the board, in place of the file beside it"
    )
    parser.add_argument(
        "--bom", metavar="FILE", help="the bill of materials of the board, CSV with a heading"
    )
    _parts_option(parser)
    _settings_option(parser)


def _inventory_options(parser: Parser) -> None:
    _board_options(parser)
    parser.add_argument("--chains", action="store_true", help="draw which block acts on which, and how")


def _review_options(parser: Parser) -> None:
    _board_options(parser)
    _rules_option(parser)
    add = parser.add_argument
    forms = ", ".join(FORMATS)
    add(
        "--report",
        **_FILES | {"metavar": "FORMAT=FILE"},
        help=f"write a report: {forms}; - is standard output",
    )
    add(
        "--gate",
        **_among(*LEVELS[::-1]),
        help="the level from which a finding fails the gate (default: error)",
    )
    add("--known", metavar="FILE", help="findings known from before; only others fail the gate")
    add(
        "--accept",
        nargs="?",
        const="gone",
        **_among("gone", "all"),
        help="write --known: drop what is gone; the first time, or with `all`, take in what is found now",
    )
    add("--touched", **_FILES | _MAYBE_NONE, help="only the boards that these changed files reach")
    add("--explain", **_FILES | {"metavar": "BLOCK"}, help="show how every fact of a block came about")
    add("--tally", action="store_true", help="list every verdict, passes too")
    add("--draws", type=_whole(100, 10_000_000), metavar="N", help="Monte Carlo draws (default: 20000)")
    add("--seed", type=_whole(0, 2**63 - 1), metavar="N", help="Monte Carlo seed (default: 1)")
    add(
        "--jobs",
        type=_whole(1, 1024),
        metavar="N",
        help="processes (default: all cores from 16 boards on)",
    )
    add("--date", type=_date, metavar="D", help="the date of the review, YYYY-MM-DD (default: today)")


def _mend_options(parser: Parser) -> None:
    _board_options(parser)
    _rules_option(parser)
    add = parser.add_argument
    add("--stock", metavar="FILE", help="choose values from a stock list, CSV with a value column")
    add("--write", action="store_true", help="change the files; without it, the change is only shown")
    add("--gate", **_among(*LEVELS[::-1]), help="the level from which what remains fails (default: error)")


def _size_options(parser: Parser) -> None:
    add = parser.add_argument
    wanted = parser.add_mutually_exclusive_group(required=True)
    for name, example in (
        ("frequency", "10kHz"),
        ("period", "6h"),
        ("pulse-width", "15ms +/- 5%"),
        ("delay", "25ms"),
    ):
        wanted.add_argument(
            f"--{name}", metavar="Q", help=f"what is wanted, such as {example!r}".replace("%", "%%")
        )
    wanted.add_argument("--steer", metavar="POINTS", help="two points, such as '2kHz at 0V, 1kHz at 2V'")
    add("--part", metavar="P", help="this part alone (default: all in force)")
    add("--duty", metavar="D", help="of a pulse modulator, such as 30%%")
    add("--polarity", **_among("normal", "inverted"), help="of the output (default: either)")
    add("--supply", metavar="V", help="such as '3.1V .. 3.5V' (default: 5%% about the part's own)")
    add("--ambient", default="-20degC .. 60degC", metavar="T", help="(default: %(default)s)")
    add("--tolerance", default="1%", metavar="T", help="of the resistors (default: 1%%)")
    add("--tempco", default="100ppm", metavar="T", help="of the resistors (default: %(default)s)")
    add("--series", nargs="+", **_among("E12", "E24", "E48", "E96", "E192"), default=["E24", "E96"],
        help="preferred values to choose from (default: E24 E96)")  # fmt: skip
    add("--stock", metavar="FILE", help="choose from a stock list instead, CSV with a value column")
    add("--board", metavar="FILE", help="prefer values that this board has already")
    _parts_option(parser)
    _rules_option(parser)
    _settings_option(parser)


def _parts_options(parser: Parser) -> None:
    parser.add_argument("name", nargs="?", metavar="NAME", help="describe this part; without it, list all")
    _parts_option(parser)
    _settings_option(parser)


def _rules_options(parser: Parser) -> None:
    parser.add_argument("name", nargs="?", metavar="NAME", help="explain this rule; without it, list all")
    parser.add_argument("--facts", action="store_true", help="list the facts that rules may speak of")
    _rules_option(parser)
    _settings_option(parser)


def _review(arguments: Namespace) -> int:
    from drc.gate.commands import Output, review  # loaded to run, not for --help

    reports = _reports(arguments.report)
    full = bool(reports or arguments.explain)
    request = _request(arguments)._replace(
        touched=arguments.touched,
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
    return review(request, Output(reports, arguments.tally, arguments.explain, arguments.jobs))


def _inventory(arguments: Namespace) -> int:
    from drc.gate.commands import inventory

    return inventory(_request(arguments)._replace(judged=False), chained=arguments.chains)


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


def _no_options(_: Parser) -> None:
    pass


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


def _among(*names: str) -> dict[str, Any]:
    """The keywords of an option that takes one of a few names; refused in the form of all refusals."""

    def name(text: str) -> str:
        if text not in names:
            raise ArgumentTypeError(f'found "{text}", expected {", ".join(names[:-1])} or {names[-1]}')
        return text

    return {"type": name, "metavar": f"{{{','.join(names)}}}"}


def _whole(least: int, most: int) -> Callable[[str], int]:
    """A reader of whole numbers within bounds; argparse names the option where it refuses."""

    def number(text: str) -> int:
        if not (text.isascii() and text.isdecimal()) or not least <= int(text[:20]) <= most:
            raise ArgumentTypeError(f'found "{text}", expected a whole number from {least} to {most}')
        return int(text)

    return number


def _date(text: str) -> str:
    """A date as ISO 8601 has it."""
    from datetime import date  # rarely asked for

    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise ArgumentTypeError(f'found "{text}", expected a date such as 2026-03-31') from None


def _reports(texts: Sequence[str]) -> list[tuple[str, str]]:
    """FORMAT=FILE texts, split and checked."""
    pairs = []
    for text in texts:
        form, equals, name = text.partition("=")
        if not equals or not name or form not in FORMATS:
            hint = _meant(form, FORMATS) if equals else "; if it is a board, name it before --report"
            raise wrong(
                f'--report: found "{text}", expected FORMAT=FILE, FORMAT one of {", ".join(FORMATS)}{hint}'
            )
        pairs.append((form, name))
    if sum(name == "-" for _, name in pairs) > 1:
        raise wrong("--report: found - twice, expected at most one report on standard output")
    return pairs


COMMANDS = {
    "review": Command(
        "judge the timing blocks of boards: the gate",
        "tickproof review boards/ --report json=review.json",
        _review_options,
        _review,
    ),
    "inventory": Command(
        "list the timing blocks of boards and what they do, unjudged",
        "tickproof inventory boards/lamp.cir",
        _inventory_options,
        _inventory,
    ),
    "mend": Command(
        "show, or with --write make, the smallest edits that mend a board",
        "tickproof mend boards/lamp.cir",
        _mend_options,
        _mend,
    ),
    "size": Command(
        "choose resistors for a wanted frequency, period, pulse width or delay",
        "tickproof size --frequency 10kHz --part HA10",
        _size_options,
        _size,
    ),
    "parts": Command(
        "list the parts that are known, or describe one", "tickproof parts HA10", _parts_options, _parts
    ),
    "rules": Command(
        "list the rules in force, or explain one",
        "tickproof rules strap-near-threshold",
        _rules_options,
        _rules,
    ),
    "start": Command(
        "write a first settings file, having looked for boards here", "tickproof start", _no_options, _start
    ),
}
