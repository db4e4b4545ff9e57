"""Good boards drawn in another manner stay silent: by a header, on a sheet below, in two pieces."""

from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from tests.faults.boards import Good
from tests.faults.test_seeded import judged, made, spoken

SEEDS = range(3000, 3030)


def by_header(good: Good) -> str:
    """The part's pins in another order, which a header gives by their roles' names."""
    order = list(range(len(good.spec.pins)))
    Random(good.spec.name).shuffle(order)
    names = [good.spec.pins[place].upper() for place in order]
    nets = good.lines["block"].split()[1:-1]
    header = f".subckt {good.spec.name} {' '.join(names)}\n.ends"
    return good.text(block=f"{header}\nXU1 {' '.join(nets[place] for place in order)} {good.spec.name}")


def on_a_sheet(good: Good) -> str:
    """All but the source on a sheet below, which takes the supply by a port."""
    stated = [line for line in good.lines.values() if line.startswith("*@")]
    parts = [
        line for key, line in good.lines.items() if line and not line.startswith("*@") and key != "title"
    ]
    parts.remove(good.lines["source"])
    expects = "\n".join(stated).replace("XU1", "XS1.XU1")
    inside = "\n".join(parts)
    return (
        f"{good.lines['title']}\n{expects}\n{good.lines['source']}\n"
        f".subckt sheet vdd\n{inside}\n.ends\nXS1 vdd sheet\n"
    )


def in_pieces(good: Good) -> str:
    """The timing resistor as two in series, a link before the strap, a bead in the supply."""
    half = f"{good.timing / 2e3:.6g}k"
    return good.text(
        timing=f"R3 rt mid {half}\nR33 mid 0 {half}",
        upper=good.lines["upper"].replace(" vdd ", " vddx ") + "\nR11 vddx vdd 0",
        source=good.lines["source"].replace("vdd", "vin") + "\nL1 vin vdd 470n",
    )


@pytest.mark.parametrize("drawn", [by_header, on_a_sheet, in_pieces])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_good_board_drawn_otherwise_is_silent(
    seed: int, drawn: Callable[[Good], str], tmp_path: Path
) -> None:
    """No error and no warning, however the same circuit is drawn."""
    good = made(seed)
    text = drawn(good)
    assert spoken(judged(good, text, tmp_path)) == {}, text
