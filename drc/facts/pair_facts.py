"""The catalogue's lines about pairs: a block whose output acts on another block, and that block."""

from collections.abc import Callable
from importlib import import_module

from drc.facts.book import Book
from drc.facts.chains import Chain, chain_of, loop_of
from drc.facts.dependence import Quantity, fact
from drc.facts.model import Entry, Fact, Kind, Subject, Unknown
from drc.quantity.span import Span
from drc.quantity.unit import OHM, SECOND, VOLT

NO_LOOP = "none"
"""What `pair.loop` says where the driven block never acts back."""

LOGIC_ROLES = frozenset({"trigger", "signal", "enable", "reset", "threshold", "select", "select2", "select3"})
"""Roles of pins that read a level as low or high."""


def pair_entries() -> tuple[Entry, ...]:
    """All of them."""
    trains = {
        "period": "time from one pulse that arrives at the driven pin to the next",
        "high": "time that the driven pin is made high",
        "low": "time that the driven pin is made low",
        "bounce": "what is left of a contact's bounce when it arrives at the driven pin",
    }
    return (
        _line("pair.role", "name", "the driven pin's role", lambda _, c, n: Fact(n, c.role)),
        _line("pair.inverted", "truth", "whether the way turns the output's level round", _inverted),
        _line("pair.coupled", "truth", "whether a capacitor on the way passes edges alone", _coupled),
        _line("pair.logic", "truth", "whether the driven pin reads its level as low or high", _logic),
        _line("pair.loop", "name", "the blocks of the loop that the pair closes, or `none`", _loop),
        _line("pair.watchdog", "truth", "whether the driven one-shot is a watchdog of others", _watchdog),
        _line("pair.starts_again", "truth", "whether each trigger starts the driven one-shot again", _again),
        _line("pair.free_running", "truth", "whether the driver always runs by itself", _free_running),
        *(_line(f"pair.{part}", SECOND, meaning, _train, part) for part, meaning in trains.items()),
        _line("pair.spacing", SECOND, "time from one edge that triggers to the next", _spacing),
        _line("pair.settling", SECOND, "time that capacitors on the way cost", _filter, "settling"),
        _line("pair.series", OHM, "resistance between what drives the pin and the pin", _filter, "series"),
        _line("pair.level_high", VOLT, "level at the driven pin, made high", _volts, "level", "high"),
        _line("pair.level_low", VOLT, "level at the driven pin, made low", _volts, "level", "low"),
        _line("pair.high_wanted", VOLT, "least level that is read as high", _volts, "wanted", "high"),
        _line("pair.low_wanted", VOLT, "highest level that is read as low", _volts, "wanted", "low"),
        _line("pair.high_margin", VOLT, "by how much the high level is enough", _volts, "margin", "high"),
        _line("pair.low_margin", VOLT, "by how much the low level is enough", _volts, "margin", "low"),
        _line("pair.limit", VOLT, "voltage that the driven pin stands", _volts, "limit"),
        _line("pair.limit_margin", VOLT, "by how much the high level stays below it", _volts, "limit_margin"),
        _line("pair.supply_driver", VOLT, "supply of the driving block", _supply_of, "driver"),
        _line("pair.supply_driven", VOLT, "supply of the driven block", _supply_of, "driven"),
    )  # fmt: skip


def _line(name: str, kind: Kind, meaning: str, compute: Callable[..., Fact], *more: str) -> Entry:
    """A catalogue line about a pair; `compute` takes book, chain and the fact's name, and what is added."""

    def of_subject(book: Book, subject: Subject) -> Fact:
        return compute(book, chain_of(book, subject.path), name, *more)

    return Entry(name, "pair", kind, meaning, of_subject)


def _inverted(_: Book, chain: Chain, name: str) -> Fact:
    """By the transistors and gates on the way."""
    way = ", ".join(chain.through) or "nothing"
    if chain.inverted is None:
        because = f"the way of {chain.path} through {way} may turn the level round or not"
        return Fact(name, Unknown(because, (f"sense of {way}",)))
    return Fact(name, chain.inverted, f"through {way}")


def _coupled(_: Book, chain: Chain, name: str) -> Fact:
    return Fact(name, chain.coupled, "by the elements on the way")


def _logic(_: Book, chain: Chain, name: str) -> Fact:
    return Fact(name, chain.role in LOGIC_ROLES, "by the driven pin's role")


def _loop(book: Book, chain: Chain, name: str) -> Fact:
    blocks = loop_of(book, chain)
    return Fact(name, ", ".join(blocks) or NO_LOOP, "blocks that act on each other along the chains")


