"""The commands: each takes what was asked for, prints its pages and gives the exit code."""

import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import NamedTuple, TextIO

from drc.gate.known import Known, known_text
from drc.gate.output import check_writable, from_here, page_width, print_page, print_report, write_whole
from drc.gate.pipeline import review_project, take_inventory
from drc.gate.project import Project, Request, open_project
from drc.gate.reviewing import Work, reviewed_boards, watching
from drc.gate.search import refused
from drc.outcome import BoardOutcome, Review
from drc.report.formats import renderer
from drc.report.lines import board_lines
from drc.report.summary import summary
from drc.report.text import Row, row

PASSED, FOUND, WRONG_INPUT, BUG = 0, 1, 2, 3
"""Exit codes: nothing at the gate; something is; an input is wrong; our own fault."""

STANDARD_OUTPUT = "-"


class Output(NamedTuple):
    """What a review is to write: (format, file) pairs, `-` being standard output, and extra pages."""

    reports: Sequence[tuple[str, str]] = ()
    tally: bool = False
    explain: Sequence[str] = ()


def review(request: Request, output: Output, work: Work) -> int:
    """Reviews boards, prints findings as they come, writes the reports, prints the summary."""
    for _, name in output.reports:
        if name != STANDARD_OUTPUT:
            check_writable(Path(name).absolute())
    project = open_project(request)
    writes_known = project.known_file if project.taking is not None else None
    if writes_known is not None:
        check_writable(writes_known)
    stream = sys.stderr if any(name == STANDARD_OUTPUT for _, name in output.reports) else sys.stdout
    shown = from_here(project.root)
    outcome, printed = _reviewed(project, request, work, Lines(stream, shown))
    if writes_known is not None:
        known = project.known or Known(project.shown(writes_known))
        write_whole(writes_known, known_text(outcome.boards, known, project.root))
    for form, name in output.reports:
        text = renderer(form)(outcome)
        if name == STANDARD_OUTPUT:
            print_report(text)
        else:
            write_whole(Path(name), text)
    width = page_width(stream)
    rows = [*_extra_pages(outcome, output, width), *summary(outcome, width, shown)]
    print_page([(), *rows] if printed else rows, stream)
    _check_explained(outcome, output)
    return _exit_code(outcome)


class Lines:
    """Where a review's findings are printed, and whether there were any."""

    def __init__(self, stream: TextIO, shown: Callable[[str], str]) -> None:
        self.printed = False
        self._stream, self._shown = stream, shown

    def tell(self, board: BoardOutcome, clear: Callable[[], None] = lambda: None) -> None:
        """Prints a board's findings where it has any, having cleared the way."""
        lines = board_lines(board, self._shown)
        if lines:
            clear()
            print_page([row(line) for line in lines], self._stream)
            self.printed = True


def _reviewed(project: Project, request: Request, work: Work, lines: Lines) -> tuple[Review, bool]:
    """The review, its findings printed, and whether there were any."""
    # What is known already shows only when every board is there: a finding may have moved with its board.
    at_once = project.known is None and project.taking is None
    with watching(project) as bar:

        def told(board: BoardOutcome) -> None:
            bar.step()
            if at_once:
                lines.tell(board, bar.hide)

        outcome = review_project(project, reviewed_boards(project, request, work, told))
    for board in () if at_once else outcome.boards:
        lines.tell(board)
    return outcome, lines.printed


def inventory(request: Request, *, chained: bool = False) -> int:
    """Prints the blocks of boards and their timing, unjudged; if `chained`, which block acts on which."""
    from drc.report.inventory import inventory as table  # this command alone needs it

    project = open_project(request)
    boards = []
    with watching(project) as bar:
        for board in take_inventory(project):
            boards.append(board)
            bar.step()
    width, shown = page_width(sys.stdout), from_here(project.root)
    rows = table(boards, width, shown)
    if chained:
        from drc.report.chains import chains  # rarely asked for

        rows = chains(boards, width, shown)
    print_page(rows, sys.stdout)
    return _unread_code(boards)


def _extra_pages(outcome: Review, output: Output, width: int) -> list[Row]:
    """The pages of --explain and --tally, each followed by an empty line."""
    rows: list[Row] = []
    if output.explain:
        from drc.report.explain import explain  # rarely asked for

        for board in outcome.boards:
            for block in board.blocks:
                if _named(block.block.path, output.explain):
                    rows += [*explain(block, width), ()]
    if output.tally:
        from drc.report.verdicts import verdicts  # rarely asked for

        rows += [*verdicts(outcome, width), ()]
    return rows


def _named(path: str, names: Iterable[str]) -> bool:
    """Whether a block is one of those named, letter case ignored."""
    return path.casefold() in {name.casefold() for name in names}


def _check_explained(outcome: Review, output: Output) -> None:
    """InputError for a block to explain that no board has."""
    paths = [block.block.path for board in outcome.boards for block in board.blocks]
    for name in output.explain:
        if not any(_named(path, (name,)) for path in paths):
            known = ", ".join([*dict.fromkeys(paths)][:12]) or "none at all"
            raise refused("--explain", f"no block {name} on these boards: there is {known}")


def _unread_code(boards: Sequence[BoardOutcome]) -> int:
    """A bug beats an unreadable board."""
    if any(board.bug for board in boards):
        return BUG
    return WRONG_INPUT if any(board.error is not None for board in boards) else PASSED


def _exit_code(outcome: Review) -> int:
    """What cannot be reviewed beats what was found."""
    return _unread_code(outcome.boards) or (PASSED if outcome.passed else FOUND)
