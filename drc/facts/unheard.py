"""Pulses that are stated of a net from which nothing comes to a timing block: they are judged nowhere."""

from collections.abc import Iterator

from drc.blocks.model import TIMING_FUNCTIONS
from drc.circuit.model import Net
from drc.facts.book import Book
from drc.facts.chains import PASSIVE_ROLES
from drc.facts.lead import own_pins
from drc.facts.stated import nets_meant, statements
from drc.facts.upstream import nearest
from drc.intent.model import Signal
from drc.trouble import Trouble


def unheard(book: Book) -> Iterator[Trouble]:
    """A trouble for every `signal` statement whose period, times or bounce no timing block takes in."""
    for statement in statements(book, Signal):
        told = (statement.period, statement.high, statement.low, statement.bounce)
        if not any(told) or not book.board.blocks:
            continue
        nets = list(nets_meant(book, statement.net))
        if nets and not any(_heard(book, net) for net in nets):
            message = (
                f'the pulses stated of "{statement.net.text}" come to no input of a timing block through'
                " resistors, so nothing is judged by them; state what arrives at the block's pin"
            )
            place = statement.place
            line = " " * (place.column - 1) + statement.text
            yield Trouble("signal-without-listener", "warning", place, message, line)


def _heard(book: Book, net: Net) -> bool:
    """Whether a timing block takes in what is on the net, or what resistors hand on from it."""
    return _listens(book, net) or bool(nearest(book, net, lambda other: _listens(book, other)))


def _listens(book: Book, net: Net) -> bool:
    """Whether a pin of a timing block that something comes in by is on the net."""
    silent = PASSIVE_ROLES | {"supply"}
    return any(
        pin.role not in silent and pin.block.part.function in TIMING_FUNCTIONS for pin in own_pins(book, net)
    )
