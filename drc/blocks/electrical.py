"""The tables of a part file that need more than key by key: timing, strap, codes, outputs."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from drc.blocks import readers as r
from drc.blocks.model import Code, Drive, ErrorRow, StrapPin, Timing
from drc.blocks.refusal import At, Words
from drc.quantity.unit import AMPERE, CELSIUS, FARAD, OHM, PER_KELVIN, RATIO, SECOND, VOLT

_MOST_LEVELS = 4096
_MOST_PRESCALE = 10**12

_ERROR_ROW: Mapping[str, r.Reader] = {
    "error": r.width(RATIO),
    "current": r.span(AMPERE),
    "supply": r.span(VOLT),
    "ambient": r.span(CELSIUS, positive=False),
    "prescale": r.number_span,
    "code": r.number_span,
}


def _error_row(value: object, at: At) -> ErrorRow | None:
    """One row of `error`: a width, and the conditions under which it holds."""
    found = r.table(value, at, _ERROR_ROW, needed=("error",))
    return ErrorRow(**found) if found and "error" in found else None


def _errors(value: object, at: At) -> tuple[ErrorRow, ...] | None:
    """`error`: one width that always holds, or rows with conditions; the first that matches holds."""
    if isinstance(value, list):
        found: tuple[ErrorRow, ...] | None = r.rows(_error_row, "a list of rows")(value, at)
        return found
    width = r.width(RATIO)(value, at)
    return None if width is None else (ErrorRow(width),)


def _tempco(value: object, at: At) -> tuple[float, bool] | None:
    """`tempco` as (relative per kelvin, whether its sign is known): `+/-` before it says it is not."""
    bare, random = r.unsigned(value)
    found = r.per(PER_KELVIN)(bare, at)
    return None if found is None else (found, not random)


_TIMING: Mapping[str, r.Reader] = {
    "period": r.quantity(SECOND),
    "at_current": r.quantity(AMPERE),
    "at_supply": r.quantity(VOLT),
    "error": _errors,
    "tempco": _tempco,
    "supply_error": r.supply_error,
    "offset": r.span(SECOND),
    "jitter": r.quantity(SECOND),
}


def _edge(value: object, at: At) -> Timing | None:
    """What is given of one clock, or of one edge."""
    found = r.table(value, at, _TIMING)
    if found is None:
        return None
    errors = found.pop("error", ())
    tempco, signed = found.pop("tempco", (None, False))
    return Timing(errors=errors, tempco=tempco, tempco_signed=signed, **found)


def timing(value: object, at: At) -> Timing | None:
    """`timing`, with `rising` and `falling` laid over what holds for both edges."""
    if not isinstance(value, dict):
        return _edge(value, at)
    both = {key: entry for key, entry in value.items() if key not in {"rising", "falling"}}
    base = _edge(both, at)
    if base is None:
        return None
    return base._replace(rising=_over(both, value, "rising", at), falling=_over(both, value, "falling", at))


def _over(both: dict[str, Any], value: dict[str, Any], name: str, at: At) -> Timing | None:
    """One edge's clock: what is given for it laid over what holds for both; None if nothing is given.

    What is wrong in either is refused where it stands, and not again where they are one.
    """
    here = at.below(name)
    if name not in value or _edge(value[name], here) is None:
        return None
    return _edge({**both, **value[name]}, here._replace(sink=[]))


_STRAP: Mapping[str, r.Reader] = {
    "levels": r.integer(2, _MOST_LEVELS),
    "thresholds": r.rows(r.fraction, "a list of fractions, one between each code and the next"),
    "threshold_error": r.width(RATIO),
    "leakage": r.quantity(AMPERE),
    "source_resistance": r.quantity(OHM),
    "read_after": r.quantity(SECOND),
    "read": r.choice("once", "continuous"),
    "reference": lambda value, at: "supply" if value == "supply" else r.span(VOLT)(value, at),
}


def strap(value: object, at: At) -> StrapPin | None:
    """`strap`: its thresholds are given, or lie at i/levels."""
    found = r.table(value, at, _STRAP)
    if found is None or not isinstance(value, dict):
        return None
    thresholds = found.pop("thresholds", None)
    levels = found.pop("levels", None)
    if "thresholds" in value:
        if thresholds is None:
            return None
        at_list = at.below("thresholds")
        if any(low >= high for low, high in pairwise((0.0, *thresholds, 1.0))):
            at_list.refuse(value["thresholds"], "fractions between 0 and 1 that rise from each to the next")
        if levels is not None and levels != len(thresholds) + 1:
            at_list.refuse(value["thresholds"], f"{levels - 1} fractions, one fewer than levels = {levels}")
        levels = len(thresholds) + 1
    elif levels is None:
        if "levels" not in value:
            at.refuse(Words("neither levels nor thresholds"), "one of them, such as levels = 16")
        return None
    else:
        thresholds = tuple(i / levels for i in range(1, levels))
    if found.get("reference") == "supply":
        del found["reference"]
    return StrapPin(levels=levels, thresholds=thresholds, **found)


def _when(value: object, at: At) -> dict[str, str] | None:
    """`when` of a code row: another pin's role and the level it must have."""
    if not isinstance(value, dict) or not value:
        at.refuse(value, 'a table of roles and levels, such as { select = "high" }')
        return None
    level = r.choice("low", "high")
    found = {role: level(entry, at.below(role)) for role, entry in value.items()}
    return None if None in found.values() else {role: str(v) for role, v in found.items()}


