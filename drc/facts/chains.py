"""Which block's output reaches which block's pin: the directed graph of blocks, and its loops."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from drc.blocks.model import TIMING_FUNCTIONS, Block
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.conduction import Hop, Stage, hops, is_held
from drc.facts.lead import own_pins
from drc.facts.leads import FEED_OHM
from drc.facts.model import Unknown
from drc.facts.stiff import driven, feeds

PASSIVE_ROLES = frozenset({"output", "ground", "nc", "discharge"})
"""Roles of pins that nothing comes in by."""

OWN_CYCLE = frozenset({"trigger", "threshold", "discharge"})
"""Pins of an RC timer that its own output may work on: that is how it makes its cycle."""

LONGEST, WIDEST = 12, 200
"""Elements in a row, and pins on a net, beyond which no chain is looked for: such a net is a rail by use."""


class Chain(NamedTuple):
    """A block's output that reaches a pin of a block, in `role`, on `net`.

    `inverted` None: it may arrive either way. `through` are the paths of the elements between, `nets` the
    nets passed, the output's first. `coupled`: a capacitor in the way passes edges alone. `stage`: the last
    element of the way that drives the net anew.
    """

    driver: Block
    driven: Block
    role: str
    inverted: bool | None
    through: tuple[str, ...]
    nets: tuple[Net, ...]
    coupled: bool
    stage: Stage | None

    @property
    def net(self) -> Net:
        """The net of the pin that is reached."""
        return self.nets[-1]

    @property
    def path(self) -> str:
        """What the pair is called: `XU1 -> XU2 trigger`."""
        return f"{self.driver.path} -> {self.driven.path} {self.role}"


class _Way(NamedTuple):
    """A chain under way: where it is, and how it came there."""

    net: Net
    inverted: bool | None = False
    through: tuple[str, ...] = ()
    nets: tuple[Net, ...] = ()
    coupled: bool = False
    stage: Stage | None = None


def chains(book: Book) -> tuple[Chain, ...]:
    """Every chain of the board: by driver in source order, then by how near the driven pin is."""
    found = book.once(("chains",), lambda: _chains(book))
    return () if isinstance(found, Unknown) else found


def chain_of(book: Book, path: str) -> Chain:
    """The chain of that path. KeyError if there is none."""
    index = book.once(("chains by path",), lambda: {chain.path: chain for chain in chains(book)})
    assert isinstance(index, dict)
    return index[path]


def arriving(book: Book, net: Net) -> tuple[Chain, ...]:
    """The chains that end on a net, one a driver."""
    drivers = {chain.driver.path: chain for chain in reversed(chains(book)) if chain.net == net}
    return tuple(reversed(drivers.values()))


def loop_of(book: Book, chain: Chain) -> tuple[str, ...]:
    """The blocks of the loop that a chain closes, sorted; empty where the driven block never acts back."""
    reach = book.once(("chain reach",), lambda: _reach(chains(book)))
    assert isinstance(reach, dict)
    here, there = chain.driver.path, chain.driven.path
    if here not in reach[there]:
        return ()
    return tuple(sorted(path for path in reach[here] if here in reach.get(path, ())))


def _chains(book: Book) -> tuple[Chain, ...]:
    return tuple(chain for driver in book.board.blocks for chain in _from(book, driver))


def _from(book: Book, driver: Block) -> tuple[Chain, ...]:
    """The chains that begin at a block; of several ways to a pin the shortest, its sense only if shared."""
    found: dict[tuple[str, str, str], Chain] = {}
    rails = {net for role in ("supply", "ground") for net in driver.pins.get(role, ())}
    starts = [net for net in driver.pins.get("output", ()) if net not in rails and not is_held(book, net)]
    waiting = [_Way(net, nets=(net,)) for net in starts]
    seen = {(way.net.name, way.inverted) for way in waiting}
    while waiting:
        way = waiting.pop(0)
        for driven_block, role in _pins_reached(book, driver, way):
            chain = Chain(driver, driven_block, role, *way[1:])
            known = found.setdefault((driven_block.path, role, way.net.name), chain)
            if known.inverted != chain.inverted:
                found[driven_block.path, role, way.net.name] = known._replace(inverted=None)
        for hop in _onward(book, way):
            step = _stepped(way, hop)
            own_rail = hop.net in rails and hop.stage is None
            if (hop.net.name, step.inverted) not in seen and not own_rail:
                seen.add((hop.net.name, step.inverted))
                waiting.append(step)
    unique: dict[str, Chain] = {}
    for chain in found.values():
        unique.setdefault(chain.path, chain)
    return tuple(unique.values())


def _onward(book: Book, way: _Way) -> Iterator[Hop]:
    """The steps from where a way has come; none through another output, a rate pin, or a crowd of pins."""
    if len(way.through) >= LONGEST or len(book.pins(way.net)) > WIDEST:
        return
    roles = {pin.role for pin in own_pins(book, way.net)}
    if "rate" in roles or (way.through and not _own_stage(way) and driven(book, way.net)):
        return
    for hop in hops(book, way.net):
        # What feeds a block is a rail, and goes on through a switch or regulator alone.
        if not feeds(book, way.net) or (hop.stage is not None and hop.stage.kind in ("switch", "regulator")):
            yield hop


def _own_stage(way: _Way) -> bool:
    """Whether the way has just come out of a stage: the output on this net is that one."""
    return way.stage is not None and way.stage.output == way.net


def _stepped(way: _Way, hop: Hop) -> _Way:
    """The way one step on."""
    inverted = None if way.inverted is None or hop.inverts is None else way.inverted != hop.inverts
    return _Way(
        hop.net,
        inverted,
        (*way.through, hop.through),
        (*way.nets, hop.net),
        way.coupled or hop.blocks_dc,
        hop.stage or way.stage,
    )


def _pins_reached(book: Book, driver: Block, way: _Way) -> Iterator[tuple[Block, str]]:
    """The pins of timing blocks on the net that something comes in by."""
    if way.through and not _own_stage(way) and driven(book, way.net):
        return
    for pin in own_pins(book, way.net):
        block, role = pin.block, pin.role
        if role in PASSIVE_ROLES or block.part.function not in TIMING_FUNCTIONS:
            continue
        if block.path == driver.path and block.part.function == "rc-timer" and role in OWN_CYCLE:
            continue
        supplies = role == "supply" or role.startswith("supply-")
        tied = not supplies and way.net in block.pins.get("supply", ())
        if not tied and (not supplies or _feeds(book, way)):
            yield block, role


def _feeds(book: Book, way: _Way) -> bool:
    """Whether enough current comes through to supply a block: no capacitor, no high resistance."""
    if way.coupled:
        return False
    after = way.through
    if way.stage is not None:
        after = after[after.index(way.stage.path) + 1 :]
    for path in after:
        element = book.board.circuit.element(path)
        if element is not None and element.kind == "R" and (element.value or 0.0) > FEED_OHM:
            return False
    return True


def _reach(found: tuple[Chain, ...]) -> Mapping[str, frozenset[str]]:
    """For each block the blocks that it acts on, directly or through others."""
    onward: dict[str, dict[str, None]] = {}
    for chain in found:
        onward.setdefault(chain.driver.path, {})[chain.driven.path] = None
        onward.setdefault(chain.driven.path, {})
    return {path: frozenset(_followed(onward, path)) for path in onward}


def _followed(onward: Mapping[str, Mapping[str, None]], start: str) -> set[str]:
    """Everything that can be reached from a block."""
    reached: set[str] = set()
    waiting = list(onward[start])
    while waiting:
        path = waiting.pop()
        if path not in reached:
            reached.add(path)
            waiting += onward[path]
    return reached
