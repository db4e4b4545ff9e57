"""The swap command: boards before and after, compared one by one, reported, and the exit code."""

import sys
from collections.abc import Sequence
from pathlib import Path

from drc.blocks.model import Board
from drc.gate.bug import Guard
from drc.gate.commands import BUG, FOUND, PASSED, STANDARD_OUTPUT, WRONG_INPUT
from drc.gate.output import check_writable, from_here, page_width, print_page, print_report, write_whole
from drc.gate.pipeline import rule_texts, told, unread
from drc.gate.project import Project
from drc.gate.search import refused
from drc.gate.swap_board import compared
from drc.gate.swap_forms import Swap, SwapRequest, Twins, open_swap
from drc.gate.swap_intent import carried_intent
from drc.gate.swap_list import Replacement
from drc.gate.swap_match import Matched, block_pairs
from drc.gate.swap_names import matched
from drc.gate.swap_replace import replaced
from drc.gate.swap_side import Side, edited_project, side_of
from drc.intent.model import Intent
from drc.outcome import BoardOutcome, BoardSwap, SwapReview
from drc.repair.trial import changed_files
from drc.report.swap_formats import renderer
from drc.report.swap_summary import swap_summary
from drc.trouble import LEVELS, InputError, Level
from drc.version import __version__


def swap(asked: SwapRequest, reports: Sequence[tuple[str, str]], jobs: int | None = None) -> int:
    """Compares boards, writes the reports, prints the page; 1 where a board is not replaced."""
    for _, name in reports:
        if name != STANDARD_OUTPUT:
            check_writable(Path(name).absolute())
    opened = open_swap(asked)
    review = swap_review(opened)
    stream = sys.stdout
    for form, name in reports:
        text = renderer(form)(review)
        if name == STANDARD_OUTPUT:
            print_report(text)
            stream = sys.stderr
        else:
            write_whole(Path(name), text)
    print_page(swap_summary(review, page_width(stream), from_here(opened.before.root)), stream)
    return _exit_code(review)


def swap_review(opened: Swap) -> SwapReview:
    """Every pair of boards compared."""
    project = opened.before
    boards: list[BoardSwap] = []
    used: set[Replacement] = set()
    for twins in opened.twins:
        found, rows = _guarded(twins, opened)
        used |= rows
        boards += found
    if opened.rows and not used and not boards:
        raise refused("--replace", "no row of the list means an element of these boards")
    notes = tuple(f"{row.place}: no board has {row.text}" for row in opened.rows if row not in used)
    sources = {
        source: None for board in boards for side in (board.before, board.after) for source in side.inputs
    }
    return SwapReview(
        version=__version__,
        date=project.date,
        seed=project.facts.seed,
        draws=project.facts.draws,
        gate=project.gate,
        passed=all(holds(board, project.gate) for board in boards)
        and not any(a.side == "before" for a in opened.alone),
        swapped=opened.swapped,
        inputs=(*opened.inputs, *sources),
        boards=tuple(boards),
        rules=rule_texts(project),
        alone=opened.alone,
        untouched=len(opened.twins) - len(boards),
        notes=notes,
    )


def holds(board: BoardSwap, gate: Level) -> bool:
    """Whether a board passes: a replacement, and nothing gained at the gate's level or above."""
    at = LEVELS.index(gate)
    gained = board.gained if board.restored is None else board.left
    open_ = [ruling for ruling in gained if ruling.state == "new"]
    return board.verdict != "not a replacement" and not any(
        LEVELS.index(r.finding.level) >= at for r in open_
    )


def _guarded(twins: Twins, opened: Swap) -> tuple[list[BoardSwap], frozenset[Replacement]]:
    """A pair compared, if a list means anything on it; a comparison that says so where one is unreadable."""
    with Guard() as guard:
        try:
            return _compared(twins, opened)
        except InputError as error:
            message = "; ".join(told(trouble) for trouble in error.troubles)
            return [_unread(twins, opened, message)], frozenset()
    found = _unread(twins, opened, guard.bug or "")
    return [found._replace(before=found.before._replace(bug=True))], frozenset()


def _compared(twins: Twins, opened: Swap) -> tuple[list[BoardSwap], frozenset[Replacement]]:
    """A pair of boards, or a board and itself with a list's parts on it."""
    before = side_of(twins.before, opened.before)
    if twins.after is not None:
        return [_two(before, twins.after, opened.after)], frozenset()
    made = replaced(before.book.board, opened.rows, before.project)
    if not made.elements:
        return [], frozenset()
    files = changed_files(before.bench, made.edits)
    after = side_of(twins.before, edited_project(before.project, files), lambda *_: before.stated)
    match = Matched(block_pairs(before.book.board, after.book.board))
    originals = {path: opened.before.tree.read(path) for path in files}
    return [compared(before, after, match, originals)], made.rows


def _two(before: Side, path: Path, project: Project) -> BoardSwap:
    """A board and another drawing of it, of which the same is asked."""
    found: list[Matched] = []
    notes: list[str] = []

    def asked(board: Board, own: Intent) -> Intent:
        match = matched(before.book.board, board)
        carried = carried_intent(before.stated, own, board.circuit, match)
        found.append(match)
        notes.extend(carried.notes)
        return carried.intent

    after = side_of(path, project, asked)
    return compared(before, after, found[0], {})._replace(notes=tuple(notes))


def _unread(twins: Twins, opened: Swap, message: str) -> BoardSwap:
    """The comparison of boards of which one could not be read as a whole."""
    before = unread(twins.before, opened.before, message)
    after = unread(twins.after or twins.before, opened.after, message)
    return BoardSwap("not a replacement", message, before, after, (), (), ())


def _exit_code(review: SwapReview) -> int:
    """A bug beats what could not be read, and that beats what was found."""
    sides: list[BoardOutcome] = [side for board in review.boards for side in (board.before, board.after)]
    if any(side.bug for side in sides):
        return BUG
    if any(side.error is not None for side in sides):
        return WRONG_INPUT
    return PASSED if review.passed else FOUND