_CODE: Mapping[str, r.Reader] = {
    "code": r.integer(0, _MOST_LEVELS - 1),
    "prescale": r.integer(1, _MOST_PRESCALE),
    "inverted": r.truth,
    "when": _when,
    "rest": r.choice("low", "high"),
}


def _code(value: object, at: At) -> Code | None:
    """One row of the code table."""
    found = r.table(value, at, _CODE, needed=("code", "prescale"))
    return Code(**found) if found and {"code", "prescale"} <= found.keys() else None


def codes(value: object, at: At) -> tuple[Code, ...] | None:
    """`codes`: a code that is listed twice must differ in `when`."""
    found: tuple[Code, ...] | None = r.rows(_code, "a list of rows, such as { code = 0, prescale = 1 }")(
        value, at
    )
    if found is None:
        return None
    for i, row in enumerate(found):
        for j, earlier in enumerate(found[:i]):
            if row.code == earlier.code and not _apart(row.when, earlier.when):
                at.below(str(i + 1)).refuse(
                    Words(f"code {row.code} again"),
                    f"a code that differs from row {j + 1}, or a when that does",
                )
    return found


def _apart(one: Mapping[str, str], other: Mapping[str, str]) -> bool:
    """Whether no state of the pins lets both rows hold."""
    return any(other.get(role, level) != level for role, level in one.items())


_DRIVE: Mapping[str, r.Reader] = {
    "kind": r.choice("push-pull", "open-drain", "open-source", "three-state"),
    "source": r.quantity(AMPERE),
    "sink": r.quantity(AMPERE),
    "resistance": r.quantity(OHM),
    "high_drop": r.drop,
    "low_drop": r.drop,
    "capacitance": r.quantity(FARAD),
    "at_supply": r.span(VOLT),
    "disabled": r.choice("low", "high", "open"),
}


def _drive(value: object, at: At) -> Drive | None:
    """One output rating."""
    found = r.table(value, at, _DRIVE, needed=("kind",))
    return Drive(**found) if found and "kind" in found else None


def outputs(value: object, at: At) -> tuple[Drive, ...] | None:
    """`output`: one rating, or a list of them by supply."""
    if isinstance(value, list):
        found: tuple[Drive, ...] | None = r.rows(_drive, "a list of ratings")(value, at)
        return found
    drive = _drive(value, at)
    return None if drive is None else (drive,)
