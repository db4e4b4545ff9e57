"""What every report says of how it was made: version, date, gate, draws and seed."""

from typing import Protocol

from drc.resources import JSON
from drc.trouble import Level


class MadeUnder(Protocol):
    """A review, a swap or a fleet, as far as how it was made goes."""

    @property
    def version(self) -> str:
        """Of the tool."""

    @property
    def date(self) -> str:
        """As ISO 8601."""

    @property
    def seed(self) -> int:
        """Of the draws."""

    @property
    def draws(self) -> int:
        """Of a Monte Carlo run."""

    @property
    def gate(self) -> Level:
        """The level from which it fails."""

    @property
    def passed(self) -> bool:
        """Whether it does not."""


def head_json(schema: str, made: MadeUnder) -> dict[str, JSON]:
    """The members that every JSON report begins with."""
    return {
        "schema": schema,
        "tool": {"version": made.version},
        "date": made.date,
        "seed": made.seed,
        "draws": made.draws,
        "gate": made.gate,
        "passed": made.passed,
    }


def provenance(made: MadeUnder, what: str) -> tuple[tuple[str, str], ...]:
    """The same as (name, value) for a page; `what` was made on the date."""
    return (
        ("tickproof", made.version),
        (f"date of the {what}", made.date),
        ("gate", f"fails at {made.gate}{'' if made.gate == 'error' else ' or above'}"),
        ("Monte Carlo", f"{made.draws} draws, seed {made.seed}"),
    )
