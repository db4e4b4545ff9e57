"""The commands: each takes what was asked for, prints its pages and gives the exit code."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from drc.gate.effort import Work
from drc.gate.known import Known, known_text
from drc.gate.output import check_writable, from_here, page_width, print_page, print_report, write_whole
from drc.gate.page import Extra, Page
from drc.gate.pipeline import take_inventory, with_known
from drc.gate.project import Project, Request, open_project
from drc.gate.reviewing import reviewed_boards, watching
from drc.outcome import BoardOutcome, Review
from drc.report.formats import fleet_renderer, renderer

PASSED, FOUND, WRONG_INPUT, BUG = 0, 1, 2, 3
"""Exit codes: nothing at the gate; something is; an input is wrong; our own fault."""

STANDARD_OUTPUT = "-"


class Output(NamedTuple):
    """What a review is to write: (format, file) pairs of reports and of fleet reports, and extra pages.

    `-` is standard output.
    """

    reports: Sequence[tuple[str, str]] = ()
    fleets: Sequence[tuple[str, str]] = ()
    extra: Extra = Extra()


def review(request: Request, output: Output, work: Work) -> int:
    """Reviews boards, prints findings as they come, writes the reports, prints the summary."""
    for _, name in (*output.reports, *output.fleets):
        if name != STANDARD_OUTPUT:
            check_writable(Path(name).absolute())
    project = open_project(request)
    writes_known = project.known_file if project.taking is not None else None
    if writes_known is not None:
        check_writable(writes_known)
    standard = any(name == STANDARD_OUTPUT for _, name in (*output.reports, *output.fleets))
    page = Page(project, sys.stderr if standard else sys.stdout, counted=bool(output.fleets))
    outcome = _reviewed(project, request, work, page)
    if writes_known is not None:
        known = project.known or Known(project.shown(writes_known))
        write_whole(writes_known, known_text(outcome.boards, known, project.root))
    for form, name in output.reports:
        _write(name, renderer(form)(outcome))
    if output.fleets and page.count is not None:
        fleet = page.count.fleet(outcome)
        for form, name in output.fleets:
            _write(name, fleet_renderer(form)(fleet))
    page.end(outcome, output.extra)
    # What cannot be reviewed beats what was found.
    return _unread_code(page.bug, page.digest.unread > 0) or (PASSED if outcome.passed else FOUND)


def _write(name: str, text: str) -> None:
    """A report into its file, or on standard output."""
    if name == STANDARD_OUTPUT:
        print_report(text)
    else:
        write_whole(Path(name), text)


def _reviewed(project: Project, request: Request, work: Work, page: Page) -> Review:
    """The review, its findings printed."""
    # What is known already shows only when every board is there: a finding may have moved with its board.
    at_once = project.known is None and project.taking is None
    with watching(project) as bar:

        def told(board: BoardOutcome) -> None:
            bar.step()
            if at_once:
                page.add(board, bar.hide)

        boards = with_known(reviewed_boards(project, request, work, told), project)
    for board in () if at_once else boards:
        page.add(board)
    return page.met.review(boards)


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
    return _unread_code(any(board.bug for board in boards), any(board.error is not None for board in boards))


def _unread_code(bug: bool, unread: bool) -> int:
    """A bug beats an unreadable board."""
    return BUG if bug else WRONG_INPUT if unread else PASSED
