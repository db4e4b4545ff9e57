"""What pins are for, and which role a pin's name in a `.subckt` header means."""

from collections.abc import Mapping, Sequence

from drc.blocks.model import TIMING_FUNCTIONS, Function, Part

NOT_OWN = "-"
"""A position in a unit's pins that belongs to another unit of the package."""

INPUT_ROLES = (
    "control", "enable", "reset", "modulate", "trigger", "signal", "threshold", "select", "select2",
    "select3", "feedback", "input",
)  # fmt: skip
ROLES = ("supply", "ground", "output", "rate", "strap", "discharge", *INPUT_ROLES, "nc")
"""Every role a pin may have; a second supply's is `supply-NAME` besides."""

NEEDED: Mapping[Function, frozenset[str]] = {
    "oscillator": frozenset({"supply", "ground", "output", "rate"}),
    "slow-oscillator": frozenset({"supply", "ground", "output", "rate"}),
    "pulse-modulator": frozenset({"supply", "ground", "output", "rate", "modulate"}),
    "one-shot": frozenset({"supply", "ground", "output", "rate", "trigger"}),
    "edge-delay": frozenset({"supply", "ground", "output", "rate", "signal"}),
    "rc-timer": frozenset({"supply", "ground", "output", "trigger", "threshold"}),
}
"""The roles without which a block cannot do its function."""

ALLOWED: Mapping[Function, frozenset[str]] = {
    "oscillator": frozenset({"strap", "control", "enable"}),
    "slow-oscillator": frozenset({"strap", "reset"}),
    "pulse-modulator": frozenset({"strap", "enable"}),
    "one-shot": frozenset({"strap", "reset"}),
    "edge-delay": frozenset({"strap", "reset"}),
    "rc-timer": frozenset({"discharge", "control", "reset"}),
}
"""The roles that a block of a function may have besides."""

# Common practice, no source: names that pins of these roles carry on drawings whatever the maker.
COMMON: Mapping[str, tuple[str, ...]] = {
    "supply": ("VDD", "VCC", "V+", "VS", "VIN"),
    "ground": ("GND", "VSS", "V-", "GROUND"),
    "output": ("OUT", "Q", "VOUT"),
    "enable": ("EN",),
    "reset": ("RST",),
    "trigger": ("TRIG", "TRG"),
    "threshold": ("THRES", "THR"),
    "discharge": ("DISCH", "DIS"),
    "control": ("CTRL", "CONT"),
    "modulate": ("MOD",),
    "signal": ("SIG",),
    "feedback": ("FB", "ADJ"),
    "input": ("IN",),
    "nc": ("NC", "N/C", "DNC", "NIC"),
}


def alias_table(alias: Mapping[str, tuple[str, ...]]) -> dict[str, str]:
    """Case-folded pin name to role, from a part's alias table."""
    return {name.casefold(): role for role, names in alias.items() for name in names}


_COMMON = alias_table(COMMON)


def role_of(name: str, aliases: Mapping[str, str], roles: Sequence[str]) -> str | None:
    """The role a header's pin name means for a part that has these roles; None if it says none.

    `aliases` come first (case-folded name to role), then the role's own name, then common names of roles
    the part has. A number behind the name (`GND2`) is dropped if the whole name says nothing.
    """
    folded = name.casefold()
    bare = folded.rstrip("0123456789").rstrip("_")
    for form in dict.fromkeys((folded, bare or folded, folded.replace("_", "-"))):
        if form in aliases:
            return aliases[form]
        if form in roles:
            return form
        role = _COMMON.get(form)
        if role is not None and (role in roles or role == "nc"):
            return role
    return None


_OTHERS = tuple(role for role in ROLES if role not in {"input", "feedback", "select", "select2", "select3"})
"""Roles that a name may mean though a timing part has no such pin: the header then contradicts the part."""


def roles_of_header(header: Sequence[str], part: Part) -> tuple[str | None, ...]:
    """The roles of a header's pin names for a known part, None where a name says nothing.

    A name that means nothing among the part's own roles may still mean another one.
    """
    aliases = alias_table(part.alias)
    own = [role for role in part.pins if role != "nc"]
    others = _OTHERS if part.function in TIMING_FUNCTIONS else ()
    return tuple(role_of(name, aliases, own) or role_of(name, {}, others) for name in header)


def functions_of(roles: Sequence[str]) -> tuple[Function, ...]:
    """Every timing function that pins of these roles can do, and that no role contradicts."""
    found = frozenset(roles) - {"nc"}
    return tuple(
        function for function, needed in NEEDED.items() if needed <= found <= needed | ALLOWED[function]
    )
