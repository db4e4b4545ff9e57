"""The swap command: boards before and after, compared one by one, reported, and the exit code."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from drc.gate.commands import BUG, FOUND, PASSED, STANDARD_OUTPUT, WRONG_INPUT
from drc.gate.jobs import jobs_for
from drc.gate.output import check_writable, from_here, page_width, print_page, print_report, write_whole
from drc.gate.pipeline import rule_texts
from drc.gate.refusal import refused
from drc.gate.swap_forms import Swap, SwapRequest, open_swap
from drc.gate.swap_list import Replacement
from drc.gate.swap_work import Done, done_by, each_done
from drc.outcome import BoardOutcome, BoardSwap, SwapReview
from drc.report.swap_formats import renderer
from drc.report.swap_summary import swap_summary
from drc.trouble import LEVELS, Level
from drc.version import __version__

_WATCHED = 8
"""From so many boards a terminal shows how far they are."""


def swap(asked: SwapRequest, reports: Sequence[tuple[str, str]], jobs: int | None = None) -> int:
    """Compares boards, writes the reports, prints the page; 1 where a board is not replaced."""
    for _, name in reports:
        if name != STANDARD_OUTPUT:
            check_writable(Path(name).absolute())
    opened = open_swap(asked)
    number = jobs_for(len(opened.twins), jobs)
    review = swap_review(opened, each_done(opened) if number == 1 else done_by(asked, opened, number))
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


def swap_review(opened: Swap, outcomes: Iterable[Done]) -> SwapReview:
    """The outcomes of every pair as one review. InputError where a list means nothing on any board."""
    project = opened.before
    boards: list[BoardSwap] = []
    used: set[Replacement] = set()
    for outcome in _watched(outcomes, len(opened.twins)):
        boards += [] if outcome.found is None else [outcome.found]
        used |= outcome.rows
    if opened.rows and not boards:
        raise refused("--replace", "no row of the list means an element of these boards")
    sides = [side for board in boards for side in (board.before, board.after)]
    sources = {source: None for side in sides for source in side.inputs}
    gone = any(alone.side == "before" for alone in opened.alone)
    return SwapReview(
        version=__version__,
        date=project.date,
        seed=project.facts.seed,
        draws=project.facts.draws,
        gate=project.gate,
        passed=all(holds(board, project.gate) for board in boards) and not gone,
        swapped=opened.swapped,
        inputs=(*opened.inputs, *sources),
        boards=tuple(boards),
        rules=rule_texts(project),
        alone=opened.alone,
        untouched=len(opened.twins) - len(boards),
        notes=tuple(f"{row.place}: no board has {row.text}" for row in opened.rows if row not in used),
    )


def _watched(outcomes: Iterable[Done], number: int) -> Iterator[Done]:
    """The outcomes as they come; on a terminal it is shown how far many boards are."""
    if number < _WATCHED or not sys.stderr.isatty():
        yield from outcomes
        return
    from drc.report.terminal import Bar  # its library is slow to load

    with Bar(number, "comparing", sys.stderr) as bar:
        for outcome in outcomes:
            yield outcome
            bar.step()


def holds(board: BoardSwap, gate: Level) -> bool:
    """Whether a board passes: a replacement, and nothing gained at the gate's level or above."""
    at = LEVELS.index(gate)
    gained = board.gained if board.restored is None else board.left
    open_ = [ruling for ruling in gained if ruling.state == "new"]
    return board.verdict != "not a replacement" and not any(
        LEVELS.index(r.finding.level) >= at for r in open_
    )


def _exit_code(review: SwapReview) -> int:
    """A bug beats what could not be read, and that beats what was found."""
    sides: list[BoardOutcome] = [side for board in review.boards for side in (board.before, board.after)]
    if any(side.bug for side in sides):
        return BUG
    if any(side.error is not None for side in sides):
        return WRONG_INPUT
    return PASSED if review.passed else FOUND
