"""Boards that were renumbered: which block answers to which, and what is asked of them."""

import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drc.outcome import BoardSwap
from tests.gate.swapping import two

STATION = Path(__file__).parents[2] / "samples" / "fog-station"

TWINS = """Two choppers alike, told apart by what hangs on them
*@ supply VDD 3.2V .. 3.4V
*@ ambient 20degC .. 30degC
*@ assume R6 tolerance 2%, tempco 100ppm
*@ assume R* tolerance 1%, tempco 100ppm
*@ expect XU1 frequency 400Hz +/- 5%
*@ expect XU2 frequency 800Hz +/- 6%
V1  VDD 0 3.3
C1  VDD 0 1u
R1  VDD CFG 56.2k
R2  CFG 0   143k
R3  RT  0   200k
XU1 VDD CFG OUT 0 RT VDD HA10
R4  OUT 0   22k
R5  RT2 0   100k
XU2 VDD CFG OUT2 0 RT2 VDD HA10
R6  OUT2 0  47k
.end
"""
LAMP = (STATION / "lamp.cir").read_text().replace(".include models.inc\n", "")
LAMP = LAMP.replace(".end\n", ".model N_PWR nmos (vto=1.6 kp=2)\n.end\n")


def _names(board: str) -> tuple[list[str], list[str]]:
    """The elements and nets of a flat board, by their lines."""
    elements, nets = [], []
    for line in board.split("\n")[1:]:
        words = line.partition(";")[0].split()
        if words and words[0][0].isalpha():
            elements.append(words[0])
            count = {"X": -1, "Q": 4, "M": 5}.get(words[0][0].upper(), 3)
            nets += [word for word in words[1:count] if word != "0"]
    return elements, list(dict.fromkeys(nets))


def redrawn(board: str, numbers: list[int], nets_too: bool, order: list[int]) -> str:
    """The board with every element (and net) renamed, statements and all, and its lines in another order."""
    title, *lines = board.rstrip("\n").split("\n")
    elements, nets = _names(board)
    letters = [re.match(r"[A-Za-z]+", name).group() for name in elements]  # type: ignore[union-attr]
    new = {
        name.lower(): f"{letter}{100 + number}"
        for name, letter, number in zip(elements, letters, numbers, strict=False)
    }
    if nets_too:
        new |= {net.lower(): f"n{500 + number}" for net, number in zip(nets, numbers, strict=False)}
    words = re.compile(
        r"(?<![\w.*])(" + "|".join(map(re.escape, sorted(new, key=len, reverse=True))) + r")(?![\w*])", re.I
    )

    def renamed(line: str) -> str:
        code, mark, comment = line.partition(";")
        return words.sub(lambda match: new[match.group().lower()], code) + mark + comment

    cards = [renamed(line) if line[:1].isalpha() or line.startswith("*@") else line for line in lines]
    movable = [n for n, line in enumerate(cards) if line[:1].isalpha()]
    shuffled = [cards[n] for n in sorted(movable, key=lambda n: order[n % len(order)])]
    for n, line in zip(movable, shuffled, strict=True):
        cards[n] = line
    return "\n".join((title, *cards, ""))


@pytest.mark.parametrize("board", [TWINS, LAMP], ids=["twins", "lamp"])
@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(numbers=st.permutations(range(40)), nets_too=st.booleans(), order=st.permutations(range(23)))
def test_a_board_drawn_anew_is_known_again(
    board: str, numbers: list[int], nets_too: bool, order: list[int], tmp_path: Path
) -> None:
    """Renumbered, renamed and in another order it is drop-in, block by block, and nothing has changed."""
    found = two(tmp_path, board, redrawn(board, numbers, nets_too, order))
    assert found.verdict == "drop-in", found.objections
    assert (found.gained, found.lost, found.edits) == ((), (), ())
    for pair in found.blocks:
        assert pair.matched_by == "wiring"
        assert pair.changes == ()


def pairs(board: BoardSwap) -> list[tuple[str | None, str | None]]:
    """The paths of blocks that answer to each other."""
    sides = ((pair.before, pair.after) for pair in board.blocks)
    return [tuple(None if side is None else side.block.path for side in each) for each in sides]  # type: ignore[misc]


def test_exchanged_names_are_seen_through(tmp_path: Path) -> None:
    """Two blocks that took each other's names are matched by what hangs on them, not by name."""
    exchanged = (
        TWINS.replace("XU1 VDD", "XU9 VDD").replace("XU2 VDD", "XU1 VDD").replace("XU9 VDD", "XU2 VDD")
    )
    found = two(tmp_path, TWINS, exchanged)
    assert pairs(found) == [("XU1", "XU2"), ("XU2", "XU1")]
    assert found.verdict == "drop-in", found.objections


