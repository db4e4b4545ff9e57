"""What each command takes: options, their readers, and how a wrong one is refused."""

from argparse import ArgumentParser, ArgumentTypeError, Namespace, RawDescriptionHelpFormatter
from collections.abc import Callable, Collection, Iterable, Sequence
from typing import Any, NoReturn

from drc.report.formats import FLEET_FORMATS, FORMATS
from drc.report.swap_formats import FORMATS as SWAP_FORMATS
from drc.trouble import LEVELS, InputError, Place, Trouble


class Parser(ArgumentParser):
    """A parser whose refusals are input errors, so that all wrong input is told in one way."""

    def shorten_usage(self) -> None:
        """Makes the line of usage a line: what stands without an option, and that there are options."""
        formatter = self._get_formatter()
        alone = [action for action in self._actions if not action.option_strings]
        words = [formatter._format_args(action, str(action.metavar or action.dest)) for action in alone]
        self.usage = " ".join([self.prog, "[OPTION ...]", *words])

    def error(self, message: str) -> NoReturn:
        """Raises InputError with what is wrong, and where help is."""
        raise wrong(f"{message}; see `{self.prog} --help`")


class HelpPage(RawDescriptionHelpFormatter):
    """Help on 80 columns; argparse would load much to ask the terminal, and asks for every option."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, max_help_position=26, width=80)


def wrong(message: str) -> InputError:
    """The error for wrong arguments."""
    return InputError(Trouble("option", "error", Place(""), message))


def meant(word: str, known: Iterable[str]) -> str:
    """The nearest known word, as the end of a message; empty where none is near."""
    from drc.intent.wording import did_you_mean  # only where something is wrong

    return did_you_mean(word, known)


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


def _draws_options(parser: Parser) -> None:
    """What bears on draws and dates, and by how many processes the work is done."""
    add = parser.add_argument
    add("--draws", type=_whole(100, 10_000_000), metavar="N", help="Monte Carlo draws (default: 20000)")
    add("--seed", type=_whole(0, 2**63 - 1), metavar="N", help="Monte Carlo seed (default: 1)")
    add(
        "--jobs",
        type=_whole(1, 1024),
        metavar="N",
        help="processes (default: all cores from 16 boards on)",
    )
    add("--date", type=_date, metavar="D", help="the date of the review, YYYY-MM-DD (default: today)")


def inventory_options(parser: Parser) -> None:
    """What `inventory` takes."""
    _board_options(parser)
    parser.add_argument("--chains", action="store_true", help="draw which block acts on which, and how")


def review_options(parser: Parser) -> None:
    """What `review` takes."""
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
    add(
        "--touched",
        **_FILES | _MAYBE_NONE,
        help="only the boards that these changed files reach; with --staged, what is staged counts too",
    )
    add("--staged", action="store_true", help="read every file as it is staged in git, not the work tree")
    add("--explain", **_FILES | {"metavar": "BLOCK"}, help="show how every fact of a block came about")
    add("--tally", action="store_true", help="list every verdict, passes too")
    _draws_options(parser)
    add(
        "--engine",
        **_among("processes", "dask"),
        help="what does the work: processes of this machine (default), or a cluster (an optional part)",
    )
    add(
        "--scheduler",
        metavar="ADDRESS",
        help="with --engine dask, the cluster's scheduler, as tcp://bench:8786",
    )
    add("--no-cache", action="store_true", help="review every board anew, also those that have not changed")
    add(
        "--fleet",
        **_FILES | {"metavar": "FORMAT=FILE"},
        help=f"write what all boards come to together: {', '.join(FLEET_FORMATS)}",
    )


SWAP_VERDICTS = """\
It compares BEFORE with AFTER (two netlists, or two folders whose boards are
paired by their paths within), or boards with --replace or --between. What is
stated of the board before is asked of both.

verdicts:
  drop-in  No verdict is graver than on the old board; every expectation that
      the old board meets is met over its whole span; and each block keeps what
      nobody states: what it does, its times (the new nominal inside the old
      worst-case span), its polarity, the edges it acts on, when it runs, and
      its level at rest where anything can put it there. What is unknown on
      either side is not proven, and so not kept, unless nothing that acts on
      the block has changed.
  drop-in with changed values  The same holds once the edits shown are made.
  not a replacement  It does not, whatever was tried; the reason says why.
