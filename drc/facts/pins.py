"""What the pins of timing blocks and helpers are to a network at DC."""

from drc.blocks.model import Block, Drive
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.dependence import Dependence, States, combine, constant, input_of, varying
from drc.facts.lead import OwnPin
from drc.facts.leads import LIGHT_ROLES
from drc.facts.model import Unknown
from drc.facts.rails import block_rails, rate_pin_voltage
from drc.facts.walk import Driven, Held, PinAtDc, Taking
from drc.quantity.text import format_span, format_value
from drc.quantity.unit import OHM


def pin_at_dc(book: Book, pin: OwnPin) -> PinAtDc:
    """What a pin is to the network on it."""
    block, role = pin.block, pin.role
    if role == "rate":
        voltage = rate_pin_voltage(book, block)
        return voltage if isinstance(voltage, Unknown) else Held(voltage)
    if role == "output":
        return output_states(book, block)
    if role in ("supply", "ground") or role.startswith("supply-"):
        return Unknown(f"nothing known holds the net on {pin.label}", (f"{block.path} {role} voltage",))
    if role == "control" and block.part.ladder is not None:
        return _ladder(block, pin.label)
    if role in LIGHT_ROLES:
        return _taking(block, pin.label, role)
    return Unknown(f"{pin.label} is not a pin whose current is known", (pin.label,))


def _taking(block: Block, label: str, role: str) -> Taking:
    """An input: leakage and pull."""
    if role == "strap":
        return Taking(block.part.strap.leakage if block.part.strap else None)
    given = block.part.inputs.get(role)
    if given is None:
        return Taking(None)
    pulls: tuple[tuple[str, Net, Dependence], ...] = ()
    if given.pull is not None:
        way, ohm = given.pull
        to = block.net("supply" if way == "up" else "ground")
        if to is not None:
            evidence = input_of(f"{label} pull {way}", format_value(ohm, OHM), "part file", block.part.place)
            pulls = ((f"{label} pull", to, constant(ohm, OHM, evidence)),)
    return Taking(given.leakage, pulls)


def _ladder(block: Block, label: str) -> Taking | Unknown:
    """The control pin of an RC timer: the tap of its ladder, a rung to the supply, two to ground."""
    ladder = block.part.ladder
    supply, ground = block.net("supply"), block.net("ground")
    if ladder is None or ladder.resistance is None or supply is None or ground is None:
        return Unknown(
            f"{label} shows a ladder of unknown resistance", (f"{block.part.name} ladder resistance",)
        )
    name = f"{block.path} ladder"
    evidence = input_of(name, f"{format_span(ladder.resistance)} a rung", "part file", block.part.place)
    rung = varying(name, ladder.resistance, evidence)
    rungs = 3 * ladder.upper
    upper = combine(lambda ohm: (3 - rungs) * ohm, rung, unit=OHM, text=f"{name} above the tap")
    lower = combine(lambda ohm: rungs * ohm, rung, unit=OHM, text=f"{name} below the tap")
    return Taking(None, ((f"{name} upper", supply, upper), (f"{name} lower", ground, lower)))


def drive_at(block: Block, volts: float) -> Drive | None:
    """The row of the output's rating that holds at a supply, V."""
    for drive in block.part.outputs:
        span = drive.at_supply
        if span is None or span.low <= volts <= span.high:
            return drive
    return None


def drive_resistance(drive: Drive, high: bool) -> float | None:
    """The resistance of a driven state, ohm; infinite where the output does not drive it; None: not given."""
    if (drive.kind == "open-drain" and high) or (drive.kind == "open-source" and not high):
        return float("inf")
    drop = drive.high_drop if high else drive.low_drop
    if drop is not None:
        return drop[0] / drop[1]
    return drive.resistance


def _may_stop(block: Block) -> bool:
    """Whether a pin that can turn the block's output off is connected to more than its own rails."""
    rails = {net.name for role in ("supply", "ground") for net in block.pins.get(role, ())}
    return any(
        net.name not in rails and not net.is_ground
        for role in ("enable", "reset")
        for net in block.pins.get(role, ())
    )


def output_states(book: Book, block: Block) -> Driven | Unknown:
    """An output pin as a source of states: `high`, `low`, and `open` where it can be off."""
    rails = block_rails(book, block)
    if isinstance(rails, Unknown):
        return rails
    supply, ground = rails
    drive = drive_at(block, supply.nominal - ground.nominal)
    if drive is None:
        missing = f"{block.part.name} output"
        return Unknown(f"{block.path} has no output rating at its supply", (missing,))
    levels, ohms = [], []
    for state, level in (("high", supply), ("low", ground)):
        ohm = drive_resistance(drive, state == "high")
        if ohm is None:
            missing = f"{block.part.name} output resistance"
            return Unknown(f"the output resistance of {block.path} is not given", (missing,))
        evidence = input_of(
            f"{block.path} output {state}", format_value(ohm, OHM), "part file", block.part.place
        )
        when = ((f"{block.path}", state),)
        levels.append((when, level))
        ohms.append((when, constant(ohm, OHM, evidence)))
    if drive.kind == "three-state" or (drive.disabled == "open" and _may_stop(block)):
        when = ((f"{block.path}", "open"),)
        levels.append((when, ground))
        ohms.append((when, constant(float("inf"), OHM, text="the output is off")))
    return Driven(States(tuple(levels)), States(tuple(ohms)))
