"""Units as exponents over a few base dimensions, so that volts plus ohms is refused."""

from typing import NamedTuple


class Dimension(NamedTuple):
    """Exponents of volt, ampere, second, kelvin, converter step, and point of duty."""

    volt: int = 0
    ampere: int = 0
    second: int = 0
    kelvin: int = 0
    step: int = 0
    point: int = 0

    def times(self, other: "Dimension", sign: int = 1) -> "Dimension":
        """The dimension of a product (`sign` 1) or of a quotient (`sign` -1)."""
        return Dimension(*(a + sign * b for a, b in zip(self, other, strict=True)))


class Unit(NamedTuple):
    """A unit: how it is written, and its dimension. The value of a quantity is always in SI base units."""

    symbol: str
    dimension: Dimension

    def __mul__(self, other: object) -> "Unit":
        if not isinstance(other, Unit):
            return NotImplemented
        return unit_of(self.dimension.times(other.dimension))

    def __truediv__(self, other: object) -> "Unit":
        if not isinstance(other, Unit):
            return NotImplemented
        return unit_of(self.dimension.times(other.dimension, -1))


RATIO = Unit("", Dimension())
VOLT = Unit("V", Dimension(volt=1))
AMPERE = Unit("A", Dimension(ampere=1))
SECOND = Unit("s", Dimension(second=1))
HERTZ = Unit("Hz", Dimension(second=-1))
OHM = Unit("ohm", Dimension(volt=1, ampere=-1))
SIEMENS = Unit("S", Dimension(volt=-1, ampere=1))
FARAD = Unit("F", Dimension(volt=-1, ampere=1, second=1))
HENRY = Unit("H", Dimension(volt=1, ampere=-1, second=1))
WATT = Unit("W", Dimension(volt=1, ampere=1))
COULOMB = Unit("C", Dimension(ampere=1, second=1))
CELSIUS = Unit("degC", Dimension(kelvin=1))
PER_KELVIN = Unit("/K", Dimension(kelvin=-1))
PER_VOLT = Unit("/V", Dimension(volt=-1))
STEP = Unit("steps", Dimension(step=1))
POINT = Unit("points", Dimension(point=1))

NAMED: tuple[Unit, ...] = (
    RATIO, VOLT, AMPERE, SECOND, HERTZ, OHM, SIEMENS, FARAD, HENRY, WATT, COULOMB,
    CELSIUS, PER_KELVIN, PER_VOLT, STEP, POINT,
)  # fmt: skip
"""Every unit that has a name of its own."""


def unit_of(dimension: Dimension) -> Unit:
    """The named unit of a dimension, or one spelt out of base units."""
    for unit in NAMED:
        if unit.dimension == dimension:
            return unit
    names = ("V", "A", "s", "K", "step", "point")
    return Unit("*".join(f"{n}^{e}" for n, e in zip(names, dimension, strict=True) if e), dimension)
