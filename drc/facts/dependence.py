"""A quantity as a function of its independent causes, so that what two quantities share stays correlated.

A strap's ratio and the rate current of one block lean on the same ambient and the same supply; kept as
functions, `combine` joins them by the causes' names, and a supply cancels where physics says that it does.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple, TypeVar

import numpy as np

from drc.circuit.spread import CONVENTIONS, Cause, Law, monte_carlo, rss, worst_case
from drc.facts.model import Case, Cases, Fact, Input, Unknown
from drc.facts.options import FactOptions
from drc.intent.model import Method
from drc.quantity.span import Span
from drc.quantity.unit import Unit
from drc.trouble import Place

if TYPE_CHECKING:
    from drc.circuit.network import Array


class Dependence(NamedTuple):
    """A quantity in SI `unit`: `law` maps an array (draws, causes) of cause values to an array (draws,).

    `text` is the law in words and symbols. `ties` are (cause, leader): where only the extremes are asked,
    the first moves with the second, because both push the same way (a resistor's tempco and its tolerance).
    """

    unit: Unit
    causes: tuple[Cause, ...]
    law: Law
    text: str = ""
    inputs: tuple[Input, ...] = ()
    assumptions: tuple[str, ...] = ()
    ties: tuple[tuple[str, str], ...] = ()

    @property
    def nominal(self) -> float:
        """The value with every cause at its nominal."""
        row = np.array([[cause.nominal for cause in self.causes]], dtype=float).reshape(1, len(self.causes))
        with np.errstate(all="ignore"):
            return float(self.law(row)[0])


class States(NamedTuple):
    """A quantity that takes one of several labelled states and nothing between them.

    Each state is the conditions under which it holds, as (what, level) pairs such as ("vctl", "0 V"), and
    the quantity then. States of one source met twice are matched, never crossed.
    """

    states: tuple[tuple[tuple[tuple[str, str], ...], Dependence], ...]


Quantity = Dependence | States | Unknown

MOST_CHOICES = 256
"""Choices of states beyond which a quantity is not worked out: those of eight sources of two levels."""


def constant(value: float, unit: Unit, *inputs: Input, text: str = "") -> Dependence:
    """A quantity that nothing moves."""
    return Dependence(unit, (), lambda x: np.full(len(x), value), text, inputs)


def varying(
    name: str, span: Span, *inputs: Input, bias: bool = False, assumptions: tuple[str, ...] = ()
) -> Dependence:
    """A quantity that is a cause by itself; `name` identifies it over the whole board.

    `bias`: its sign or its end is a matter of circumstance (ambient, supply), never sampled.
    """
    cause = Cause(name, span.middle, span.low, span.high, bias)
    return Dependence(span.unit, (cause,), lambda x: x[:, 0], name, inputs, assumptions)


def combine(
    function: "Callable[..., Array]",
    *parts: Dependence,
    unit: Unit,
    text: str = "",
    inputs: tuple[Input, ...] = (),
    assumptions: tuple[str, ...] = (),
) -> Dependence:
    """The quantity `function(*parts)`, causes of one name taken as one.

    `function` takes one array (draws,) a part and returns an array (draws,), elementwise.
    """
    names: dict[str, int] = {}
    causes: list[Cause] = []
    for part in parts:
        for cause in part.causes:
            if cause.name not in names:
                names[cause.name] = len(causes)
                causes.append(cause)
    inner = [(part.law, _columns([names[cause.name] for cause in part.causes])) for part in parts]

    def law(x: "Array") -> "Array":
        with np.errstate(all="ignore"):  # what is beyond numbers is infinite or nan, and judged as such
            return np.asarray(function(*[each(x[:, where]) for each, where in inner]), dtype=float)

    return Dependence(
        unit,
        tuple(causes),
        law,
        text,
        _merged((*inputs, *(i for part in parts for i in part.inputs))),
        _merged((*assumptions, *(a for part in parts for a in part.assumptions))),
        _merged(tuple(t for part in parts for t in part.ties)),
    )


def lift(
    function: "Callable[..., Array]",
    *parts: Quantity,
    unit: Unit,
    text: str = "",
    inputs: tuple[Input, ...] = (),
    assumptions: tuple[str, ...] = (),
) -> Quantity:
    """As `combine`, for quantities that may be unknown (then so is the result) or take states."""
    unknown = missing(*parts)
    if unknown is not None:
        return unknown

    def apply(*known: Dependence) -> Dependence:
        return combine(function, *known, unit=unit, text=text, inputs=inputs, assumptions=assumptions)

    return each_state(apply, *parts)


def each_state(apply: Callable[..., Dependence], *parts: Quantity) -> Quantity:
    """`apply` to every consistent choice of the parts' states. Unknown parts win, merged.

    Unknown where the choices are more than MOST_CHOICES.
    """
    unknown = missing(*parts)
    if unknown is not None:
        return unknown
    choices: list[tuple[dict[str, str], tuple[Dependence, ...]]] = [({}, ())]
    for part in (each for each in parts if isinstance(each, States)):
        choices = [
            ({**held, **dict(conditions)}, (*chosen, quantity))
            for held, chosen in choices
            for conditions, quantity in part.states
            if all(held.get(k, v) == v for k, v in conditions)
        ]
        if len(choices) > MOST_CHOICES:
            sources = sorted(choices[0][0])
            return Unknown(
                f"the states of {', '.join(sources)} together are more than {MOST_CHOICES}", tuple(sources)
            )
    if len(choices) == 1 and not choices[0][0]:
        return apply(*_chosen(parts, choices[0][1]))
    return States(tuple((tuple(held.items()), apply(*_chosen(parts, each))) for held, each in choices))


def _chosen(parts: tuple[Quantity, ...], chosen: tuple[Dependence, ...]) -> Iterator[Dependence]:
    """The parts, those with states as chosen."""
    of_states = iter(chosen)
    for part in parts:
        if isinstance(part, Dependence):
            yield part
        elif isinstance(part, States):
            yield next(of_states)


def missing(*values: object) -> Unknown | None:
    """All the Unknowns among the values as one, None if there is none."""
    unknown = [value for value in values if isinstance(value, Unknown)]
    if not unknown:
        return None
    return Unknown(
        "; ".join(_merged(tuple(u.because for u in unknown))),
        _merged(tuple(name for u in unknown for name in u.missing)),
    )


def spread(quantity: Dependence, method: Method, options: FactOptions, key: str) -> Span:
    """Low, nominal and high by one of the three methods; `key` is the fact's name, for its random stream.

    nan where the law has no value somewhere in the range (a supply that reaches 0 V under a ratio).
    """
    return _spread(quantity, method, options, key)[0]


def _spread(quantity: Dependence, method: Method, options: FactOptions, key: str) -> tuple[Span, str]:
    """The span by a method, and what a reader must know of how it was found."""
    with np.errstate(all="ignore"):
        return _by_method(quantity, method, options, key)


def _by_method(quantity: Dependence, method: Method, options: FactOptions, key: str) -> tuple[Span, str]:
    """As `_spread`; a division by nothing gives its infinity or nan without a word."""
    if not quantity.causes:
        value = quantity.nominal
        return Span(value, value, value, quantity.unit), ""
    if method == "extreme":
        law, causes = _tied(quantity)
        found = worst_case(law, causes)
        note = "" if found.how == "all corners" else f"extremes by {found.how}"
        return Span(found.low, found.nominal, found.high, quantity.unit), note
    note = CONVENTIONS[options.convention]
    if method == "rss":
        low, nominal, high = rss(quantity.law, quantity.causes, options.convention)
        return Span(low, nominal, high, quantity.unit), f"root-sum-square: {note}"
    law, causes = canonical(quantity)
    low, nominal, high = monte_carlo(law, causes, options.draws, options.seed, key, options.convention)
    return Span(low, nominal, high, quantity.unit), f"Monte Carlo, {options.draws} draws: {note}"


def fact(
    name: str, quantity: Quantity, options: FactOptions, method: Method = "extreme", text: str = ""
) -> Fact:
    """The Fact of a quantity by a method: a span, labelled cases, or unknown."""
    if isinstance(quantity, Unknown):
        return Fact(name, quantity)
    if isinstance(quantity, Dependence):
        value, note = _spread(quantity, method, options, name)
        law = "; ".join(part for part in (text or quantity.text, note) if part)
        if _undefined(value):
            return Fact(name, _no_value(name), law, quantity.inputs, quantity.assumptions)
        return Fact(name, value, law, quantity.inputs, quantity.assumptions)
    members = [each for _, each in quantity.states]
    spans = [_spread(each, method, options, name) for each in members]
    cases = tuple(
        Case(label(conditions), span)
        for (conditions, _), (span, _) in zip(quantity.states, spans, strict=True)
    )
    notes = _merged(tuple(note for _, note in spans))
    return Fact(
        name,
        _no_value(name) if any(_undefined(case.value) for case in cases) else Cases(cases),
        "; ".join(part for part in (text or members[0].text, *notes) if part),
        _merged(tuple(i for each in members for i in each.inputs)),
        _merged(tuple(a for each in members for a in each.assumptions)),
    )


def _undefined(span: Span) -> bool:
    """Whether a law had no value somewhere in its range."""
    return bool(np.isnan([span.low, span.middle, span.high]).any())


def _no_value(name: str) -> Unknown:
    """A law that divides by nothing, or is not solved, somewhere in its range."""
    return Unknown(f"{name} has no value over the whole range of what it depends on", (name,))


def label(conditions: tuple[tuple[str, str], ...]) -> str:
    """The conditions of a state as a reader sees them: `vctl = 0 V`."""
    return ", ".join(f"{what} = {level}" for what, level in conditions)


def input_of(name: str, value: str, origin: str, place: Place | None = None) -> Input:
    """One line of evidence."""
    return Input(name, value, origin, place)


T = TypeVar("T")


def _columns(where: list[int]) -> slice | list[int]:
    """Neighbouring columns as a slice, which costs no copy."""
    if where and where == list(range(where[0], where[0] + len(where))):
        return slice(where[0], where[0] + len(where))
    return where


def _merged(items: tuple[T, ...]) -> tuple[T, ...]:
    """Without repeats, in order."""
    return tuple(dict.fromkeys(items))


def _tied(quantity: Dependence) -> tuple[Law, tuple[Cause, ...]]:
    """The law over the causes that lead, each tied one following its leader's fraction of its range."""
    leader: Mapping[str, str] = dict(quantity.ties)
    place = {cause.name: i for i, cause in enumerate(quantity.causes)}
    led = {i: place[leader[c.name]] for i, c in enumerate(quantity.causes) if leader.get(c.name) in place}
    if not led:
        return quantity.law, quantity.causes
    free = [i for i in range(len(quantity.causes)) if i not in led]
    column = {i: position for position, i in enumerate(free)}
    causes = quantity.causes

    def law(x: "Array") -> "Array":
        full = np.empty((len(x), len(causes)))
        full[:, free] = x
        for follower, head in led.items():
            a, b = causes[head], causes[follower]
            full[:, follower] = np.interp(
                x[:, column[head]], (a.low, a.nominal, a.high), (b.low, b.nominal, b.high)
            )
        return quantity.law(full)

    return law, tuple(causes[i] for i in free)


def canonical(quantity: Dependence) -> tuple[Law, tuple[Cause, ...]]:
    """The law over its causes in an order that names have no part in, so that random streams do not either.

    Sorted by their ends; of alike ones the first is the one with the lesser effect.
    """
    causes = quantity.causes
    effects = _effects(quantity)
    order = sorted(range(len(causes)), key=lambda i: (causes[i][1:], effects[i]))
    back = np.argsort(order)
    return (lambda x: quantity.law(x[:, back])), tuple(causes[i] for i in order)


def _effects(quantity: Dependence) -> list[float]:
    """What each cause at its high end does to the quantity, to nine digits, the biases off their nominal."""
    causes = quantity.causes
    base = [c.low + 0.7 * (c.high - c.low) if c.bias else c.nominal for c in causes]
    rows = np.repeat(np.array([base], dtype=float), len(causes) + 1, axis=0)
    for k, cause in enumerate(causes):
        rows[k, k] = cause.high
    values = quantity.law(rows)
    scale = abs(float(values[-1])) or 1.0
    return [round(float(value) / scale, 9) for value in values[:-1] - values[-1]]