def test_a_block_of_the_same_name_and_nets_stays_itself(tmp_path: Path) -> None:
    """A block that kept its name and nets is matched by name, though its part and values are others now."""
    new = TWINS.replace("R5  RT2 0   100k", "R5  RT2 0   91.5k").replace(
        "XU2 VDD CFG OUT2 0 RT2 VDD HA10",
        "R7 VDD CFG2 37.4k\nR8 CFG2 0 162k\nXU2 OUT2 0 CFG2 VDD VDD RT2 BR10",
    )
    found = two(tmp_path, TWINS, new)
    assert pairs(found) == [("XU1", "XU1"), ("XU2", "XU2")]
    assert [pair.matched_by for pair in found.blocks] == ["name", "name"]


def test_a_statement_follows_its_element_to_the_new_name(tmp_path: Path) -> None:
    """What is stated of one resistor is asked of the one that took its place, not of its old number."""
    names = {
        "R1": "R12",
        "R2": "R11",
        "R3": "R16",
        "R4": "R15",
        "R5": "R14",
        "R6": "R13",
        "XU1": "XU4",
        "XU2": "XU3",
    }
    bare = "\n".join(line for line in TWINS.split("\n") if not line.startswith("*@"))
    words = re.compile(r"\b(" + "|".join(names) + r")\b")
    found = two(tmp_path, TWINS, words.sub(lambda match: names[match.group()], bare))
    assert found.verdict == "drop-in", found.objections
    source = found.blocks[1].after
    assert source is not None
    inputs = {each.label: each.value for each in source.facts["output.source"].inputs}
    assert inputs["R13 tolerance"] == "+/- 2 %"
    assert not found.blocks[1].changes


def test_hierarchy_made_flat_is_matched_by_wiring(tmp_path: Path) -> None:
    """A block inside a subcircuit answers to the same block drawn without it."""
    inner = "R3  RT  0   200k\nXU1 VDD CFG OUT 0 RT VDD HA10\n"
    nested = (
        TWINS.replace(inner, "XS VDD CFG OUT STAGE\n")
        .replace(".end", f".subckt STAGE VDD CFG OUT\n{inner}.ends\n.end")
        .replace("expect XU1", "expect XS.XU1")
    )
    found = two(tmp_path, nested, TWINS)
    assert pairs(found)[0] == ("XS.XU1", "XU1")
    assert found.verdict == "drop-in", found.objections


def test_a_statement_about_what_is_gone_is_left_out_and_told(tmp_path: Path) -> None:
    """A tolerance of a resistor that the new board has not is no error there; it is told."""
    before = TWINS.replace("*@ expect XU1", "*@ assume R9 tolerance 5%\n*@ expect XU1").replace(
        ".end", "R9 OUT2 0 1Meg\n.end"
    )
    after = "\n".join(line for line in TWINS.split("\n") if not line.startswith("*@ assume"))
    found = two(tmp_path, before, after)
    assert found.verdict == "drop-in", found.objections
    assert [note for note in found.notes if "left out" in note and "R9" in note]


def test_an_expectation_of_a_block_that_is_gone_is_not_met(tmp_path: Path) -> None:
    """What was expected of a block to which nothing answers speaks against the new board."""
    after = re.sub(r"(?m)^(R5|XU2|R6|\*@ expect XU2|\*@ assume R6).*\n", "", TWINS)
    found = two(tmp_path, TWINS, after)
    assert found.verdict == "not a replacement"
    assert any("XU2 is gone" in each for each in found.objections)


def test_the_new_board_s_own_elements_are_as_it_says(tmp_path: Path) -> None:
    """A tolerance that the new board states of its own resistors is heeded, and named as the cause."""
    after = TWINS.replace("assume R* tolerance 1%", "assume R* tolerance 0.1%")
    found = two(tmp_path, TWINS, after)
    change = next(each for each in found.blocks[0].changes if each.name == "timing.frequency")
    assert "R3 tolerance +/- 1 % -> +/- 0.1 %" in change.because


@settings(max_examples=6, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(numbers=st.permutations(range(40)), order=st.permutations(range(23)))
def test_a_part_swapped_and_a_board_redrawn_at_once_are_told_apart(
    numbers: list[int], order: list[int], tmp_path: Path
) -> None:
    """On a board that is renumbered and has one new part, that part alone has changed, with its own values.

    BR10 makes 0.4 us * 1024 * 32 uA * 91.5 kohm / 0.96 V = 1.2493 ms at 3.0 V, and 0.2 %/V more: 799.98 Hz.
    """
    new = TWINS.replace("R5  RT2 0   100k", "R5  RT2 0   91.5k").replace(
        "XU2 VDD CFG OUT2 0 RT2 VDD HA10",
        "R7 VDD CFG2 37.4k\nR8 CFG2 0 162k\nXU2 OUT2 0 CFG2 VDD VDD RT2 BR10",
    )
    found = two(tmp_path, TWINS, redrawn(new, numbers, True, order))
    assert found.verdict == "drop-in", found.objections
    first, second = found.blocks
    # The new part has a divider of its own, so the old one's serves one block alone, and less leaks from it.
    assert {change.name.partition(".")[0] for change in first.changes} == {"strap"}
    after = next(change.after for change in second.changes if change.name == "timing.frequency")
    assert after is not None
    assert after.span is not None
    assert after.span.middle == pytest.approx(799.98, rel=1e-4)
