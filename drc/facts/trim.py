"""What is left of a spread where trimmers are set on each board built: a law with their settings solved for.

A trimmer is set once, at 25 degC and nominal supply. What a board was built with (tolerances) is known by
then and is taken up by the setting as far as the travel goes; what comes later (tempco, ageing, supply,
ambient, leakage, load) is not.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drc.circuit.spread import Cause
from drc.facts.dependence import Dependence, spread
from drc.facts.options import FactOptions
from drc.quantity.span import Span
from drc.quantity.unit import OHM

if TYPE_CHECKING:
    from drc.circuit.network import Array

COARSE = 16
"""Steps over the whole travel of a trimmer before the search closes in."""

ROUNDS = 8
"""Halvings of the step after that: the travel is resolved to a part in 4,000, finer than a hand turns it."""

PASSES = 2
"""How often each of several trimmers is turned in turn."""


class Aim(NamedTuple):
    """A quantity that depends on trimmers, and what is wanted of it."""

    quantity: Dependence
    wanted: Span

    def margin(self, values: "Array") -> "Array":
        """Distance inside what is wanted, in half its width; negative outside, -inf where not known."""
        with np.errstate(invalid="ignore"):
            found = np.minimum(values - self.wanted.low, self.wanted.high - values) / _size(self.wanted)
        return np.where(np.isnan(found), -np.inf, found)


class Trim:
    """The settings of trimmers on each board: those that suit all aims together best.

    `settings` are the causes that trimmers are; `built` tells which others are known when they are set.
    """

    def __init__(
        self, aims: Sequence[Aim], settings: Sequence[Cause], built: Callable[[Cause], bool]
    ) -> None:
        self._settings = tuple(settings)
        turned = {cause.name for cause in settings}
        causes = {c.name: c for aim in aims for c in aim.quantity.causes if c.name not in turned}
        self._causes = tuple(causes.values())
        self._built = np.array([built(cause) for cause in self._causes], dtype=bool)
        self._aims = tuple(aims)
        self._known: tuple[tuple[int, bytes], Array] = ((0, b""), np.empty((0, 0)))

    def allowing(self, options: FactOptions) -> "Trim":
        """The same with each aim narrowed by what moves after the setting, so that the rest is centred."""
        at = self.settings(np.array([[cause.nominal for cause in self._causes]]))[0]
        fixed = dict(zip((cause.name for cause in self._settings), at, strict=True))
        aims = [Aim(aim.quantity, self._left(aim, fixed, options)) for aim in self._aims]
        built = {cause.name for cause, known in zip(self._causes, self._built, strict=True) if known}
        return Trim(aims, self._settings, lambda cause: cause.name in built)

    def _left(self, aim: Aim, fixed: Mapping[str, float], options: FactOptions) -> Span:
        """What is wanted at the moment of setting: less what is still to come on either side."""
        built = {cause.name for cause, known in zip(self._causes, self._built, strict=True) if known}
        causes = tuple(
            _still(cause, fixed.get(cause.name, cause.nominal))
            if cause.name in fixed or cause.name in built
            else cause
            for cause in aim.quantity.causes
        )
        drift = spread(aim.quantity._replace(causes=causes, ties=()), "extreme", options, "trim")
        below, above = drift.middle - drift.low, drift.high - drift.middle
        if not np.isfinite([below, above]).all():
            return aim.wanted
        return aim.wanted._replace(low=aim.wanted.low + below, nominal=None, high=aim.wanted.high - above)

    def settings(self, rows: "Array") -> "Array":
        """The settings (draws, trimmers), ohm, at rows (draws, causes) of what the aims depend on else."""
        nominal = np.array([cause.nominal for cause in self._causes], dtype=float)
        at = np.where(self._built, rows, nominal)
        key = (len(at), at.tobytes())
        if self._known[0] != key:
            # Corners and draws differ in what comes after the setting as well: each board is set once.
            boards, where = np.unique(at, axis=0, return_inverse=True)
            self._known = (key, self._solved(boards)[where.ravel()])
        return self._known[1]

    def _solved(self, at: "Array") -> "Array":
        """Each trimmer at its best, in turn: over its travel in steps, then closing in."""
        middles = [(cause.low + cause.high) / 2 for cause in self._settings]
        found = np.repeat(np.array([middles]), len(at), axis=0)
        for _ in range(PASSES if len(self._settings) > 1 else 1):
            for column, cause in enumerate(self._settings):
                step = (cause.high - cause.low) / COARSE
                trials = np.repeat(np.linspace([cause.low], [cause.high], COARSE + 1).T, len(at), axis=0)
                self._turn(at, found, column, trials)
                for _ in range(ROUNDS):
                    step /= 2
                    around = found[:, [column]] + np.array([[0.0, -step, step]])
                    self._turn(at, found, column, np.clip(around, cause.low, cause.high))
        return found

    def _turn(self, at: "Array", found: "Array", column: int, trials: "Array") -> None:
        """Put the best of the trials (draws, trials) of one trimmer into `found`.

        What does not lean on the trimmer has no voice: were it the worst, all trials would look alike.
        """
        count, name = trials.shape[1], self._settings[column].name
        rows, settings = np.repeat(at, count, axis=0), np.repeat(found, count, axis=0)
        settings[:, column] = trials.ravel()
        margins = [
            aim.margin(self.value(aim.quantity, rows, settings))
            for aim in self._aims
            if any(cause.name == name for cause in aim.quantity.causes)
        ]
        best = np.argmax(np.min(margins, axis=0).reshape(-1, count), axis=1)
        found[:, column] = trials[np.arange(len(trials)), best]

    def value(self, quantity: Dependence, rows: "Array", settings: "Array") -> "Array":
        """A quantity (draws,) at rows of the other causes and at settings."""
        names = [cause.name for cause in (*self._causes, *self._settings)]
        both = np.hstack([rows, settings])
        with np.errstate(all="ignore"):
            return quantity.law(both[:, [names.index(cause.name) for cause in quantity.causes]])

    def trimmed(self, quantity: Dependence) -> Dependence:
        """One of the aims' quantities with its trimmers set on each board."""
        return quantity._replace(
            causes=self._causes,
            law=lambda rows: self.value(quantity, rows, self.settings(rows)),
            ties=tuple(tie for aim in self._aims for tie in aim.quantity.ties),
        )

    def turned(self, options: FactOptions) -> tuple[Span, ...]:
        """The settings that the tolerances ask for, ohm, a span a trimmer."""
        still = tuple(
            cause if known else _still(cause, cause.nominal)
            for cause, known in zip(self._causes, self._built, strict=True)
        )

        def one(column: int) -> Dependence:
            return Dependence(OHM, still, lambda rows: self.settings(rows)[:, column])

        return tuple(spread(one(column), "extreme", options, "trim") for column in range(len(self._settings)))


def _still(cause: Cause, value: float) -> Cause:
    """A cause that does not move."""
    return cause._replace(low=value, nominal=value, high=value)


def _size(wanted: Span) -> float:
    """What a margin is measured in: half of what is wanted; of one side, its size."""
    half = (wanted.high - wanted.low) / 2
    if np.isfinite(half) and half > 0:
        return half
    ends = [abs(end) for end in (wanted.low, wanted.high) if np.isfinite(end) and end]
    return max(ends, default=1.0)