def _watchdog(book: Book, chain: Chain, name: str) -> Fact:
    """A one-shot that each trigger starts again, whose output resets, enables or supplies a block."""
    from drc.facts.chains import chains

    trigger = chain.driven.part.trigger
    if chain.role != "trigger" or trigger is None or trigger.retriggerable is None:
        return Fact(name, False, "only a one-shot known to start again is a watchdog")
    guards = any(
        each.driver.path == chain.driven.path and each.role in ("reset", "enable", "supply")
        for each in chains(book)
    )
    law = "a one-shot that starts again and whose output resets, enables or supplies a block"
    return Fact(name, trigger.retriggerable and guards, law)


def _again(_: Book, chain: Chain, name: str) -> Fact:
    """By the part file; only a trigger pin starts anything."""
    trigger = chain.driven.part.trigger
    if chain.role != "trigger":
        return Fact(name, False, "the driven pin is no trigger")
    if trigger is None or trigger.retriggerable is None:
        part = chain.driven.part.name
        because = f"part {part} does not say whether a trigger starts it again"
        return Fact(name, Unknown(because, (f"{part} trigger.retriggerable",)))
    return Fact(name, trigger.retriggerable, "by the part file")


def _free_running(book: Book, chain: Chain, name: str) -> Fact:
    """An oscillator, or an RC timer wired as one, that nothing stops."""
    driver = chain.driver
    if driver.part.function in ("one-shot", "edge-delay"):
        return Fact(name, False, f"a {driver.part.function} waits for an edge")
    about = Subject("block", driver.path, driver.place, driver)
    if driver.part.function == "rc-timer" and book.fact(about, "timing.high").span is None:
        return Fact(name, False, "the RC timer makes no cycles by itself")
    state = book.fact(about, "block.running").value
    return Fact(name, state if isinstance(state, Unknown) else state == "always", "by enable and reset pins")


def _train(book: Book, chain: Chain, name: str, part: str) -> Fact:
    """One member of what the driver hands on."""
    from drc.facts.handed_on import handed_on

    train = handed_on(book, chain)
    span: Span | None = getattr(train, part)
    if span is None:
        return Fact(name, _not_handed_on(book, chain, part))
    turned = " after inversion" if chain.inverted and part in ("high", "low") else ""
    return Fact(name, span, f"{part} of the output of {chain.driver.path}{turned}", train.inputs)


def _not_handed_on(book: Book, chain: Chain, part: str) -> Unknown:
    """Why a member of the pulses is not known: the driver's own reason where it has one."""
    driver = chain.driver
    if chain.coupled and part != "period":
        return Unknown(f"a capacitor on the way to {chain.net.name} passes edges alone")
    about = Subject("block", driver.path, driver.place, driver)
    period = book.fact(about, "timing.period").value
    if part == "period" and driver.part.function != "edge-delay" and isinstance(period, Unknown):
        return period
    slack = book.fact(about, "signal.slack").span if driver.part.function == "edge-delay" else None
    if slack is not None and slack.middle <= 0:
        return Unknown(f"the delay of {driver.path} swallows the pulses that come in on it")
    because = f"nothing says what {part} the output of {driver.path} hands on"
    return Unknown(because, (f"{driver.path} output {part}",))


def _spacing(book: Book, chain: Chain, name: str) -> Fact:
    """The period; where both edges trigger, the shorter of high and low time."""
    trigger = chain.driven.part.trigger
    if chain.role != "trigger" or trigger is None or trigger.edge != "both":
        return _train(book, chain, name, "period")
    high, low = (_train(book, chain, name, part) for part in ("high", "low"))
    if high.span is None or low.span is None:
        return Fact(name, high.value if high.span is None else low.value)
    a, b = high.span, low.span
    value = Span(min(a.low, b.low), min(a.middle, b.middle), min(a.high, b.high), SECOND)
    return Fact(name, value, "the shorter of high and low time: both edges trigger", high.inputs)


def _volts(book: Book, chain: Chain, name: str, function: str, *more: str) -> Fact:
    """A quantity of drc/facts/chain_levels.py."""
    return _computed(book, chain, name, "chain_levels", function, *more)


def _filter(book: Book, chain: Chain, name: str, function: str) -> Fact:
    """A quantity of drc/facts/chain_filter.py."""
    return _computed(book, chain, name, "chain_filter", function)


def _computed(book: Book, chain: Chain, name: str, module: str, function: str, *more: str) -> Fact:
    """A quantity's fact, by extreme value; its module is imported when asked for: start-up is a budget."""
    quantity: Callable[..., Quantity] = getattr(import_module(f"drc.facts.{module}"), function)
    return fact(name, quantity(book, chain, *more), book.options)


def _supply_of(book: Book, chain: Chain, name: str, end: str) -> Fact:
    """The supply of the driving or the driven block."""
    block = chain.driver if end == "driver" else chain.driven
    about = Subject("block", block.path, block.place, block)
    return book.fact(about, "supply.voltage")._replace(name=name)
