"""One review, from a project's boards to the outcome: the page to read first.

text -> circuit -> blocks -> facts -> verdicts -> rulings -> outcome; each arrow is one call below.
"""

from collections.abc import Callable, Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from drc.blocks.find import find_blocks
from drc.circuit.model import Circuit, SourceFile
from drc.facts.book import Book
from drc.facts.catalogue import open_book
from drc.gate.bug import Guard
from drc.gate.collect import block_outcomes, chain_outcomes
from drc.gate.known import mark_known, starting_point
from drc.gate.margins import margins
from drc.gate.materials import of_board
from drc.gate.own_rules import OWN_RULES
from drc.gate.project import Project
from drc.gate.rounding import rounded_fact
from drc.gate.rulings import dated, rule_on
from drc.gate.statements import stated
from drc.judge.assess import assess
from drc.judge.model import Finding
from drc.netlist.read import read_circuit
from drc.outcome import BoardOutcome, Review, RuleText
from drc.trouble import LEVELS, InputError, Level, Trouble
from drc.version import __version__

if TYPE_CHECKING:
    from drc.repair.trial import Bench


def review_project(project: Project, outcomes: Sequence[BoardOutcome] | None = None) -> Review:
    """Every board of the project, reviewed; one that cannot be read is kept with its error.

    `outcomes` are those of its boards in order, where somebody else worked them out.
    """
    boards = with_known(tuple(each_board(project)) if outcomes is None else outcomes, project)
    met = Met(project)
    for board in boards:
        met.add(board)
    return met.review(boards)


class Met:
    """What a review says of all its boards together, taken in board by board, known findings marked."""

    def __init__(self, project: Project) -> None:
        self._project = project
        self._inputs: dict[SourceFile, None] = {}
        self._passed = True

    def add(self, board: BoardOutcome) -> None:
        """One board more."""
        self._inputs.update(dict.fromkeys(board.inputs))
        self._passed &= holds(board, self._project)

    def review(self, boards: Sequence[BoardOutcome]) -> Review:
        """The review of the boards that were added."""
        project = self._project
        return Review(
            version=__version__,
            date=project.date,
            seed=project.facts.seed,
            draws=project.facts.draws,
            gate=project.gate,
            passed=self._passed,
            inputs=(*project.inputs, *self._inputs),
            boards=boards,
            rules=rule_texts(project),
        )


def rule_texts(project: Project) -> tuple[RuleText, ...]:
    """What reports say of the rules in force."""
    rules = project.rules.rules
    return (*(RuleText(rule.name, rule.title, rule.because, rule.advice) for rule in rules), *OWN_RULES)


def review_board(path: Path, project: Project) -> BoardOutcome:
    """One board, from its text to what the gate makes of it. InputError if it cannot be read as a whole."""
    project = of_board(path, project)
    circuit = read_circuit(path, project.root, project.reading)
    intent, sources = stated(circuit, path, project)
    book = open_book(find_blocks(circuit, project.parts), intent, project.facts)
    judged = assess(book, project.rules)
    if any(finding.verdict != "unproven" for finding in judged.findings):
        from drc.repair.remedies import with_remedies  # a clean board needs none

        judged = with_remedies(book, judged, bench_of(path, project))
    rulings = rule_on([rounded_finding(finding) for finding in judged.findings], intent, project.date)
    outcome = found_on(circuit, path, book, project)
    inputs = (*circuit.files, *sources)
    return outcome._replace(
        rulings=rulings, tally=judged.tally, inputs=inputs, dated=dated(intent), margins=margins(book)
    )


def bench_of(path: Path, project: Project) -> "Bench":
    """What a trial of a board with edits is reviewed under: the same as the board itself."""
    from drc.repair.pool import Pool  # see above
    from drc.repair.trial import Bench

    return Bench(
        path=path,
        root=project.root,
        reading=project.reading,
        parts=project.parts,
        stated=lambda circuit, source: stated(circuit, path, project, source)[0],
        options=project.facts,
        rules=project.rules,
        bom=project.bom,
        pool=Pool(project.stock),
    )


def each_board(project: Project) -> Iterator[BoardOutcome]:
    """The boards reviewed one after the other."""
    return (guarded(review_board, board, project) for board in project.boards)


def take_inventory(project: Project) -> Iterator[BoardOutcome]:
    """Every board's blocks and their facts, unjudged."""
    return (guarded(list_board, board, project) for board in project.boards)


def list_board(path: Path, project: Project) -> BoardOutcome:
    """One board's blocks and their facts. InputError if it cannot be read as a whole."""
    project = of_board(path, project)
    circuit = read_circuit(path, project.root, project.reading)
    intent, sources = stated(circuit, path, project)
    book = open_book(find_blocks(circuit, project.parts), intent, project.facts)
    return found_on(circuit, path, book, project)._replace(inputs=(*circuit.files, *sources))


def found_on(circuit: Circuit, path: Path, book: Book, project: Project) -> BoardOutcome:
    """The outcome of a board before anything is judged."""
    return BoardOutcome(
        path=project.shown(path),
        sha256=circuit.files[0].sha256,
        elements=circuit.element_count,
        nets=circuit.net_count,
        error=None,
        blocks=block_outcomes(book, project.depth),
        rulings=(),
        tally=(),
        inputs=(),
        chains=chain_outcomes(book, project.depth),
        alike=book.board.alike,
    )


def guarded(work: Callable[[Path, Project], BoardOutcome], path: Path, project: Project) -> BoardOutcome:
    """What `work` makes of a board; an outcome that says so where it cannot be read or a bug stops us."""
    with Guard() as guard:
        try:
            return work(path, project)
        except InputError as error:
            message = "; ".join(told(trouble) for trouble in error.troubles)
            return unread(path, project, message)
    return unread(path, project, guard.bug or "")._replace(bug=True)


def told(trouble: Trouble) -> str:
    """A trouble as part of a line; its place only where it names a line."""
    return f"line {trouble.place.line}: {trouble.message}" if trouble.place.line else trouble.message


def unread(path: Path, project: Project, message: str) -> BoardOutcome:
    """The outcome of a board that could not be read as a whole."""
    try:
        digest = sha256(project.tree.read(path)).hexdigest()
    except OSError:
        digest = ""
    return BoardOutcome(project.shown(path), digest, 0, 0, message, (), (), (), ())


def holds(board: BoardOutcome, project: Project) -> bool:
    """Whether a board passes the gate: read, and no open finding at the gate's level or above."""
    if board.error is not None:
        return False
    gate = LEVELS.index(project.gate)
    return not any(r.state == "new" and LEVELS.index(r.finding.level) >= gate for r in board.rulings)


def with_known(boards: Sequence[BoardOutcome], project: Project) -> Sequence[BoardOutcome]:
    """The boards with known findings marked, where the project keeps a file of them."""
    known = project.known
    fixed: Level | None = project.fixed
    if project.taking is not None:
        known, fixed = starting_point(boards, known, project.root, project.taking), None
    return boards if known is None else mark_known(boards, known, project.root, fixed, project.tree.exists)


def rounded_finding(finding: Finding) -> Finding:
    """The finding with the numbers of its evidence rounded."""
    evidence = {name: rounded_fact(fact) for name, fact in finding.evidence.items()}
    return finding._replace(evidence=evidence)
