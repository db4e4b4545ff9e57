"""The tables of a part file, key by key: a merged TOML table comes in, a Part goes out, or refusals.

`PART` names every key of a part and how it is read; what a table does not give stays None.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, get_args

from drc.blocks import electrical
from drc.blocks import readers as r
from drc.blocks.model import (
    TIMING_FUNCTIONS,
    Discharge,
    Gate,
    Helper,
    InputPin,
    Ladder,
    Part,
    PartUnit,
    RatePin,
    Regulator,
    Signal,
    SupplyRating,
    Switch,
    Trigger,
)  # fmt: skip
from drc.blocks.modulation import modulate
from drc.blocks.refusal import At, Words, nearest
from drc.blocks.roles import INPUT_ROLES, NOT_OWN, ROLES
from drc.quantity.unit import AMPERE, CELSIUS, FARAD, OHM, RATIO, SECOND, VOLT
from drc.trouble import Place

_SUPPLY_ROLE = re.compile(r"supply-[a-z0-9_]+")


def _plain(make: Callable[..., Any], fields: Mapping[str, r.Reader], needed: Sequence[str] = ()) -> r.Reader:
    """A reader of a table whose keys are the fields of the type that `make` makes."""

    def read(value: object, at: At) -> object:
        found = r.table(value, at, fields, needed)
        return None if found is None or not set(needed) <= found.keys() else make(**found)

    return read


def _role(value: object, at: At) -> str | None:
    """A role's name."""
    if isinstance(value, str) and (value in ROLES or value == NOT_OWN or _SUPPLY_ROLE.fullmatch(value)):
        return value
    hint = nearest(value, ROLES) if isinstance(value, str) else ""
    at.refuse(value, "a role, one of " + ", ".join(ROLES) + hint)
    return None


def _package_role(value: object, at: At) -> str | None:
    """A role, or the role of one unit in a package's pins: `A.output`."""
    unit, _, role = value.rpartition(".") if isinstance(value, str) else ("", "", "")
    if unit:
        return None if _role(role, at) is None else str(value)
    return _role(value, at)


_PINS = r.rows(_role, 'a list of roles in the order of an element line, such as ["supply", "output"]')
_PACKAGE_PINS = r.rows(_package_role, "a list of roles in the order of the package's pins")


def _by_name(reader: r.Reader, what: str) -> r.Reader:
    """A reader of a table of tables, its keys being names of the file's choice."""

    def read(value: object, at: At) -> dict[str, Any] | None:
        if not isinstance(value, dict):
            at.refuse(value, what)
            return None
        found = {name: reader(entry, at.below(name)) for name, entry in value.items()}
        return {name: entry for name, entry in found.items() if entry is not None}

    return read


def _alias(value: object, at: At) -> dict[str, tuple[str, ...]] | None:
    """`alias`: by role, the names it has in `.subckt` headers; a name may mean one role only."""
    names = r.rows(r.text, 'a list of pin names, such as ["OUT", "Q"]')
    found = _by_name(names, 'a table of roles and names, such as { output = ["OUT"] }')(value, at)
    if not isinstance(found, dict):
        return None
    owner: dict[str, str] = {}
    for role, entries in found.items():
        _role(role, at.below(role))
        for name in entries:
            other = owner.setdefault(name.casefold(), role)
            if other != role:
                at.below(role).refuse(name, f"a name that is not already one of {other}")
    return found


_SUPPLY = _plain(SupplyRating, {"rated": r.span(VOLT), "limit": r.quantity(VOLT)})
_INPUT = _plain(
    InputPin,
    {
        "low": r.relative, "high": r.relative, "hysteresis": r.apart, "leakage": r.quantity(AMPERE),
        "pull": r.pull, "active": r.choice("high", "low"), "limit": r.relative, "width": r.quantity(SECOND),
    },
)  # fmt: skip


