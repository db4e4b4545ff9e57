"""EDIF 2 0 0, netlist view (ANSI/EIA-548): libraries of cells, instances and nets become a Circuit.

Accepted as files in the world write it: keywords in any case, renames and display forms, external
libraries, array ports and members, designators on instances and pins, properties for value and part.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from drc.circuit.model import Circuit, Reading, SourceFile
from drc.netlist.assemble import Cell, Placed, assemble
from drc.netlist.edif_tree import Form, Word, read_tree
from drc.netlist.source import Source
from drc.quantity.notation import percent, read_value
from drc.trouble import InputError, Place, Trouble

VALUE_WORDS = ("value", "partvalue", "val", "comment")
PART_WORDS = ("part", "partnumber", "partname", "device", "component")
TOLERANCE_WORDS = ("tolerance", "tol")
"""Properties by what they say, first found wins (common practice, no source)."""

MEMBER_LIMIT = 4096
"""The widest array of ports or instances that is expanded."""


class _Port(NamedTuple):
    """A port of a cell: its identifier, how it is displayed, its width (0: no array), its designator."""

    identifier: str
    shown: str
    width: int
    designator: str | None

    def pins(self) -> list[str]:
        """The names of its pins: one, or one a member."""
        if self.width:
            return [f"{self.shown}[{i}]" for i in range(self.width)]
        return [self.shown]


class _CellForm(NamedTuple):
    """A cell as the file gives it, its view's interface and contents found."""

    identifier: str
    shown: str
    library: str
    form: Form
    ports: tuple[_Port, ...]
    contents: Form | None
    properties: Mapping[str, Word]

    def pins(self) -> list[str]:
        """The names of its pins, members of arrays each."""
        return [pin for port in self.ports for pin in port.pins()]

    @property
    def key(self) -> str:
        """Library and cell, lower case: what a cellRef names."""
        return f"{self.library}/{self.identifier}".lower()


def read_edif(source: Source) -> Circuit:
    """The circuit of the cell that the file's `design` names, or of the last cell with contents.

    Raises InputError where the file is no EDIF 2 0 0, or holds no cell with contents.
    """
    tree = read_tree(source)
    troubles: list[Trouble] = list(tree.troubles)
    root = tree.form
    _check_version(source, root)
    cells = {cell.key: cell for cell in _cells(root)}
    top = _top(source, root, cells, troubles)
    wanted = _reached(top, cells, troubles, source)
    board = [_board_cell(source, cell, cells, cell is top, troubles) for cell in wanted]
    files = (SourceFile(source.path, "board", source.digest),)
    return assemble(board, top.shown, files, troubles)


def _check_version(source: Source, root: Form) -> None:
    """Refuses what is no EDIF 2 0 0."""
    version = root.child("edifversion")
    numbers = [word.text for word in version.words()] if version else []
    if root.head != "edif" or (numbers and numbers[0] != "2"):
        found = f"EDIF {' '.join(numbers)}" if numbers else f"'({root.head} ...'"
        message = f"found {found}, expected '(edif ... (edifVersion 2 0 0)': write the netlist as EDIF 2 0 0"
        raise InputError(Trouble("wrong-format", "error", _place(source, root), message))


def _cells(root: Form) -> Iterator[_CellForm]:
    """Every cell of every library, its netlist view."""
    for library in root.children("library", "external"):
        name = library.name()[0]
        for cell in library.children("cell"):
            views = cell.children("view")
            view = next((v for v in views if v.child("contents")), views[0] if views else None)
            interface = view.child("interface") if view else None
            ports = tuple(_port(form) for form in interface.children("port")) if interface else ()
            identifier, shown = cell.name()
            found = _properties(cell, interface, view)
            contents = view.child("contents") if view else None
            if contents is not None and not contents.children("instance"):
                contents = None
            yield _CellForm(identifier, shown, name, cell, ports, contents, found)


def _port(form: Form) -> _Port:
    """A port, maybe an array of them."""
    array = form.child("array")
    holder = array or form
    identifier, shown = holder.name()
    width = 0
    if array is not None:
        digits = [word.text for word in array.words() if word.text.isdecimal()]
        width = min(int(digits[-1]), MEMBER_LIMIT) if digits else 1
        shown = shown.partition("[")[0] or shown
    return _Port(identifier, shown, width, _designator(form))


def _designator(form: Form) -> str | None:
    """The designator of an instance or a pin, plain or as a displayed string."""
    holder = form.child("designator")
    word = next(holder.deep_words(), None) if holder else None
    return word.text if word else None


