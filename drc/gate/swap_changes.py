"""What is other in a block after a swap than before, and what makes it so."""

from collections.abc import Iterator, Mapping, Sequence

from drc.facts.model import Fact, Input, Unknown, Value
from drc.gate.swap_match import Matched
from drc.outcome import BlockOutcome, Change

_HIDDEN = frozenset({"supply.stated", "supply.contradicted", "supply.contested"})
"""Facts about how a fact is known, which no reader of a comparison asks for."""


def changes(
    before: BlockOutcome, after: BlockOutcome, match: Matched, others: Sequence[str] = ()
) -> tuple[Change, ...]:
    """The facts that are not what they were, on whichever side they are, in the order of the catalogue.

    `others` are other blocks with new parts: the cause of what nothing about this block explains.
    """
    kept = before.block.part.name == after.block.part.name and not [*_pins(before, after, match)]
    beyond = tuple(others) if kept and others else ("wiring",)
    pins = tuple(_pins(before, after, match))
    old = {"block.part": Fact("block.part", before.block.part.name), **before.facts}
    new = {"block.part": Fact("block.part", after.block.part.name), **after.facts}
    found = []
    for name in dict.fromkeys([*old, *new]):
        was, now = old.get(name), new.get(name)
        if name in _HIDDEN or (was is not None and now is not None and _same(was.value, now.value, match)):
            continue
        causes = _causes(name, old, new, match)
        found.append(Change(name, was, now, beyond if causes == ("wiring",) else causes))
    head = [change for change in found if change.name == "block.part"]
    return (*head, *pins, *(change for change in found if change.name != "block.part"))


def _same(was: Value, now: Value, match: Matched) -> bool:
    """Whether two values are one: unknown both, or the same thing under its new name."""
    if isinstance(was, Unknown) and isinstance(now, Unknown):
        return True
    return was == now or (isinstance(was, str) and match.subject(was) == now)


def _pins(before: BlockOutcome, after: BlockOutcome, match: Matched) -> Iterator[Change]:
    """Pins by role that are on another net now, on another number of nets, or are new or gone."""
    old, new = (
        {role: [net.name for net in nets] for role, nets in outcome.block.pins.items()}
        for outcome in (before, after)
    )
    for role in dict.fromkeys([*old, *new]):
        was, now = old.get(role), new.get(role)
        renamed = None if was is None else [match.net(name).casefold() for name in was]
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
    part = old["block.part"].value != new["block.part"].value
    was, now = old.get(name), new.get(name)
    if was is None or now is None or isinstance(was.value, Unknown) or isinstance(now.value, Unknown):
        return ("part",) if part else ("wiring",)
    before = {_label(each, match): each for each in was.inputs}
    after = {each.label: each for each in now.inputs}
    causes: dict[str, None] = {}
    for label in dict.fromkeys([*before, *after]):
        one, other = before.get(label), after.get(label)
        known = one or other
        if known is None or (one is not None and other is not None and one.value == other.value):
            continue
        if part and known.origin == "part file":
            causes["part"] = None
        elif known.origin in old or known.origin in new:
            causes.update(dict.fromkeys(_causes(known.origin, old, new, match)))
            causes.update(dict.fromkeys(_told(label, one, other)))
        else:
            causes.update(dict.fromkeys(_told(label, one, other) or (["part"] if part else ["wiring"])))
    causes.update(dict.fromkeys(_by_code(name, old, new)))
    return tuple(causes) or (("part",) if part else ("wiring",))


def _by_code(name: str, old: Mapping[str, Fact], new: Mapping[str, Fact]) -> list[str]:
    """What the code table gives is other because the code is."""
    if name not in ("strap.prescale", "strap.polarity", "output.rest"):
        return []
    codes = [side["strap.code"].span if "strap.code" in side else None for side in (old, new)]
    if codes[0] is None or codes[1] is None or codes[0] == codes[1]:
        return []
    return [f"code {codes[0].middle:g} -> {codes[1].middle:g}"]


def _label(one: Input, match: Matched) -> str:
    """An input's label in the names of the board after: `R3 tolerance` of what is R7 there."""
    word, blank, rest = one.label.partition(" ")
    return f"{match.after(word)}{blank}{rest}"


def _told(label: str, one: Input | None, other: Input | None) -> list[str]:
    """An input that both sides have, as it changed."""
    return [] if one is None or other is None else [f"{label} {one.value} -> {other.value}"]