def _inputs(value: object, at: At) -> dict[str, InputPin] | None:
    """`input`: by role, what the pin wants."""
    found = _by_name(_INPUT, 'a table of roles, such as { enable = { high = "0.7 supply" } }')(value, at)
    if not isinstance(found, dict):
        return None
    for role in found:
        if role not in INPUT_ROLES:
            at.below(role).refuse(
                role, "an input role, one of " + ", ".join(INPUT_ROLES) + nearest(role, INPUT_ROLES)
            )
    return found


_RATE = _plain(
    RatePin,
    {
        "voltage": r.span(VOLT), "current": r.span(AMPERE), "resistance": r.span(OHM),
        "capacitance": r.quantity(FARAD), "law": r.choice("ratio", "current"),
    },
)  # fmt: skip
_TRIGGER = _plain(
    Trigger,
    {
        "edge": r.choice("rising", "falling", "both"), "retriggerable": r.truth,
        "recovery": r.quantity(SECOND), "level": r.truth,
    },
)  # fmt: skip
_SIGNAL = _plain(Signal, {"edges": r.choice("rising", "falling", "both"), "restart": r.truth})
_LADDER = _plain(
    Ladder,
    {"lower": r.fraction, "upper": r.fraction, "error": r.width(RATIO), "resistance": r.span(OHM)},
    needed=("lower", "upper"),
)
_DISCHARGE = _plain(Discharge, {"resistance": r.quantity(OHM), "current": r.quantity(AMPERE)})
_REGULATOR = _plain(
    Regulator,
    {
        "output": r.span(VOLT, positive=False), "feedback": r.span(VOLT),
        "dropout": r.quantity(VOLT), "current": r.quantity(AMPERE),
    },
)  # fmt: skip
_GATE = _plain(
    Gate,
    {
        "logic": r.choice("buffer", "inverter", "and", "nand", "or", "nor", "xor", "xnor"),
        "inverts": r.truth, "delay": r.span(SECOND),
    },
)  # fmt: skip
_SWITCH = _plain(
    Switch,
    {
        "side": r.choice("low", "high"), "inverts": r.truth,
        "resistance": r.quantity(OHM), "current": r.quantity(AMPERE),
    },
)  # fmt: skip
_UNIT = _plain(dict, {"pins": _PINS, "alias": _alias}, needed=("pins",))


def _reset(value: object, at: At) -> str | None:
    """`reset`: the level that holds the block in reset."""
    found = r.table(value, at, {"active": r.choice("high", "low")}, needed=("active",))
    return found.get("active") if found else None


def _ladder(value: object, at: At) -> Ladder | None:
    """`ladder`: the lower threshold lies under the upper."""
    found: Ladder | None = _LADDER(value, at)
    if found is not None and isinstance(value, dict) and found.lower >= found.upper:
        at.below("lower").refuse(value["lower"], "a fraction below upper")
    return found


PART: Mapping[str, r.Reader] = {
    "title": r.text,
    "source": r.text,
    "function": r.choice(*TIMING_FUNCTIONS, *get_args(Helper)),
    "pins": _PINS,
    "alias": _alias,
    "supply": _SUPPLY,
    "supplies": _by_name(_SUPPLY, "a table of second supplies by name"),
    "ambient": r.span(CELSIUS, positive=False),
    "rate": _RATE,
    "timing": electrical.timing,
    "strap": electrical.strap,
    "codes": electrical.codes,
    "output": electrical.outputs,
    "input": _inputs,
    "inputs": _plain(dict, {"leakage": r.quantity(AMPERE)}),
    "modulate": modulate,
    "trigger": _TRIGGER,
    "signal": _SIGNAL,
    "reset": _reset,
    "ladder": _ladder,
    "discharge": _DISCHARGE,
    "regulator": _REGULATOR,
    "gate": _GATE,
    "switch": _SWITCH,
    "package": _by_name(
        _plain(dict, {"pins": _PACKAGE_PINS}, needed=("pins",)), "a table of packages by name"
    ),
    "unit": _by_name(_UNIT, "a table of units by name"),
    "consumption": r.span(AMPERE),
    "startup": r.quantity(SECOND),
}
"""Every key of a part, besides `like` and `replaces`, and the reader of its value."""