def _properties(*forms: Form | None) -> dict[str, Word]:
    """Properties by name in lower case, the display name too; an earlier form wins."""
    found: dict[str, Word] = {}
    for form in forms:
        for holder in form.children("property") if form else ():
            word = next(
                (w for part in holder.forms() if part.head not in _NAMES for w in part.deep_words()), None
            )
            if word is not None:
                for name in holder.name():
                    found.setdefault(name.lower(), word)
    return found


_NAMES = frozenset({"rename", "name", "owner", "unit", "display", "property"})


def _top(source: Source, root: Form, cells: Mapping[str, _CellForm], troubles: list[Trouble]) -> _CellForm:
    """The cell that the design names; without a design, the last cell that has contents."""
    design = root.child("design")
    reference = design.child("cellref") if design else None
    if reference is not None:
        named = _named_cell(reference, "", cells)
        if named is not None:
            return named
        message = f"the design names cell '{reference.name()[0]}', which the file does not hold"
        troubles.append(Trouble("undefined-cell", "error", _place(source, reference), message))
    full = [cell for cell in cells.values() if cell.contents is not None]
    if not full:
        message = "holds no cell with instances: expected a netlist view with contents"
        raise InputError(Trouble("empty-board", "error", Place(source.path), message))
    return full[-1]


def _named_cell(reference: Form, library: str, cells: Mapping[str, _CellForm]) -> _CellForm | None:
    """The cell of a cellRef: in the library it names, else in the one it stands in."""
    holder = reference.child("libraryref")
    where = holder.name()[0] if holder else library
    name = reference.name()[0]
    found = cells.get(f"{where}/{name}".lower())
    if found is None and not where:
        found = next((c for c in cells.values() if c.identifier.lower() == name.lower()), None)
    return found


def _cell_of(instance: Form, cell: _CellForm, cells: Mapping[str, _CellForm]) -> _CellForm | None:
    """The cell that an instance places."""
    view = instance.child("viewref")
    reference = (view.child("cellref") if view else None) or instance.child("cellref")
    return _named_cell(reference, cell.library, cells) if reference else None


def _reached(
    top: _CellForm, cells: Mapping[str, _CellForm], troubles: list[Trouble], source: Source
) -> list[_CellForm]:
    """The top cell and every cell with contents that it places, itself first; loops are cut and named."""
    found = {top.key: top}
    pending: list[tuple[_CellForm, tuple[str, ...]]] = [(top, (top.key,))]
    while pending:
        cell, above = pending.pop()
        for instance in _instances(cell):
            inner = _cell_of(instance, cell, cells)
            if inner is None or inner.contents is None:
                continue
            if inner.key in above:
                message = f"cell '{inner.shown}' holds itself: the instance is taken as a part"
                troubles.append(Trouble("recursive-subcircuit", "error", _place(source, instance), message))
            elif inner.key not in found:
                found[inner.key] = inner
                pending.append((inner, (*above, inner.key)))
    return list(found.values())


def _instances(cell: _CellForm) -> Sequence[Form]:
    return cell.contents.children("instance") if cell.contents else ()


class _Joins(NamedTuple):
    """Net names by (instance, port pin), and pin numbers by the same."""

    pins: Mapping[tuple[str, str], str]
    numbers: Mapping[tuple[str, str], str]


class _Inside(NamedTuple):
    """A cell with its instances by identifier in lower case, and the cell that each of them places."""

    cell: _CellForm
    instances: Mapping[str, Form]
    inner: Mapping[str, _CellForm | None]


def _board_cell(
    source: Source, cell: _CellForm, cells: Mapping[str, _CellForm], is_top: bool, troubles: list[Trouble]
) -> Cell:
    """One cell with everything that it places."""
    instances = {i.name()[0].lower(): i for i in _instances(cell)}
    inside = _Inside(cell, instances, {name: _cell_of(form, cell, cells) for name, form in instances.items()})
    joins = _Joins(_joined(source, inside, is_top, troubles), _numbers(inside))
    placed = tuple(_placed(source, name, inside, joins) for name in instances)
    ports = () if is_top else tuple(cell.pins())
    return Cell(cell.key, _place(source, cell.form), ports, placed)


def _joined(
    source: Source, inside: _Inside, is_top: bool, troubles: list[Trouble]
) -> dict[tuple[str, str], str]:
    """Every pin of a cell's instances with its net; a net on a port of the cell goes by the port's name."""
    pins: dict[tuple[str, str], str] = {}
    for net in inside.cell.contents.children("net") if inside.cell.contents else ():
        for index, name in enumerate(_net_names(net)):
            joined = _net_pins(source, inside, net, index, troubles)
            own = [pin for owner, pin in joined if not owner] if not is_top else []
            if len(own) > 1:
                message = f"ports {' and '.join(own)} of cell '{inside.cell.shown}' are one net within it"
                advice = "only the first is followed: join them outside the cell as well"
                at = _place(source, net)
                troubles.append(Trouble("ports-joined", "error", at, f"{message}; {advice}", nets=(name,)))
            for key in joined:
                pins.setdefault(key, own[0] if own else name)
    return pins


