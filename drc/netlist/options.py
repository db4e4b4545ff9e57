"""What may be chosen about reading a netlist, and its limits."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

from drc.bounded import file_bytes
from drc.quantity.notation import MChoice


class Limits(NamedTuple):
    """Bounds on what a file may ask for; going over one is one clear line.

    `elements` counts lines, `expansion` leaves once every instance is expanded, `hierarchy_depth` instances
    within instances.
    """

    include_depth: int = 32
    include_files: int = 1000
    file_bytes: int = 2_000_000_000
    lines: int = 20_000_000
    line_length: int = 4_000_000
    elements: int = 10_000_000
    expansion: int = 20_000_000
    hierarchy_depth: int = 200


class ReadOptions(NamedTuple):
    """`m_means` says what a capital M on a resistor is; `include_roots` are folders beside the root from
    which files may be included; `source` gives a file's bytes, `is_file` says whether one is there and
    `resolve` where a path leads, so that edited or staged text can be read; `columns` gives a house's own
    words for the columns of a pin list, by meaning; `parts` names the parts of elements (by designator in
    lower case) whose pin list does not: what a bill of materials says."""

    m_means: MChoice = "report"
    include_roots: tuple[Path, ...] = ()
    limits: Limits = Limits()
    source: Callable[[Path], bytes] = file_bytes
    is_file: Callable[[Path], bool] = Path.is_file
    resolve: Callable[[Path], Path] = Path.resolve
    columns: Mapping[str, str] = {}
    parts: Mapping[str, str] = {}
