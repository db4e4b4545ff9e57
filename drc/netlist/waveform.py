"""What an independent source does, from its line: settled value, levels, period, times.

Meaning and defaults of the forms: SPICE user's guide, "Independent sources".
"""

from collections.abc import Callable, Sequence
from itertools import pairwise

from drc.circuit.model import Waveform
from drc.netlist.cards import Card
from drc.netlist.expression import ExpressionError
from drc.netlist.words import Pair, Word

FORMS = frozenset({"pulse", "sin", "sine", "pwl", "exp", "sffm", "am"})
_OTHER = frozenset(
    {"ac", "distof1", "distof2", "external", "portnum", "z0", "noise", "trnoise", "trrandom", "wav"}
)

Number = Callable[[Word], float]


def waveform_of(card: Card, number: Number) -> Waveform | None:
    """The waveform on a V or I line; `number` gives a word its value. None where the line does not say.

    Raises ExpressionError where a value has none.
    """
    words = [word for word in card.tail if word.kind != "p"]
    constant: float | None = None
    form: str | None = None
    values: list[Word] = []
    i = 0
    while i < len(words):
        low = words[i].text.lower()
        if low in FORMS:
            form, values = low, _run(words, i + 1)
            i += len(values)
        elif low in _OTHER:
            i += len(_run(words, i + 1))
        elif low == "dc":
            constant = number(words[i + 1]) if i + 1 < len(words) else 0.0
            i += 1
        elif constant is None and form is None:
            constant = number(words[i])
        i += 1
    pairs = {pair.name.text.lower(): pair for pair in card.pairs}
    if constant is None and "dc" in pairs:
        constant = number(pairs["dc"].values[0])
    if form is not None:
        return _FORMS[form]([number(word) for word in values if word.text.lower() not in _MARKS], pairs)
    if constant is None:
        return Waveform("dc", 0.0, (0.0,)) if not words and not pairs else None
    return Waveform("dc", constant, (constant,))


_MARKS = frozenset({"r", "repeat", "td", "forever", "endrepeat", "for"})


def _run(words: Sequence[Word], i: int) -> list[Word]:
    """The words from `i` on that belong to the form before them."""
    run: list[Word] = []
    while i < len(words) and words[i].text.lower() not in FORMS | _OTHER | {"dc"}:
        run.append(words[i])
        i += 1
    return run


def _at(values: Sequence[float], i: int) -> float | None:
    return values[i] if i < len(values) else None


def _levels(*values: float) -> tuple[float, ...]:
    return tuple(sorted(set(values)))


def _pulse(values: Sequence[float], pairs: dict[str, Pair]) -> Waveform:
    """PULSE(v1 v2 td tr tf pw per np): without a width it stays at v2, without a period it comes once."""
    if len(values) < 2:
        raise ExpressionError("no-value", "PULSE needs its two levels; write PULSE(V1 V2 ...)")
    first, second = values[0], values[1]
    rise, fall, width, period = (_at(values, i) for i in (3, 4, 5, 6))
    times = _at(values, 7)
    if width is None or width <= 0:
        return Waveform("pulse", second, _levels(first, second), None, None, rise, fall)
    if period is None or period <= 0 or times:
        return Waveform("pulse", first, _levels(first, second), None, width, rise, fall)
    settled = first if first == second else None
    high = width if second >= first else max(period - width - (rise or 0.0) - (fall or 0.0), 0.0)
    return Waveform("pulse", settled, _levels(first, second), period, high, rise, fall)


def _sine(values: Sequence[float], pairs: dict[str, Pair]) -> Waveform:
    """SIN(vo va freq td theta): settles at vo where it is damped or has no swing."""
    if not values:
        raise ExpressionError("no-value", "SIN needs its offset; write SIN(VO VA FREQ ...)")
    swing, frequency, damping = _at(values, 1) or 0.0, _at(values, 2), _at(values, 4)
    levels = _levels(values[0] - swing, values[0] + swing)
    settled = values[0] if swing == 0 or (damping is not None and damping > 0) else None
    return Waveform("sin", settled, levels, 1 / frequency if frequency else None)


def _piecewise(values: Sequence[float], pairs: dict[str, Pair]) -> Waveform:
    """PWL(t1 v1 t2 v2 ...): stays at the last value; `r=` repeats."""
    levels = list(values[1::2])
    if not levels:
        raise ExpressionError("no-value", "PWL needs pairs of time and value; write PWL(T1 V1 T2 V2 ...)")
    times = list(values[: 2 * len(levels) : 2])
    held = [a for a, b in pairwise(levels) if a == b] + [levels[-1]]
    rises = [(t1 - t0) for t0, t1, a, b in zip(times, times[1:], levels, levels[1:], strict=False) if b > a]
    falls = [(t1 - t0) for t0, t1, a, b in zip(times, times[1:], levels, levels[1:], strict=False) if b < a]
    repeats = "r" in pairs or "repeat" in pairs
    period = times[-1] - times[0] if repeats else None
    settled = None if repeats and len(set(levels)) > 1 else levels[-1]
    found = _levels(*levels) if repeats else _levels(levels[0], *held)
    return Waveform("pwl", settled, found, period, None, max(rises, default=None), max(falls, default=None))


def _exponential(values: Sequence[float], pairs: dict[str, Pair]) -> Waveform:
    """EXP(v1 v2 td1 tau1 td2 tau2): goes to v2 and, where td2 is given, back to v1."""
    if len(values) < 2:
        raise ExpressionError("no-value", "EXP needs its two levels; write EXP(V1 V2 ...)")
    settled = values[0] if len(values) > 4 else None
    return Waveform("exp", settled, _levels(values[0], values[1]))


def _modulated(kind: str) -> Callable[[Sequence[float], dict[str, Pair]], Waveform]:
    """SFFM(vo va fc mdi fs) and AM(va vo mf fc td): they never settle."""

    def form(values: Sequence[float], pairs: dict[str, Pair]) -> Waveform:
        if len(values) < 2:
            raise ExpressionError("no-value", f"{kind.upper()} needs its levels")
        middle, swing = (values[0], values[1]) if kind == "sffm" else (values[1] * values[0], 2 * values[0])
        carrier = _at(values, 2 if kind == "sffm" else 3)
        return Waveform(kind, None, _levels(middle - swing, middle + swing), 1 / carrier if carrier else None)

    return form


_FORMS: dict[str, Callable[[Sequence[float], dict[str, Pair]], Waveform]] = {
    "pulse": _pulse, "sin": _sine, "sine": _sine, "pwl": _piecewise, "exp": _exponential,
    "sffm": _modulated("sffm"), "am": _modulated("am"),
}  # fmt: skip
