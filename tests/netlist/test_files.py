"""Files: includes and sections, what bounds them, and encodings."""

from pathlib import Path

import pytest

from drc.circuit.model import Circuit
from drc.netlist.options import Limits, ReadOptions
from drc.netlist.read import read_circuit
from drc.trouble import InputError


def _board(folder: Path, files: dict[str, str], options: ReadOptions | None = None) -> Circuit:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return read_circuit(folder / "board.cir", folder, options or ReadOptions())


def _kinds(circuit: Circuit) -> list[str]:
    return [trouble.kind for trouble in circuit.troubles]


def test_an_included_file_stands_where_its_line_stands(tmp_path: Path) -> None:
    """Elements of an included file come in its place, with its own path, line and column."""
    circuit = _board(
        tmp_path,
        {
            "board.cir": 'title\nR1 a b 1\n.include "lib/cells.inc"\nR2 a b 2\n',
            "lib/cells.inc": "R9 a b 9\n.include deeper.inc\n",
            "lib/deeper.inc": "R8 a b 8\n",
        },
    )
    assert [element.path for element in circuit.elements()] == ["R1", "R9", "R8", "R2"]
    assert [str(element.place) for element in circuit.elements()] == [
        "board.cir:2:1", "lib/cells.inc:1:1", "lib/deeper.inc:1:1", "board.cir:4:1",
    ]  # fmt: skip
    assert [(file.path, file.kind) for file in circuit.files] == [
        ("board.cir", "board"), ("lib/cells.inc", "include"), ("lib/deeper.inc", "include"),
    ]  # fmt: skip


def test_an_include_within_a_subcircuit_belongs_to_it(tmp_path: Path) -> None:
    """Lines included inside a definition are the definition's."""
    files = {"board.cir": "t\n.subckt c a b\n.inc body.inc\n.ends\nX1 p q c\n", "body.inc": "R1 a b 1k\n"}
    assert [element.path for element in _board(tmp_path, files).elements()] == ["X1.R1"]


def test_a_section_of_a_library_is_read_alone(tmp_path: Path) -> None:
    """`.lib file section` reads that section; a missing one is named; the board's own are skipped."""
    library = ".lib slow\n.param w=1\n.endl slow\n.lib fast\n.param w=2\nRf a b 7\n.endl\n"
    files = {
        "board.cir": "t\n.lib 'models.lib' FAST\nR1 a b {w}\n.lib own\nR3 a b 1\n.endl\n",
        "models.lib": library,
    }
    circuit = _board(tmp_path, files)
    assert [(e.path, e.value) for e in circuit.elements()] == [("Rf", 7), ("R1", 2)]
    files["board.cir"] = "t\n.lib models.lib typical\n"
    assert _kinds(_board(tmp_path, files)) == ["section-not-found"]


def test_includes_that_lead_nowhere_are_named(tmp_path: Path) -> None:
    """A missing file, a loop and a file outside the root are one line each, at the word at fault."""
    inside = tmp_path / "project"
    (tmp_path / "secret.inc").write_text("R7 a b 1\n", encoding="utf-8")
    inside.mkdir()
    circuit = _board(
        inside,
        {
            "board.cir": "t\n.inc nix.inc\n.inc loop.inc\n.inc ../secret.inc\n.include\nR1 a b 1\n",
            "loop.inc": ".include board.cir\n.include loop.inc\n",
        },
    )
    assert _kinds(circuit) == [
        "include-not-found", "include-outside", "unreadable-line", "include-loop", "include-loop",
    ]  # fmt: skip
    assert (circuit.troubles[0].place.line, circuit.troubles[0].place.column) == (2, 6)
    assert [element.path for element in circuit.elements()] == ["R1"]


def test_settings_may_allow_another_folder(tmp_path: Path) -> None:
    """A folder that the options name may be included from."""
    inside, shared = tmp_path / "project", tmp_path / "shared"
    shared.mkdir()
    (shared / "r.inc").write_text("R7 a b 1\n", encoding="utf-8")
    circuit = _board(
        inside, {"board.cir": "t\n.include ../shared/r.inc\n"}, ReadOptions(include_roots=(shared,))
    )
    assert [element.path for element in circuit.elements()] == ["R7"]


def test_depth_and_count_of_includes_are_bounded(tmp_path: Path) -> None:
    """Going over a limit is one clear line, and the rest is read."""
    chain = {f"f{i}.inc": f".include f{i + 1}.inc\n" for i in range(9)}
    files = {"board.cir": "t\n.include f0.inc\nR1 a b 1\n", **chain, "f9.inc": "R9 a b 1\n"}
    circuit = _board(tmp_path, files, ReadOptions(limits=Limits(include_depth=4)))
    assert _kinds(circuit) == ["include-too-deep"]
    circuit = _board(tmp_path, files, ReadOptions(limits=Limits(include_files=3)))
    assert _kinds(circuit) == ["too-many-files"]
    assert [element.path for element in circuit.elements()] == ["R1"]


@pytest.mark.parametrize(
    ("limits", "kind"),
    [
        (Limits(lines=3), "too-many-lines"),
        (Limits(line_length=20), "line-too-long"),
        (Limits(elements=2), "too-many-elements"),
        (Limits(expansion=3), "too-many-elements"),
        (Limits(file_bytes=30), "file-too-large"),
    ],
)
def test_a_board_beyond_a_limit_is_refused_in_one_line(tmp_path: Path, limits: Limits, kind: str) -> None:
    """Lines, their length, elements, expanded ones and bytes have limits; beyond, a board is refused."""
    text = "t\n" + "".join(f"R{i} a b 1\n" for i in range(5)) + "* " + "x" * 30 + "\n"
    with pytest.raises(InputError) as caught:
        _board(tmp_path, {"board.cir": text}, ReadOptions(limits=limits))
    assert [trouble.kind for trouble in caught.value.troubles] == [kind]


def test_a_missing_board_is_an_input_error(tmp_path: Path) -> None:
    """A path that can't be read names itself."""
    with pytest.raises(InputError, match=r"nix\.cir"):
        read_circuit(tmp_path / "nix.cir", tmp_path)


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252"]
)
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encodings_and_line_ends_change_nothing(tmp_path: Path, encoding: str, end: str) -> None:
    """UTF-8, UTF-16 and Latin-1, marked or not, with any line end, read alike; the micro sign is micro."""
    text = end.join(("Bürde", "C1 a b 10µF", "R1 a b", "+ 1k", "\tR2 a b 2k", ".end")) + end
    (tmp_path / "board.cir").write_bytes(text.encode(encoding))
    circuit = read_circuit(tmp_path / "board.cir", tmp_path)
    assert circuit.title == "Bürde"
    assert [element.value for element in circuit.elements()] == [1e-5, 1000, 2000]
    assert [element.place.line for element in circuit.elements()] == [2, 3, 5]


def test_odd_endings_are_read() -> None:
    """No final newline, a form feed, a Ctrl-Z and an empty last line are no findings."""
    from drc.netlist.read import read_text

    for tail in ("", "\x0c\n", "\n\x1a", "\n\n\n"):
        circuit = read_text("title\nR1 a b 1k" + tail)
        assert circuit.element_count == 1
        assert not circuit.troubles
