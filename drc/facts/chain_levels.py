"""The levels that arrive at the end of a chain, against what the driven pin wants and what it stands."""

from typing import Literal

import numpy as np

from drc.blocks.model import Block, Relative
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.chains import Chain
from drc.facts.conduction import Stage
from drc.facts.dependence import Dependence, Quantity, States, constant, input_of, lift, varying
from drc.facts.feed import joined_voltage, rail
from drc.facts.lead import OwnPin
from drc.facts.leads import leads
from drc.facts.model import Unknown
from drc.facts.pins import drive_at
from drc.facts.rails import ground_voltage, supply_voltage
from drc.facts.region import node_voltage, thevenin
from drc.quantity.span import Span
from drc.quantity.text import format_span
from drc.quantity.unit import VOLT

Level = Literal["high", "low"]

SATURATION = Span(0.0, 0.1, 0.3, VOLT)
"""What a transistor that is on leaves between its output and its rail: common practice, no source."""


def level(book: Book, chain: Chain, state: Level) -> Quantity:
    """The voltage of the driven pin against its block's ground, V, while its driver makes it high or low."""
    key = ("chain level", chain.path, state)
    return book.once(key, lambda: _level(book, chain, state))


def wanted(book: Book, chain: Chain, state: Level) -> Quantity:
    """The least voltage that the driven pin reads as high, or the most that it reads as low, V."""
    at = _threshold(book, chain.driven, chain.role, state)
    return at if isinstance(at, Unknown) else _at_supply(book, chain.driven, at, f"{chain.role} {state}")


def margin(book: Book, chain: Chain, state: Level) -> Quantity:
    """By how much the level that arrives is beyond the one that the pin wants, V; negative: not enough."""
    arrives, needed = level(book, chain, state), wanted(book, chain, state)
    text = f"{state} level, less what the {chain.role} pin wants"
    if state == "high":
        return lift(np.subtract, arrives, needed, unit=VOLT, text=text)
    return lift(lambda at, most: most - at, arrives, needed, unit=VOLT, text=text)


def limit(book: Book, chain: Chain) -> Quantity:
    """The voltage that the driven pin stands, V."""
    block, role = chain.driven, chain.role
    pin = block.part.inputs.get(role)
    if pin is None or pin.limit is None:
        because = f"part {block.part.name} does not say what voltage its {role} pin stands"
        return Unknown(because, (f"{block.part.name} input.{role}.limit",))
    return _at_supply(book, block, pin.limit, f"{role} limit")


def limit_margin(book: Book, chain: Chain) -> Quantity:
    """By how much the high level stays below what the driven pin stands, V."""
    text = f"what the {chain.role} pin stands, less the high level"
    return lift(np.subtract, limit(book, chain), level(book, chain, "high"), unit=VOLT, text=text)


def _level(book: Book, chain: Chain, state: Level) -> Quantity:
    """By the network on the pin, with what drives it in the state."""
    if chain.coupled:
        return Unknown(f"a capacitor on the way to {chain.net.name} passes edges and no level")
    ground = ground_voltage(book, chain.driven)
    stage = chain.stage
    if chain.role == "supply":
        volts = _supplied(book, chain, state)
    elif stage is None or stage.kind == "gate":
        found = node_voltage(book, chain.net)
        volts = while_at(found, stage.path if stage else chain.driver.path, state)
        volts = _less_output_drop(book, chain, volts, state) if stage is None else volts
    elif stage.kind in ("transistor", "switch"):
        volts = _switched(book, chain, stage, state)
    else:
        return Unknown(f"the level behind {stage.path} is not known", (f"level of {chain.net.name}",))
    text = f"voltage of {chain.net.name} while {state}, by nodal analysis"
    return _checked(chain.net, lift(np.subtract, volts, ground, unit=VOLT, text=text))


def _less_output_drop(book: Book, chain: Chain, volts: Quantity, state: Level) -> Quantity:
    """Where the part file gives an output's drop at a current: all of it may be there at any current."""
    supply = supply_voltage(book, chain.driver)
    drive = None if isinstance(supply, Unknown) else drive_at(chain.driver, supply.nominal)
    given = None if drive is None else (drive.high_drop if state == "high" else drive.low_drop)
    if given is None:
        return volts
    name = f"{chain.driver.path} {state} drop"
    drop = Span(0.0, 0.0, given[0], VOLT)
    evidence = input_of(name, format_span(drop), "part file", chain.driver.part.place)
    sign = np.subtract if state == "high" else np.add
    return lift(sign, volts, varying(name, drop, evidence), unit=VOLT, text=f"{state} level less the drop")


