"""What is other in a block after a swap than before, and what makes it so."""

from collections.abc import Iterator, Mapping

from drc.facts.model import Fact, Input
from drc.gate.swap_match import Matched
from drc.outcome import BlockOutcome, Change
from drc.report.text import value_text

_HIDDEN = frozenset({"supply.stated", "supply.contradicted", "supply.contested"})
"""Facts about how a fact is known, which no reader of a comparison asks for."""


def changes(before: BlockOutcome, after: BlockOutcome, match: Matched) -> tuple[Change, ...]:
    """The facts that are not what they were, on whichever side they are, in the order of the catalogue."""
    pins = tuple(_pins(before, after, match))
    old = {"block.part": Fact("block.part", before.block.part.name), **before.facts}
    new = {"block.part": Fact("block.part", after.block.part.name), **after.facts}
    found = []
    for name in dict.fromkeys([*old, *new]):
        was, now = old.get(name), new.get(name)
        if name in _HIDDEN or (was is not None and now is not None and was.value == now.value):
            continue
        found.append(Change(name, was, now, _causes(name, old, new, match)))
    head = [change for change in found if change.name == "block.part"]
    return (*head, *pins, *(change for change in found if change.name != "block.part"))


def _pins(before: BlockOutcome, after: BlockOutcome, match: Matched) -> Iterator[Change]:
    """Pins by role that are on another net now, on another number of nets, or are new or gone."""
    old, new = (
        {role: [net.name for net in nets] for role, nets in outcome.block.pins.items()}
        for outcome in (before, after)
    )
    for role in dict.fromkeys([*old, *new]):
        was, now = old.get(role), new.get(role)
        renamed = None if was is None else [match.after(name).casefold() for name in was]
        if renamed == (None if now is None else [name.casefold() for name in now]):
            continue
        name = f"pin.{role}"
        one, other = (None if nets is None else Fact(name, ", ".join(nets)) for nets in (was, now))
        because = ("part",) if before.block.part.name != after.block.part.name else ("wiring",)
        yield Change(name, one, other, because)


def _causes(name: str, old: Mapping[str, Fact], new: Mapping[str, Fact], match: Matched) -> tuple[str, ...]:
    """What of a fact's inputs is not what it was: the part, values, voltages, statements, the wiring."""
    if name == "block.part":
        return ()
    was, now = old.get(name), new.get(name)
    before = {} if was is None else {_label(each, match): each for each in was.inputs}
    after = {} if now is None else {each.label: each for each in now.inputs}
    causes: dict[str, None] = {}
    part = old["block.part"].value != new["block.part"].value
    for label in dict.fromkeys([*before, *after]):
        one, other = before.get(label), after.get(label)
        if one is not None and other is not None and one.value == other.value:
            continue
        known = one or other
        assert known is not None
        if known.origin == "part file":
            causes["part" if part else f"{label} {_from_to(one, other)}"] = None
        elif known.origin in old or known.origin in new:
            causes.update(dict.fromkeys(_causes(known.origin, old, new, match)))
            causes[f"{label} {_from_to(one, other)}"] = None
        elif one is None or other is None:
            causes["wiring" if not part else "part"] = None
        else:
            causes[f"{label} {_from_to(one, other)}"] = None
    if not causes and part:
        causes["part"] = None
    code = [side["strap.code"] for side in (old, new) if "strap.code" in side]
    by_code = name in ("strap.prescale", "strap.polarity", "output.rest") and len(code) == 2
    if by_code and code[0].value != code[1].value:
        causes[f"code {value_text(code[0])} -> {value_text(code[1])}"] = None
    return tuple(causes) or ("wiring",)


def _label(one: Input, match: Matched) -> str:
    """An input's label in the names of the board after: `R3 tolerance` of what is R7 there."""
    word, blank, rest = one.label.partition(" ")
    return f"{match.after(word)}{blank}{rest}"


def _from_to(one: Input | None, other: Input | None) -> str:
    was, now = ("none" if each is None else each.value for each in (one, other))
    return f"{was} -> {now}"
