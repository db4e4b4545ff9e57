from drc.quantity.unit import AMPERE, FARAD, HERTZ, OHM, RATIO, SECOND, VOLT, WATT, unit_of


def test_units_combine_to_the_named_unit_of_their_dimension() -> None:
    """Products and quotients of units come out under the name the trade gives them."""
    assert VOLT / OHM == AMPERE
    assert OHM * FARAD == SECOND
    assert RATIO / SECOND == HERTZ
    assert VOLT * AMPERE == WATT
    assert VOLT / VOLT == RATIO


def test_a_dimension_without_a_name_is_spelt_out() -> None:
    """A unit that has no name of its own is written in base units."""
    assert (VOLT / SECOND).symbol == "V^1*s^-1"
    assert unit_of((VOLT / SECOND).dimension) == VOLT / SECOND