def _supplied(book: Book, chain: Chain, state: Level) -> Quantity:
    """What the chain leaves of a supply; to what it falls once switched off, nobody says."""
    from drc.facts.chain_supply import supply_handed_on  # which asks here what a transistor pulls to

    found = supply_handed_on(book, chain.net) if state == "high" else None
    missing = (f"voltage of {chain.net.name}",)
    return found or Unknown(f"what {chain.net.name} is at while {state} is not known", missing)


def while_at(found: Quantity, path: str, state: Level) -> Quantity:
    """Of a quantity's states those in which an output is at a level."""
    if not isinstance(found, States):
        return found
    kept = [(tuple(c for c in when if c[0] != path), q) for when, q in found.states if (path, state) in when]
    if len(kept) == 1:
        return kept[0][1]
    return States(tuple(kept)) if kept else found


def _switched(book: Book, chain: Chain, stage: Stage, state: Level) -> Quantity:
    """Behind a transistor: pulled to its rail, or left to the network once the transistor is off."""
    on = on_voltage(book, stage)
    if isinstance(on, Unknown):
        return on
    without = frozenset({stage.path})
    if pulls_up(book, stage) != (state == "high"):
        off = thevenin(book, chain.net, without=without)
        return off if isinstance(off, Unknown) else off.voltage
    if chain.net == stage.output:
        return on
    pulled = thevenin(book, chain.net, held={stage.output.name: on}, without=without)
    return pulled if isinstance(pulled, Unknown) else pulled.voltage


def on_voltage(book: Book, stage: Stage) -> Dependence | Unknown:
    """The voltage to which a transistor that is on pulls its output, against node 0, V."""
    rails = _rails(book, stage)
    if isinstance(rails, Unknown):
        return rails
    note = f"{stage.path} pulls to within {format_span(SATURATION)} of its rail"
    drop = varying(f"{stage.path} saturation", SATURATION, assumptions=(note,))
    sign = np.subtract if pulls_up(book, stage) else np.add
    on = lift(sign, rails, drop, unit=VOLT, text=f"{stage.path} on")
    if isinstance(on, States):
        return Unknown(f"the rail of {stage.path} takes several levels")
    return on


def pulls_up(book: Book, stage: Stage) -> bool:
    """Whether a transistor that is on makes its output high."""
    return _highest(_rails(book, stage)) > 0


def _rails(book: Book, stage: Stage) -> Quantity:
    """The voltage of the rail that a transistor stands on, V."""
    found = None if stage.toward is None else joined_voltage(book, stage.toward) or rail(book, stage.toward)
    return found or Unknown(f"what {stage.path} pulls to is not known", (f"{stage.path} rail",))


def _highest(volts: Quantity) -> float:
    """The highest nominal voltage of a quantity's states."""
    if isinstance(volts, States):
        return max(each.nominal for _, each in volts.states)
    return volts.nominal if isinstance(volts, Dependence) else 0.0


def _checked(net: Net, volts: Quantity) -> Quantity:
    """Unknown where nothing sets the voltage in one of the states."""
    members = [each for _, each in volts.states] if isinstance(volts, States) else [volts]
    if any(isinstance(each, Dependence) and not np.isfinite(each.nominal) for each in members):
        return Unknown(f"nothing holds {net.name} while its driver lets it go", (f"voltage of {net.name}",))
    return volts


def _at_supply(book: Book, block: Block, at: Relative, what: str) -> Quantity:
    """A voltage that depends on the block's own supply, V."""
    if at.of_supply == 0:
        return constant(at.offset, VOLT, text=f"the part file's {what} level")
    supply = supply_voltage(book, block)
    text = f"the part file's {what} level at the supply of {block.path}"
    return lift(lambda volt: at.of_supply * volt + at.offset, supply, unit=VOLT, text=text)


def _threshold(book: Book, block: Block, role: str, state: Level) -> Relative | Unknown:
    """The level of an input as the part file gives it; of an RC timer's two inputs by its ladder."""
    pin, ladder = block.part.inputs.get(role), block.part.ladder
    given = None if pin is None else (pin.high if state == "high" else pin.low)
    if given is not None:
        return given
    if ladder is not None and role in ("trigger", "threshold"):
        if _control_loaded(book, block):
            return Unknown(f"the load on the control pin of {block.path} moves its thresholds", ("control",))
        share = ladder.lower if role == "trigger" else ladder.upper
        if ladder.error is not None:
            return Relative(share * (1 + (ladder.error if state == "high" else -ladder.error)))
    because = f"part {block.part.name} gives no {state} level of its {role} pin"
    return Unknown(because, (f"{block.part.name} input.{role}.{state}",))


def _control_loaded(book: Book, block: Block) -> bool:
    """Whether something but a capacitor hangs on the control pin of an RC timer."""
    net = block.net("control")
    if net is None:
        return False
    return any(not isinstance(lead, OwnPin) or lead.block.path != block.path for lead in leads(book, net))
