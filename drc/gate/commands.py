"""The commands: each takes what was asked for, prints its pages and gives the exit code."""

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from drc.gate.known import Known, known_text
from drc.gate.output import check_writable, from_here, page_width, print_page, print_report, write_whole
from drc.gate.pipeline import each_board, review_project, take_inventory
from drc.gate.project import Project, Request, open_project
from drc.gate.search import refused
from drc.outcome import BoardOutcome, Review
from drc.report.formats import renderer
from drc.report.lines import review_lines
from drc.report.summary import summary
from drc.report.text import Row, row

PASSED, FOUND, WRONG_INPUT, BUG = 0, 1, 2, 3
"""Exit codes: nothing at the gate; something is; an input is wrong; our own fault."""

STANDARD_OUTPUT = "-"
_MANY = 8
"""From how many boards on a terminal is shown how far they are."""


class Output(NamedTuple):
    """What a review is to write: (format, file) pairs, `-` being standard output, and extra pages.

    `jobs` processes do it; None: as many as the number of boards is worth.
    """

    reports: Sequence[tuple[str, str]] = ()
    tally: bool = False
    explain: Sequence[str] = ()
    jobs: int | None = None


def review(request: Request, output: Output) -> int:
    """Reviews boards, writes the reports, prints findings and summary."""
    for _, name in output.reports:
        if name != STANDARD_OUTPUT:
            check_writable(Path(name).absolute())
    project = open_project(request)
    writes_known = project.known_file if project.taking is not None else None
    if writes_known is not None:
        check_writable(writes_known)
    outcome = review_project(project, _watched(_outcomes(project, request, output.jobs), project))
    if writes_known is not None:
        known = project.known or Known(project.shown(writes_known))
        write_whole(writes_known, known_text(outcome.boards, known, project.root))
    stream = sys.stdout
    for form, name in output.reports:
        text = renderer(form)(outcome)
        if name == STANDARD_OUTPUT:
            print_report(text)
            stream = sys.stderr
        else:
            write_whole(Path(name), text)
    shown = from_here(project.root)
    width = page_width(stream)
    rows = [row(line) for line in review_lines(outcome, shown)]
    rows += [(), *_extra_pages(outcome, output, width), *summary(outcome, width, shown)]
    print_page(rows if rows[0] else rows[1:], stream)
    _check_explained(outcome, output)
    return _exit_code(outcome)


def inventory(request: Request, *, chained: bool = False) -> int:
    """Prints the blocks of boards and their timing, unjudged; if `chained`, which block acts on which."""
    from drc.report.inventory import inventory as table  # this command alone needs it

    project = open_project(request)
    boards = tuple(_watched(take_inventory(project), project))
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


def _outcomes(project: Project, request: Request, jobs: int | None) -> Iterable[BoardOutcome]:
    """The boards' outcomes in order, by one process or by several."""
    if jobs == 1 or len(project.boards) == 1:
        return each_board(project)
    from drc.gate.archive import reviewed  # a single board does without
    from drc.gate.jobs import jobs_for

    number = jobs_for(len(project.boards), jobs)
    return each_board(project) if number == 1 else reviewed(project, request, number)


def _watched(outcomes: Iterable[BoardOutcome], project: Project) -> Iterable[BoardOutcome]:
    """The outcomes as they come; on a terminal it is shown how far many boards are."""
    if len(project.boards) < _MANY or not sys.stderr.isatty():
        return outcomes
    from drc.report.terminal import with_progress  # its library is slow to load

    return with_progress(outcomes, len(project.boards), "reviewing", sys.stderr)


def _unread_code(boards: Sequence[BoardOutcome]) -> int:
    """A bug beats an unreadable board."""
    if any(board.bug for board in boards):
        return BUG
    return WRONG_INPUT if any(board.error is not None for board in boards) else PASSED


def _exit_code(outcome: Review) -> int:
    """What cannot be reviewed beats what was found."""
    return _unread_code(outcome.boards) or (PASSED if outcome.passed else FOUND)