def _net_pins(
    source: Source, inside: _Inside, net: Form, index: int, troubles: list[Trouble]
) -> list[tuple[str, str]]:
    """The (instance, pin) pairs of one member of a net; the cell's own ports have no instance."""
    found = []
    for reference in _references(net):
        holder = reference.child("instanceref")
        owner = holder.name()[0].lower() if holder else ""
        if owner and owner not in inside.instances:
            shown = net.name()[1]
            message = f"net '{shown}' names instance '{owner}', which the cell does not hold: it is left out"
            at = _place(source, reference)
            troubles.append(Trouble("undefined-instance", "error", at, message, nets=(shown,)))
            continue
        found.append((owner, _pin(reference, inside.inner[owner] if owner else inside.cell, index)))
    return found


def _net_names(net: Form) -> list[str]:
    """The net's name as displayed, or one a member of an array of nets."""
    array = net.child("array")
    shown = (array or net).name()[1]
    if array is None:
        return [shown]
    digits = [word.text for word in array.words() if word.text.isdecimal()]
    width = min(int(digits[-1]), MEMBER_LIMIT) if digits else 1
    return [f"{shown.partition('[')[0]}[{i}]" for i in range(width)]


def _references(net: Form) -> Iterator[Form]:
    """Every portRef of a net, within joined or not."""
    for joined in (net, *net.children("joined")):
        yield from joined.children("portref")


def _pin(reference: Form, owned: _CellForm | None, index: int) -> str:
    """The pin that a portRef means: the port as its cell displays it, a member by its number."""
    member = reference.child("member")
    identifier = (member or reference).name()[0]
    port = (
        next((p for p in owned.ports if p.identifier.lower() == identifier.lower()), None) if owned else None
    )
    shown = port.shown if port else identifier
    if member is not None:
        digits = [word.text for word in member.words() if word.text.isdecimal()]
        return f"{shown}[{digits[-1] if digits else 0}]"
    return f"{shown}[{index}]" if port and port.width else shown


def _numbers(inside: _Inside) -> dict[tuple[str, str], str]:
    """Pin numbers by (instance, pin), from the instance's own portInstance or the cell's port."""
    found: dict[tuple[str, str], str] = {}
    for name, form in inside.instances.items():
        cell = inside.inner[name]
        for port in cell.ports if cell else ():
            if port.designator:
                found[name, port.shown] = port.designator
        for own in form.children("portinstance"):
            number, pin = _designator(own), _pin(own.child("portref") or own, cell, 0)
            if number:
                found[name, pin] = number
    return found


def _placed(source: Source, name: str, inside: _Inside, joins: _Joins) -> Placed:
    """One instance: its designator, pins, value and part."""
    form, inner = inside.instances[name], inside.inner[name]
    shown, at = _designator(form) or form.name()[1], _place(source, form)
    listed = inner.pins() if inner else []
    if inner is not None and inner.contents is not None and inner.key != inside.cell.key:
        return Placed(
            shown, at, {p: joins.pins.get((name, p), "") for p in listed}, inner.shown, cell=inner.key
        )
    listed += [pin for owner, pin in joins.pins if owner == name and pin not in listed]
    plain = len(listed) <= 2
    named = {joins.numbers.get((name, p), p) if plain else p: joins.pins.get((name, p), "") for p in listed}
    found = {**(inner.properties if inner else {}), **_properties(form)}
    part = next((found[w].text for w in PART_WORDS if w in found), None) or (inner.shown if inner else None)
    texts = {key: word.text for key, word in found.items()}
    return Placed(shown, at, named, part, _reading(shown, found), texts)


def _reading(name: str, properties: Mapping[str, Word]) -> Reading:
    """The value of a resistor, capacitor or inductor, with its tolerance."""
    kind = name[:1].upper()
    word = next((properties[w] for w in VALUE_WORDS if w in properties), None)
    if word is None or kind not in "RCL":
        return Reading(None, "no value is given")
    found = read_value(word.text, kind, "mega")
    spread = next((percent(properties[w].text) for w in TOLERANCE_WORDS if w in properties), None)
    return Reading(
        found.value, found.because, spread or found.tolerance, None, found.fitted, found.rating, word.token
    )


def _place(source: Source, form: Form) -> Place:
    """Where a form's first word stands."""
    line, column = form.at
    return Place(source.path, line, column, len(form.head))
