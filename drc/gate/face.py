"""The public face: reading, reviewing and listing boards from Python."""

from collections.abc import Sequence
from datetime import date as Date  # noqa: N812  (a type here)
from pathlib import Path

from drc.circuit.model import Circuit
from drc.gate.collect import Depth
from drc.gate.effort import Work
from drc.gate.pipeline import review_project, take_inventory
from drc.gate.project import Request, open_project
from drc.gate.search import project_root
from drc.gate.settings import KEYS, WrongValueError
from drc.netlist.read import read_circuit
from drc.outcome import BoardOutcome, Review
from drc.trouble import InputError, Level, Place, Trouble

Named = str | Path


def read(path: Named) -> Circuit:
    """The circuit of a netlist: elements with name, kind, nets, value (SI or None), part, parameters, place.

    Lines that cannot be read are in its `troubles`. Raises drc.trouble.InputError if it is no netlist.
    """
    board = Path(path).absolute()
    return read_circuit(board, project_root([board], None))


def review(
    *paths: Named,
    intent: Named | None = None,
    bom: Named | None = None,
    parts: Sequence[Named] = (),
    rules: Sequence[Named] = (),
    settings: Named | None = None,
    known: Named | None = None,
    gate: Level | None = None,
    date: Date | None = None,
    seed: int | None = None,
    draws: int | None = None,
    monte_carlo: bool = False,
    jobs: int = 1,
) -> Review:
    """The review of boards, as the command of that name makes it; arguments as its options, None as there.

    `date` None is today. With `monte_carlo`, each time's Monte Carlo spread is worked out too. With more
    `jobs` than one, boards are reviewed by so many processes, and blocks keep names in place of views. Raises
    drc.trouble.InputError for a wrong argument; a board that cannot be read is in the review, with `error`.
    """
    _check(gate=gate, seed=seed, draws=draws)
    depth: Depth = "all" if monte_carlo else "facts"
    request = Request(
        date=(date or Date.today()).isoformat(),
        paths=paths,
        intent=intent,
        bom=bom,
        parts=parts,
        rules=rules,
        settings=settings,
        known=known,
        gate=gate,
        seed=seed,
        draws=draws,
        depth=depth,
    )
    project = open_project(request)
    if jobs < 2:
        return review_project(project)
    from drc.gate.archive import spooled

    boards = spooled(project, request, Work(jobs, cached=False), lambda _: None)
    return review_project(project, tuple(boards))


def _check(gate: object, seed: object, draws: object) -> None:
    """InputError for a value that the settings would not take either."""
    wrong = []
    for name, key, value in (
        ("gate", "gate", gate),
        ("seed", "spread.seed", seed),
        ("draws", "spread.draws", draws),
    ):
        try:
            if value is not None:
                KEYS[key].read(value)
        except WrongValueError as error:
            wrong.append(Trouble("option", "error", Place(name), f"found {value!r}, expected {error}"))
    if wrong:
        raise InputError(*wrong)


def inventory(
    *paths: Named,
    intent: Named | None = None,
    bom: Named | None = None,
    parts: Sequence[Named] = (),
    settings: Named | None = None,
) -> tuple[BoardOutcome, ...]:
    """The timing blocks of boards and their facts, unjudged. Raises as `review` does."""
    today = Date.today().isoformat()
    request = Request(today, paths, intent=intent, parts=parts, bom=bom, settings=settings, judged=False)
    return tuple(take_inventory(open_project(request)))
