"""What a review prints: findings as they come, and at the end what all boards come to."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain
from typing import TYPE_CHECKING, NamedTuple, TextIO

from drc.gate.effort import MANY
from drc.gate.output import from_here, page_width, print_page
from drc.gate.pipeline import Met
from drc.gate.project import Project
from drc.gate.refusal import refused
from drc.outcome import BoardOutcome, Review
from drc.report.lines import board_lines
from drc.report.summary import Digest, summary
from drc.report.text import Row, row

if TYPE_CHECKING:
    from drc.gate.fleet_count import FleetCount


class Extra(NamedTuple):
    """What is printed beside findings and summary: every verdict, and how the facts of some blocks came."""

    tally: bool = False
    explain: Sequence[str] = ()


class Page:
    """The page of one review, on a stream. Boards are added in order, their known findings marked."""

    def __init__(self, project: Project, stream: TextIO, *, counted: bool) -> None:
        self.met = Met(project)
        self.digest = Digest(project.gate)
        self.bug = False
        self._many = len(project.boards) >= MANY
        self.count = _fleet_count(project) if counted or self._many else None
        self._stream = stream
        self._shown = from_here(project.root)
        self._printed = False

    def add(self, board: BoardOutcome, clear: Callable[[], None] = lambda: None) -> None:
        """One board more: its findings are printed, where it has any, once the way is cleared."""
        self.met.add(board)
        self.digest.add(board)
        self.bug |= board.bug
        if self.count is not None:
            self.count.add(board)
        lines = board_lines(board, self._shown)
        if lines:
            clear()
            print_page([row(line) for line in lines], self._stream)
            self._printed = True

    def end(self, review: Review, extra: Extra) -> None:
        """Prints what stands behind the findings. InputError for a block to explain that no board has."""
        width = page_width(self._stream)
        fleet: Iterable[Row] = ()
        if self._many and self.count is not None:
            from drc.report.fleet import fleet_page

            fleet = fleet_page(self.count.fleet(review), width, self._shown)
        gap: list[Row] = [()] if self._printed else []
        rows = summary(review, width, self._shown, self.digest, fleet)
        print_page(chain(gap, _extra_rows(review, extra, width), rows), self._stream)
        _check_explained(review, extra.explain)


def _fleet_count(project: Project) -> "FleetCount":
    from drc.gate.fleet_count import FleetCount  # a few boards do without

    return FleetCount(project.gate)


def _extra_rows(review: Review, extra: Extra, width: int) -> Iterator[Row]:
    """The pages of --explain and --tally, each followed by an empty line."""
    if extra.explain:
        from drc.report.explain import explain  # rarely asked for

        for board in review.boards:
            for block in board.blocks:
                if _named(block.block.path, extra.explain):
                    yield from explain(block, width)
                    yield ()
    if extra.tally:
        from drc.report.verdicts import verdicts  # rarely asked for

        yield from verdicts(review, width)
        yield ()


def _named(path: str, names: Iterable[str]) -> bool:
    """Whether a block is one of those named, letter case ignored."""
    return path.casefold() in {name.casefold() for name in names}


def _check_explained(review: Review, names: Sequence[str]) -> None:
    """InputError for a block to explain that no board has."""
    if not names:
        return
    paths = [block.block.path for board in review.boards for block in board.blocks]
    for name in names:
        if not any(_named(path, (name,)) for path in paths):
            known = ", ".join([*dict.fromkeys(paths)][:12]) or "none at all"
            raise refused("--explain", f"no block {name} on these boards: there is {known}")
