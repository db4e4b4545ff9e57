"""Ways to bring wanted times out of an RC timer: its resistors and capacitor anew, or chosen from the law."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from drc.blocks.model import Block
from drc.facts import pulse_modulator, rc_timer
from drc.facts.book import Book
from drc.facts.dependence import Dependence, Quantity
from drc.facts.expect import book_under, in_points
from drc.facts.model import Unknown
from drc.intent.model import Expect
from drc.quantity.span import Span
from drc.repair.adding import New, added
from drc.repair.change import Candidate
from drc.repair.fit import Fit, Target, choice, fits
from drc.repair.goal import time_of
from drc.repair.placing import wires
from drc.repair.rcshape import TOLERANCES, Shape, astables, one_shots
from drc.repair.retime import Way
from drc.repair.sweep import Adjustable, adjustables
from drc.repair.trial import Bench

if TYPE_CHECKING:
    from drc.circuit.network import Array
    from drc.repair.fit import Bools

_SHAPES = 3
"""How many sets of new values are tried with each tolerance."""


def rc_retimed(bench: Bench, book: Book, block: Block, wants: Sequence[Expect]) -> list[Way]:
    """Every way that a sweep finds, best first; new elements where the timer has none."""
    wired = rc_timer.wired(book, block)
    if isinstance(wired, Unknown):
        return list(_new(bench, book, block, wants))
    timed = [want for want in wants if want.quantity in _made_by(wired.kind == "one-shot")]
    targets = [_target(book, block, want) for want in timed]
    known = [target for target in targets if target is not None]
    if not known or len(known) < len(timed):
        return []
    return _refitted(bench, book, known, "the wanted time")


def _made_by(one_shot: bool) -> tuple[str, ...]:
    """What resistors and capacitor set: how often a one-shot comes is its trigger's business."""
    return ("pulse-width",) if one_shot else ("period", "frequency", "duty")


def modulated(bench: Bench, book: Book, block: Block, wants: Sequence[Expect]) -> list[Way]:
    """Ways to bring a wanted duty out of a pulse modulator by the resistors on its modulate pin."""
    targets = [_target(book, block, want) for want in wants if want.quantity == "duty"]
    known = [target for target in targets if target is not None]
    return _refitted(bench, book, known, "the wanted duty") if known else []


def _refitted(bench: Bench, book: Book, targets: Sequence[Target], goal: str) -> list[Way]:
    """Resistors anew, and where they alone do not do, capacitors with them."""
    elements: dict[str, Adjustable] = {}
    for target in targets:
        names = [cause.name for cause in target.quantity.causes]
        elements |= {each.path: each for each in adjustables(book, names, target.quantity, "RC")}
    resistors = [each for each in elements.values() if each.element.kind == "R"]
    chosen = partial(choice, bench.pool)
    found = fits(targets, resistors, chosen, _any) or fits(targets, list(elements.values()), chosen, _any)
    return sorted((_way(fit, goal) for fit in found), key=lambda way: way.rank)


def _target(book: Book, block: Block, want: Expect) -> Target | None:
    """The quantity of a want under its condition, and what is wanted of it; None where it is not known."""
    under = book_under(book, want.condition)
    made = None if isinstance(under, Unknown) else _quantity(under, block, want.quantity)
    wanted = in_points(want) if want.quantity == "duty" else time_of(want)
    if not isinstance(made, Dependence) or not isinstance(wanted, Span):
        return None
    return Target(made, wanted, 100.0 if want.quantity == "duty" else None)


def _quantity(book: Book, block: Block, quantity: str) -> Quantity:
    if quantity == "duty":
        return (rc_timer.duty if block.part.function == "rc-timer" else pulse_modulator.duty)(book, block)
    return (rc_timer.pulse_width if quantity == "pulse-width" else rc_timer.period)(book, block)


def _any(elements: tuple[Adjustable, ...], rows: "Array") -> "Bools":
    return np.ones(len(rows), dtype=bool)


def _way(fit: Fit, goal: str) -> Way:
    names = ", ".join(change.element.path for change in fit.changes)
    return Way(Candidate(fit.changes, f"{names} for {goal}", len(fit.changes), 0), fit.off)


def _new(bench: Bench, book: Book, block: Block, wants: Sequence[Expect]) -> Iterator[Way]:
    """Resistors and a capacitor for a timer that has none, the loosest capacitor first."""
    own, ladder = wires(block), block.part.ladder
    nets = {role: own.word(role) for role in ("supply", "ground", "threshold", "trigger", "discharge")}
    if ladder is None or None in nets.values():
        return
    words = {role: word or "" for role, word in nets.items()}
    astable = words["threshold"].lower() == words["trigger"].lower()
    wants = [want for want in wants if want.quantity in _made_by(not astable)]
    times = [time for want in wants if want.quantity != "duty" and (time := time_of(want)) is not None]
    duties = [duty for want in wants if want.quantity == "duty" and isinstance(duty := in_points(want), Span)]
    if not times:
        return
    shapes = (
        astables(ladder, times[0].middle, duties[0].middle / 100 if duties else None, bench.pool.between)
        if astable
        else one_shots(ladder, times[0].middle, bench.pool.between)
    )
    for tolerance, shape in product(TOLERANCES, shapes[:_SHAPES]):
        lines = added(bench, book, block, _elements(words, own.word("control"), shape, tolerance))
        if lines is not None:
            why = f"resistors and a capacitor of {100 * tolerance:g} % for {block.path}"
            yield Way(Candidate((lines,), why, len(lines.lines), 9), shape.off)


def _elements(
    words: Mapping[str, str], control: str | None, shape: Shape, tolerance: float
) -> tuple[New, ...]:
    """What is added: resistors, the capacitor, and what holds the control pin still."""
    supply, ground, node = words["supply"], words["ground"], words["threshold"]
    held = () if control is None else (New("C", (control, ground), 10e-9),)
    capacitor = New("C", (node, ground), shape.farad, f"tol={100 * tolerance:g}%")
    if shape.upper is None:
        return (New("R", (supply, node), shape.main), capacitor, *held)
    tap = words["discharge"]
    return (New("R", (supply, tap), shape.upper), New("R", (tap, node), shape.main), capacitor, *held)