Faults that the old board has already are shown, not held against the new part.
The exit code is 1 where a board is not replaced, is gone, or gains a finding at
the gate (with the edits made, where there are any).

the list of --replace, CSV with a heading:
  element    a designator, or a pattern such as XU*; in shared subcircuits, all
  part       the new part, soldered on the same pads; empty: the part stays
  value      the new value, if it has one (may be left out)
  old part   only elements that have this part now (may be left out)"""
"""What `swap --help` tells beside its options: the one place that says when a part is a replacement."""


def swap_options(parser: Parser) -> None:
    """What `swap` takes."""
    _board_options(parser)
    _rules_option(parser)
    add = parser.add_argument
    add("--replace", metavar="FILE", help="put the parts of this list on the boards, see below")
    add("--between", nargs=2, metavar="REV", help="compare the boards at two git revisions ('': as staged)")
    add("--bom-after", metavar="FILE", help="the bill of materials of AFTER, where that is another")
    add("--stock", metavar="FILE", help="choose values from a stock list, CSV with a value column")
    add(
        "--report",
        **_FILES | {"metavar": "FORMAT=FILE"},
        help=f"write a report: {', '.join(SWAP_FORMATS)}; - is standard output",
    )
    add("--gate", **_among(*LEVELS[::-1]), help="the level at which a finding gained fails (default: error)")
    _draws_options(parser)


def mend_options(parser: Parser) -> None:
    """What `mend` takes."""
    _board_options(parser)
    _rules_option(parser)
    add = parser.add_argument
    add("--stock", metavar="FILE", help="choose values from a stock list, CSV with a value column")
    add("--write", action="store_true", help="change the files; without it, the change is only shown")
    add("--gate", **_among(*LEVELS[::-1]), help="the level from which what remains fails (default: error)")


def size_options(parser: Parser) -> None:
    """What `size` takes."""
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
    add("--part", metavar="PART", help="this part alone (default: all in force)")
    add("--duty", metavar="D", help="of a pulse modulator or an RC timer, such as 60%%")
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


def parts_options(parser: Parser) -> None:
    """What `parts` takes."""
    parser.add_argument("name", nargs="?", metavar="PART", help="describe this part; without it, list all")
    _parts_option(parser)
    _settings_option(parser)


def rules_options(parser: Parser) -> None:
    """What `rules` takes."""
    parser.add_argument("name", nargs="?", metavar="RULE", help="explain this rule; without it, list all")
    parser.add_argument("--facts", action="store_true", help="list the facts that rules may speak of")
    _rules_option(parser)
    _settings_option(parser)


def completion_options(parser: Parser) -> None:
    """What `completion` takes."""
    shells = ("bash", "fish", "zsh")
    parser.add_argument("shell", **_among(*shells), help="the shell that is to read the script")


def no_options(_: Parser) -> None:
    """What a command takes that takes nothing."""


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


def reports(
    texts: Sequence[str], formats: Collection[str] = FORMATS, option: str = "--report"
) -> list[tuple[str, str]]:
    """FORMAT=FILE texts, split and checked."""
    pairs = []
    for text in texts:
        form, equals, name = text.partition("=")
        if not equals or not name or form not in formats:
            hint = meant(form, formats) if equals else f"; if it is a board, name it before {option}"
            raise wrong(
                f'{option}: found "{text}", expected FORMAT=FILE, FORMAT one of {", ".join(formats)}{hint}'
            )
        pairs.append((form, name))
    if sum(name == "-" for _, name in pairs) > 1:
        raise wrong("--report: found - twice, expected at most one report on standard output")
    return pairs


def scheduler(arguments: Namespace) -> str | None:
    """The address of the cluster that does the work, None where this machine does. InputError otherwise."""
    named: str | None = arguments.scheduler
    if arguments.engine != "dask":
        if named is not None:
            raise wrong("--scheduler: found without --engine dask, which is what it is for")
        return None
    if named is None:
        raise wrong("--engine dask: found no --scheduler, expected the address of a dask scheduler")
    if arguments.jobs is not None:
        raise wrong("--jobs: found with --engine dask, where the cluster says how many work at once")
    return named