_SAME_NAME = (
    "title", "source", "function", "pins", "alias", "supply", "supplies", "ambient", "rate", "timing",
    "strap", "codes", "modulate", "trigger", "signal", "ladder", "discharge", "regulator", "gate", "switch",
    "consumption", "startup",
)  # fmt: skip


def build_part(name: str, place: Place, table: Mapping[str, Any], at: At, whole: bool) -> Part:
    """The part that a merged table describes; what is refused goes to `at.sink`, and is left out.

    `whole` is false where a part that this one is like was refused: then nothing is asked for that it
    might have given.
    """
    needed = ("function",) if table.get("unit") else ("function", "pins")
    found = r.table(table, at, PART, needed=needed if whole else ()) or {}
    if "pins" not in table:
        found["pins"] = _pins_of_units([entry["pins"] for entry in found.get("unit", {}).values()])
    pins = found.get("pins", ())
    part = Part(name, place, **{key: found[key] for key in _SAME_NAME if key in found})
    part = part._replace(
        outputs=found.get("output", ()),
        inputs=_with_leakage(found.get("input", {}), found.get("inputs", {}).get("leakage"), pins),
        reset_active=found.get("reset"),
        packages={key: entry["pins"] for key, entry in found.get("package", {}).items()},
        units=tuple(
            PartUnit(key, entry["pins"], entry.get("alias", {}))
            for key, entry in found.get("unit", {}).items()
        ),
    )
    _agree(part, at)
    return part


def _pins_of_units(units: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """The pins of a package by those of its units: at each position the role that some unit gives it."""
    if len({len(pins) for pins in units}) != 1:
        return ()
    owned = [[role for role in roles if role not in {NOT_OWN, "nc"}] for roles in zip(*units, strict=True)]
    return tuple(roles[0] if roles else "nc" for roles in owned)


def _with_leakage(
    inputs: dict[str, InputPin], leakage: float | None, pins: Sequence[str]
) -> dict[str, InputPin]:
    """Inputs by role, each without a leakage of its own taking the one that holds for all."""
    if leakage is None:
        return inputs
    roles = dict.fromkeys((*inputs, *(role for role in pins if role in INPUT_ROLES)))
    found = {role: inputs.get(role, InputPin()) for role in roles}
    return {
        role: pin if pin.leakage is not None else pin._replace(leakage=leakage) for role, pin in found.items()
    }


def _agree(part: Part, at: At) -> None:
    """Refuse what contradicts itself across the tables of one part."""
    if part.strap is not None:
        for i, row in enumerate(part.codes, 1):
            if row.code >= part.strap.levels:
                at.below("codes").below(str(i)).refuse(
                    Words(f"code {row.code}"),
                    f"a code below {part.strap.levels}, the strap's number of levels",
                )
    for row in part.codes:
        for role in row.when:
            if part.pins and role not in part.pins:
                at.below("codes").refuse(
                    Words(f"when {role}"), "a role that one of the pins has" + nearest(role, part.pins)
                )
    for name, pins in part.packages.items():
        _same_roles(part, name, pins, at)
    for unit in part.units:
        if part.pins and len(unit.pins) != len(part.pins):
            at.below("unit").below(unit.name).below("pins").refuse(
                list(unit.pins),
                f'{len(part.pins)} roles, one a pin of the part ("-" where not its own)',
            )
    for name in part.supplies:
        if part.pins and f"supply-{name}" not in part.pins:
            at.below("supplies").below(name).refuse(name, f'a pin with the role "supply-{name}"')


def _same_roles(part: Part, name: str, pins: Sequence[str], at: At) -> None:
    """Refuse a package that has not the roles of the part's own pins; unused pins do not count."""
    unused = {"nc", NOT_OWN}
    own, given = set(part.pins) - unused, {role.rpartition(".")[2] for role in pins} - unused
    if part.pins and own != given:
        pieces = [f"{name} lacks {', '.join(sorted(own - given))}"] if own - given else []
        pieces += [f"{name} adds {', '.join(sorted(given - own))}"] if given - own else []
        at.below("pins").refuse(
            Words(f"other roles than package {name} has"), f"the same in both: {' and '.join(pieces)}"
        )
