"""EDIF files that nobody here wrote, against the reading of a reference library.

Source: the PyPI package spydrnet 1.8 (BSD-3) and the 32 EDIF files that its wheel carries.
"""

import zipfile
from collections import Counter
from collections.abc import Hashable
from pathlib import Path
from typing import TYPE_CHECKING

import networkx
import pytest

from drc.netlist.edif import read_edif
from drc.netlist.source import decode

if TYPE_CHECKING:
    from spydrnet.ir import Definition

spydrnet = pytest.importorskip("spydrnet", reason="the reference library is not installed")
FILES = sorted((Path(spydrnet.__file__).parent / "support_files" / "EDIF_netlists").glob("*.edf.zip"))
FEED_THROUGH = "passthrough_test"
"""A cell of this file joins two of its own ports, which we report and do not follow."""


def _leaf_cells(path: Path) -> Counter[str]:
    """The cell of every leaf instance, as the reference library expands the file."""
    netlist = spydrnet.parse(str(path))
    found = netlist.get_hinstances(recursive=True, filter=lambda h: h.item.reference.is_leaf())
    return Counter(instance.item.reference.name for instance in found)


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name.partition(".")[0])
def test_leaf_instances_agree(path: Path) -> None:
    """We find the leaf instances that the reference library finds, of the same cells, and no other."""
    with zipfile.ZipFile(path) as archive:
        data = archive.read(archive.namelist()[0])
    circuit = read_edif(decode(data, path.name))
    assert Counter(element.part for element in circuit.elements()) == _leaf_cells(path)
    assert bool(circuit.troubles) == path.name.startswith(FEED_THROUGH)


@pytest.mark.parametrize("path", [p for p in FILES if FEED_THROUGH not in p.name], ids=lambda p: p.stem)
def test_joined_pins_agree(path: Path) -> None:
    """Nets join as many pins of leaf instances here as in the reference library."""
    with zipfile.ZipFile(path) as archive:
        data = archive.read(archive.namelist()[0])
    circuit = read_edif(decode(data, path.name))
    ours = Counter(len(net.pins()) for net in circuit.nets() if len(net.pins()) > 1)
    netlist = spydrnet.parse(str(path))
    joined = networkx.Graph()
    _join(joined, netlist.top_instance.reference, ())
    groups = (
        [node for node in group if node[0] == "leaf"] for group in networkx.connected_components(joined)
    )
    assert ours == Counter(len(group) for group in groups if len(group) > 1)


def _join(joined: "networkx.Graph[Hashable]", definition: "Definition", path: tuple[str, ...]) -> None:
    """Adds every wire of a definition and of what it holds; a pin of a cell is one node from both sides."""
    for cable in definition.cables:
        for wire in cable.wires:
            for pin in wire.pins:
                outer = isinstance(pin, spydrnet.OuterPin)
                inner = pin.inner_pin if outer else pin
                owner = (*path, pin.instance.name) if outer else path
                kind = "leaf" if outer and pin.instance.reference.is_leaf() else "port"
                joined.add_edge(("wire", path, id(wire)), (kind, owner, id(inner)))
    for child in definition.children:
        _join(joined, child.reference, (*path, child.name))
