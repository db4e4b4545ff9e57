"""tickproof: proves the timing functions of a board from its netlist, before layout and at every commit.

The public face is three functions, and two errors. `read` gives the circuit of a netlist:

>>> import drc
>>> circuit = drc.read("samples/fog-station/radio.cir")
>>> {element.name: element.value for element in circuit.elements() if element.kind == "R"}
{'R1': 130000.0, 'R2': 68100.0, 'R3': 71500.0, 'R4': 220.0, 'R5': 470000.0}
>>> print(circuit.dump().splitlines()[0])
C1 C VCELL,0 4.7e-06 -

`review` judges boards as the command of that name does, and takes its options as arguments. What it gives
is made of the types in `drc.outcome`, with findings as in `drc.judge.model` and facts as in
`drc.facts.model`; units are SI:

>>> review = drc.review("samples/fog-station/radio.cir", gate="warning")
>>> review.passed
False
>>> (board,) = review.boards
>>> for ruling in board.rulings:
...     print(ruling.state, ruling.finding.rule, ruling.finding.place)
...     print(ruling.finding.remedies[0].why)
new timing-outside-intent samples/fog-station/radio.cir:8:4
R1 and R2 are exchanged
>>> period = board.blocks[0].facts["timing.period"].span
>>> period.low, period.nominal, period.high, period.unit.symbol
(1.73106127, 1.78717825, 1.84451696, 's')

`inventory` lists the blocks and their facts, unjudged:

>>> (board,) = drc.inventory("samples/fog-station/lamp.cir")
>>> for found in board.blocks:
...     print(found.block.path, found.block.part.name, found.block.part.function)
xu1 HA20 slow-oscillator
xu2 HA40 one-shot

What is wrong with a named file or an argument is an `InputError`, and each thing that is wrong one of its
`troubles`, with its place; `TickproofError` is the root of all errors that this package raises on purpose. A
board that cannot be read is no error where boards are reviewed: it stands among them with its `error`.

>>> try:
...     drc.review("samples/fog-station/lamp.cir", parts=["none.toml"])
... except drc.InputError as error:
...     print(error.troubles[0].message)
no such file: expected a part file

All of it is loaded when it is first asked for, so that the command starts fast.
"""

from typing import TYPE_CHECKING

from drc.version import __version__

if TYPE_CHECKING:
    from drc.gate.face import inventory as inventory
    from drc.gate.face import read as read
    from drc.gate.face import review as review
    from drc.trouble import InputError as InputError
    from drc.trouble import TickproofError as TickproofError
else:  # a type checker is to know every name, and miss the others

    def __getattr__(name: str) -> object:
        if name not in __all__:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        from drc import trouble
        from drc.gate import face  # see above

        return getattr(trouble if name.endswith("Error") else face, name)


__all__ = ["InputError", "TickproofError", "__version__", "inventory", "read", "review"]
