"""An output's rating by rows of supply: which rows count, and whether they cover its supply; by hand."""

import pytest

from drc.facts.book import Book
from tests.facts.strap_boards import CENTRED, PLAIN
from tests.facts.timing_boards import book, fact, span, unknown

OLD = '{ kind = "push-pull", source = "10mA", sink = "8mA", resistance = "25ohm" }'
Row = tuple[str, int | None, int | None]


def rated(supply: str, *rows: Row) -> Book:
    """The board at a supply, its output rated by rows: supply (none if empty), source and sink in mA."""
    assert OLD in PLAIN
    given = []
    for at, source, sink in rows:
        keys = ['kind = "push-pull"', 'resistance = "25ohm"']
        keys += [f'at_supply = "{at}"'] if at else []
        keys += [f'source = "{source}mA"'] if source is not None else []
        keys += [f'sink = "{sink}mA"'] if sink is not None else []
        given.append(f"{{ {', '.join(keys)} }}")
    return book(CENTRED, PLAIN.replace(OLD, f"[ {', '.join(given)} ]", 1), supply and f"supply vdd {supply}")


LOW: Row = ("2V .. 3V", 6, 9)
HIGH: Row = ("3V .. 5V", 10, 4)


@pytest.mark.parametrize(
    ("supply", "rows", "source", "sink"),
    [
        ("2V .. 5V", (LOW, HIGH), 6, 4),
        ("2V .. 5V", (HIGH, LOW), 6, 4),
        ("2.5V .. 2.9V", (LOW, HIGH), 6, 9),
        ("2.5V .. 3V", (LOW, HIGH), 6, 4),
        ("3V .. 4V", (LOW, HIGH), 6, 4),
        ("3.1V .. 4V", (LOW, HIGH), 10, 4),
        ("2V .. 5V", (("2V .. 5V", 7, 7), ("3V .. 4V", 5, 8)), 5, 7),
        ("2V .. 5V", (("", 7, 7),), 7, 7),
        ("2V .. 9V", (("", 7, 7), LOW), 6, 7),
    ],
)
def test_the_least_of_the_rows_that_hold_somewhere(
    supply: str, rows: tuple[Row, ...], source: int, sink: int
) -> None:
    """Of source and sink apart, an end that a row shares with the supply included; nothing is unrated."""
    of = rated(supply, *rows)
    for name, figure in (("source", source), ("sink", sink)):
        assert span(of, f"output.{name}_rated").middle == pytest.approx(figure * 1e-3)
        assert fact(of, f"output.{name}_unrated").value is False


@pytest.mark.parametrize(
    ("supply", "rows"),
    [
        ("1.9V .. 3V", (LOW, HIGH)),
        ("3V .. 5.1V", (LOW, HIGH)),
        ("2.5V .. 4V", (LOW, ("3.1V .. 5V", 10, 4))),
        ("2.5V .. 4V", (("3.1V .. 5V", 10, 4), LOW)),
        ("6V .. 7V", (LOW, HIGH)),
        ("1V", (LOW, HIGH)),
    ],
)
def test_a_supply_that_the_rows_do_not_cover_is_unrated(supply: str, rows: tuple[Row, ...]) -> None:
    """Below, above, in a gap between rows, or outside all of them: what may flow there nobody says."""
    of = rated(supply, *rows)
    for name in ("source", "sink"):
        assert unknown(of, f"output.{name}_rated").missing == (f"PL1 output {name} at its supply",)
        assert fact(of, f"output.{name}_unrated").value is True
        assert fact(of, f"output.{name}_unrated").law


def test_what_is_rated_nowhere_is_not_unrated_elsewhere() -> None:
    """A part file without a figure says nothing of any supply; one figure in one row is enough to say so."""
    of = rated("6V .. 7V", ("2V .. 3V", None, 9), ("3V .. 5V", None, None))
    assert fact(of, "output.source_unrated").value is False
    assert fact(of, "output.sink_unrated").value is True
    part = rated("2V .. 5V", ("2V .. 3V", None, 9), HIGH)
    assert unknown(part, "output.source_rated").missing == ("PL1 output source",)
    assert span(part, "output.sink_rated").middle == pytest.approx(4e-3)


def test_without_a_supply_it_is_not_known_whether_it_is_rated() -> None:
    """The supply is named; one row for every supply is a rating still."""
    dark = CENTRED.replace("V1 vdd 0 4\n", "")
    rows = PLAIN.replace(OLD, OLD.replace(" }", ', at_supply = "2V .. 5V" }'), 1)
    for name in ("source", "sink"):
        assert unknown(book(dark, PLAIN), f"output.{name}_unrated").missing == ("voltage of vdd",)
        assert unknown(book(dark, rows), f"output.{name}_rated").missing == ("voltage of vdd",)
    assert span(book(dark, PLAIN), "output.source_rated").middle == pytest.approx(10e-3)
