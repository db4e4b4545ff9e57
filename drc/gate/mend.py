"""The mend command: remedies as a unified diff, written on request, with the second review's verdict."""

import os
import sys
from pathlib import Path

from drc.gate.commands import FOUND, PASSED
from drc.gate.materials import of_board
from drc.gate.output import check_writable, from_here, page_width, print_page, write_bytes
from drc.gate.pipeline import bench_of
from drc.gate.project import Project, Request, open_project
from drc.gate.refusal import refused
from drc.netlist.source import decode
from drc.outcome import Mended, MendedFile
from drc.repair.mending import Mending
from drc.repair.mending import mend as mending_of
from drc.report.mending import mending_page
from drc.trouble import LEVELS


def mend(request: Request, write: bool) -> int:
    """Shows what would mend a board, and with `write` does it; 1 where findings at the gate remain."""
    project = open_project(request)
    if len(project.boards) != 1:
        raise refused("PATH", f"mend takes one board, and {len(project.boards)} are named")
    board = project.boards[0]
    mending = mending_of(bench_of(board, of_board(board, project)))
    if write:
        for path in mending.after:
            check_writable(path)
        for path, data in mending.after.items():
            write_bytes(path, data)
    page = mending_page(_mended(mending, project, write), page_width(sys.stdout), from_here(project.root))
    print_page(page, sys.stdout)
    gate = LEVELS.index(project.gate)
    remains = any(LEVELS.index(finding.level) >= gate for finding in mending.left.findings)
    return FOUND if remains else PASSED


def _mended(mending: Mending, project: Project, written: bool) -> Mended:
    """The outcome that the page shows."""
    files = tuple(
        MendedFile(
            _shown(path, project.root),
            decode(mending.before[path], "").text,
            decode(mending.after[path], "").text,
        )
        for path in sorted(mending.before)
    )
    return Mended(
        steps=tuple((step.finding, step.remedy) for step in mending.steps),
        refused=tuple((r.finding, r.spoiler.remedy, r.spoiler.worse) for r in mending.refusals),
        files=files,
        left=mending.left.findings,
        written=written,
    )


def _shown(path: Path, root: Path) -> str:
    return Path(os.path.relpath(path, root)).as_posix()
