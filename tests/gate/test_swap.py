"""Whether a new part does the old one's work: the verdict, what it rests on, and what is told of it."""

from pathlib import Path

import pytest

from drc.gate.project import Request
from drc.gate.swap_forms import SwapRequest
from drc.outcome import BoardSwap
from tests.gate.swapping import DATE, by_list, only, swapped, two

SAMPLES = Path(__file__).parents[2] / "samples"

# The laws, by hand from the makers' part files (rules/parts), all spreads left out:
#   HA10: T = 0.25 us * prescale * (30 uA / 0.6 V) * R = prescale * R * 12.5e-12 s, code 11: 1000, code 10:
#         1000 inverted. Its errors at 25 degC and 3.3 V: 1.2 %, and 45 ppm/K.
#   BR10: T = 0.4 us * prescale * 32 uA / I, I = 0.96 V / R, at 3.0 V, 0.2 % more a volt above it.
HA10 = """Chopper: nobody states what it is for
*@ supply VDD 3.2V .. 3.4V
*@ ambient 20degC .. 30degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ assume C* tolerance 20%
V1  VDD 0 3.3
C1  VDD 0 1u
R1  VDD CFG 56.2k
R2  CFG 0   143k
R3  RT  0   200k
XU1 VDD CFG OUT 0 RT VDD HA10
R4  OUT 0   22k
.end
"""
# 56.2k and 143k give 0.7179 of the supply, code 11 of 16; R3 gives 2.5 ms.

NORMAL, INVERTED = "R1  VDD CFG 56.2k\nR2  CFG 0   143k", "R1  VDD CFG 68.1k\nR2  CFG 0   130k"
# 68.1k and 130k give 0.6562, code 10: the same prescale, inverted.

BR10 = HA10.replace("56.2k", "37.4k").replace("143k", "162k").replace("200k", "183k")
BR10 = BR10.replace("XU1 VDD CFG OUT 0 RT VDD HA10", "XU1 OUT 0 CFG VDD VDD RT BR10")
# 37.4k and 162k give 0.8124, code 6 of 8, prescale 1024; R3 183k gives 0.4e-6 * 1024 * 32e-6 * 183e3 / 0.96
# = 2.4986 ms at 3.0 V, and 0.06 % more at 3.3 V: 2.5001 ms, so 399.98 Hz.

STATED = "*@ assume C* tolerance 20%\n"
"""The line behind which a test puts what is stated."""


def stating(board: str, *statements: str) -> str:
    """The board with statements."""
    return board.replace(STATED, STATED + "".join(f"*@ {each}\n" for each in statements))


def change(board: BoardSwap, name: str) -> tuple[object, object]:
    """A fact of the first block that changed, before and after, nominal."""
    found = next(each for each in board.blocks[0].changes if each.name == name)
    spans = [
        None if fact is None or fact.span is None else fact.span.middle
        for fact in (found.before, found.after)
    ]
    return spans[0], spans[1]


BOARDS = sorted(path for path in SAMPLES.glob("*/*") if path.suffix in (".cir", ".edn"))


@pytest.mark.parametrize("path", BOARDS, ids=lambda path: path.stem)
def test_a_board_replaces_itself(path: Path) -> None:
    """A board swapped with itself is drop-in and has not changed, faults that it has already and all."""
    board = only(swapped(SwapRequest(Request(DATE, [path, path]))))
    assert (board.verdict, board.gained, board.lost, board.edits, board.notes) == ("drop-in", (), (), (), ())
    assert all(pair.matched_by == "name" and not pair.changes for pair in board.blocks)


def test_the_new_times_are_those_of_the_part_s_law(tmp_path: Path) -> None:
    """Frequency, prescale and rate current of both sides are what the laws give by hand."""
    board = two(tmp_path, HA10, BR10)
    before, after = change(board, "timing.frequency")
    assert before == pytest.approx(400, rel=1e-6)
    assert after == pytest.approx(399.98, rel=1e-4)
    assert change(board, "strap.prescale") == (1000, 1024)
    assert change(board, "rate.current") == (pytest.approx(0.6 / 200e3), pytest.approx(0.96 / 183e3))


def test_another_part_that_keeps_what_nobody_states_is_drop_in(tmp_path: Path) -> None:
    """With nothing stated, the new nominal inside the old worst-case span and all else kept is drop-in."""
    board = two(tmp_path, HA10, BR10)
    assert board.verdict == "drop-in", board.reason
    assert "XU1 HA10 -> BR10" in board.reason


@pytest.mark.parametrize(("value", "verdict"), [("204k", "drop-in"), ("208k", "drop-in with changed values")])
def test_the_old_worst_case_span_bounds_the_new_nominal(value: str, verdict: str, tmp_path: Path) -> None:
    """R3 2 % up stays inside the span that 1 % of R3 and 1.2 % of the part leave (and more), 4 % does not."""
    assert two(tmp_path, HA10, HA10.replace("200k", value)).verdict == verdict


def test_what_is_stated_takes_the_place_of_the_old_span(tmp_path: Path) -> None:
    """4 % up is drop-in where 10 % is stated; 2 % up is not where 3 % over the whole span is."""
    wide = stating(HA10, "expect XU1 frequency 400Hz +/- 10%")
    assert two(tmp_path, wide, wide.replace("200k", "208k")).verdict == "drop-in"
    close = stating(HA10, "expect XU1 frequency 400Hz +/- 3%")
    board = two(tmp_path, close, close.replace("200k", "204k"))
    assert board.verdict == "drop-in with changed values"
    assert [edit.element for edit in board.edits] == ["R3"]


def test_the_original_expectation_is_asked_of_the_new_board(tmp_path: Path) -> None:
    """A wider expectation in the new board's own file changes nothing, and that it is not heeded is told."""
    before = stating(HA10, "expect XU1 frequency 400Hz +/- 4%")
    after = stating(HA10, "expect XU1 frequency 400Hz +/- 40%").replace("200k", "240k")
    board = two(tmp_path, before, after)
    assert board.verdict != "drop-in"
    assert [note for note in board.notes if "not heeded" in note and "40%" in note]


def test_an_inverted_output_that_the_new_part_cannot_give_is_no_replacement(tmp_path: Path) -> None:
    """Brae's parts have no inverted codes: for a block that was inverted none will do, and why is said."""
    board = two(tmp_path, HA10.replace(NORMAL, INVERTED), BR10)
    assert board.verdict == "not a replacement"
    assert "BR10 has no inverted codes" in board.reason


def test_a_turned_output_is_turned_back(tmp_path: Path) -> None:
    """A strap that reads the inverted code beside is no drop-in; the edits set it back."""
    board = two(tmp_path, HA10, HA10.replace(NORMAL, INVERTED))
    assert board.verdict == "drop-in with changed values"
    assert {edit.element for edit in board.edits} <= {"R1", "R2"}
    assert board.restored is not None
    assert board.restored.blocks[0].facts["strap.polarity"].value == "normal"


def test_a_supply_that_the_new_part_does_not_stand_is_no_replacement(tmp_path: Path) -> None:
    """HA10 runs at 5 V, BR10 is damaged above 4.2 V: no edit mends that, and the reason says so."""
    at_5v = [
        each.replace("3.2V .. 3.4V", "4.9V .. 5.1V").replace("V1  VDD 0 3.3", "V1 VDD 0 5")
        for each in (HA10, BR10)
    ]
    board = two(tmp_path, at_5v[0], at_5v[1])
    assert board.verdict == "not a replacement"
    assert "4.2 V" in board.reason
    assert any(ruling.finding.rule == "supply-over-limit" for ruling in board.gained)


def test_what_the_old_board_has_already_is_not_held_against_the_new_part(tmp_path: Path) -> None:
    """A finding of the old board that the new one has too is neither gained nor lost, and spoils nothing."""
    bare = [each.replace("C1  VDD 0 1u\n", "") for each in (HA10, BR10)]
    board = two(tmp_path, bare[0], bare[1])
    assert board.verdict == "drop-in", board.reason
    assert any(ruling.finding.rule == "supply-without-bypass" for ruling in board.before.rulings)
    assert not any(ruling.finding.rule == "supply-without-bypass" for ruling in (*board.gained, *board.lost))


def test_a_swap_that_mends_an_expectation_is_drop_in(tmp_path: Path) -> None:
    """An expectation that the old board missed and the new one meets does not ask for the old time back."""
    before = stating(HA10, "expect XU1 frequency 800Hz +/- 5%")
    board = two(tmp_path, before, before.replace("200k", "100k"))
    assert board.verdict == "drop-in", board.reason
    assert [ruling.finding.rule for ruling in board.lost] == ["timing-outside-intent"]


def test_an_unmet_expectation_leaves_the_old_time_to_be_kept(tmp_path: Path) -> None:
    """Where the old board misses what is stated, the new one must still do what the old one did."""
    before = stating(HA10, "expect XU1 frequency 800Hz +/- 5%")
    assert two(tmp_path, before, before.replace("200k", "202k")).verdict == "drop-in"
    assert two(tmp_path, before, before.replace("200k", "400k")).verdict != "drop-in"


def test_there_and_back_exchange_gained_and_lost(tmp_path: Path) -> None:
    """From A to B gains what from B to A loses, and the other way round."""
    a = stating(HA10, "expect XU1 frequency 400Hz +/- 4%")
    b = stating(BR10.replace("183k", "100k"), "expect XU1 frequency 400Hz +/- 4%")

    def said(rulings: object) -> list[tuple[str, str, str]]:
        assert isinstance(rulings, tuple)
        return sorted((r.finding.rule, r.finding.verdict, r.finding.subject) for r in rulings)

    there, back = two(tmp_path / "there", a, b), two(tmp_path / "back", b, a)
    assert said(there.gained) == said(back.lost)
    assert said(there.lost) == said(back.gained)
    assert there.gained


def test_a_block_that_is_gone_is_no_replacement(tmp_path: Path) -> None:
    """A block to which nothing answers is named; one that is new does no harm."""
    more = HA10.replace(".end", "R5 RT2 0 100k\nXU2 VDD CFG OUT2 0 RT2 VDD HA10\nR6 OUT2 0 22k\n.end")
    gone = two(tmp_path / "gone", more, HA10)
    assert gone.verdict == "not a replacement"
    assert "XU2 is gone" in gone.reason
    new = two(tmp_path / "new", HA10, more)
    assert new.verdict == "drop-in", new.reason
    assert [pair.before is None for pair in new.blocks] == [False, True]


ONE_SHOT = """Latch: 2 s for each falling edge of the key
*@ supply VDD 3.2V .. 3.4V
*@ ambient 20degC .. 30degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ assume C* tolerance 20%
*@ signal KEY period 5s .. 60s, low 50ms .. 1s
*@ expect XU1 pulse-width 2s +/- 6%
V1  VDD 0 3.3
C1  VDD 0 1u
R1  VDD CFG 68.1k
R2  CFG 0   130k
R3  RT  0   40.2k
R4  VDD KEY 47k
J1  KEY 0 KEY_PLUG
XU1 VDD CFG LATCH 0 RT KEY HA40F
R5  LATCH 0 10k
.end
"""


def test_another_edge_is_no_replacement(tmp_path: Path) -> None:
    """HA40F starts at a falling edge, HA40 at a rising one: the time is the same, the work is not."""
    board = two(tmp_path, ONE_SHOT, ONE_SHOT.replace("HA40F", "HA40"))
    assert board.verdict == "not a replacement"
    assert any("the edge that triggers it" in each and "rising" in each for each in board.objections)


def test_another_habit_when_triggered_again_is_no_replacement(tmp_path: Path) -> None:
    """BR41 starts again whenever it is triggered, BR40 finishes first: facts alike, the work is not."""
    first = ONE_SHOT.replace("XU1 VDD CFG LATCH 0 RT KEY HA40F", "XU1 LATCH 0 CFG KEY VDD RT BR40")
    first = first.replace("68.1k", "6.81k").replace("40.2k", "38.3k")
    board = two(tmp_path, first, first.replace("BR40", "BR41"))
    assert board.verdict == "not a replacement"
    assert any("starts again when triggered while it runs" in each for each in board.objections)


def test_an_unknown_side_is_not_proven_and_names_what_is_missing(tmp_path: Path) -> None:
    """A part whose file gives no period proves nothing: the reason says what is missing."""
    parts = tmp_path / "parts.toml"
    pins = '["supply", "strap", "output", "ground", "rate", "enable"]'
    parts.write_text(
        '[part.ZZ10]\ntitle = "half described"\nsource = "invented"\nfunction = "oscillator"\n'
        f'pins = {pins}\nsupply = {{ rated = "2V .. 5V", limit = "6V" }}\n'
    )
    board = two(tmp_path, HA10, HA10.replace("HA10", "ZZ10"), parts=[parts])
    assert board.verdict == "not a replacement"
    assert any(
        "not proven that its frequency is kept" in each and "ZZ10" in each for each in board.objections
    )


def test_what_nobody_touched_stays_as_unknown_as_it_was(tmp_path: Path) -> None:
    """A block whose time is unknown on both boards, and about which nothing changed, spoils no verdict."""
    steered = (
        "Q1 RT2 B2 0 N_SW\nR8 B2 0 10k\nR7 RT2 0 100k\nR11 VDD CFG2 56.2k\nR12 CFG2 0 143k\n"
        "XU2 VDD CFG2 OUT2 0 RT2 VDD HA10\nR6 OUT2 0 22k\n.model N_SW npn (is=1e-14)\n.end"
    )
    before, after = (each.replace(".end", steered) for each in (HA10, BR10))
    board = two(tmp_path / "same", before, after)
    assert board.verdict == "drop-in", board.objections
    other = two(tmp_path / "other", before, after.replace("R8 B2 0 10k", "R8 B2 0 22k"))
    assert other.verdict == "not a replacement"
    assert any(each.startswith("XU2: not proven") for each in other.objections)


def test_a_list_puts_the_part_on_the_same_pads(tmp_path: Path) -> None:
    """The nodes stay in the order of the line and become the new part's pins; the edits cross them back."""
    board = only(
        by_list(
            tmp_path, "element,part\nXU1,BR10\n", chopper=stating(HA10, "expect XU1 frequency 400Hz +/- 6%")
        )
    )
    pins = board.blocks[0].after.block.pins if board.blocks[0].after else {}
    # The line: VDD CFG OUT 0 RT VDD; BR10's pins: output ground strap enable supply rate.
    assert {role: nets[0].name for role, nets in pins.items()} == {
        "output": "VDD", "ground": "CFG", "strap": "OUT", "enable": "0", "supply": "RT", "rate": "VDD",
    }  # fmt: skip
    assert board.verdict == "drop-in with changed values", board.reason
    assert "nets of XU1 on other pins" in board.reason
    (file,) = board.files
    assert "HA10" in file.before
    assert "OUT 0 CFG VDD VDD RT BR10" in file.after


def test_a_part_that_nobody_describes_is_no_replacement(tmp_path: Path) -> None:
    """A new part without a part file proves nothing: it is named, with the one that may be meant."""
    board = only(by_list(tmp_path, "element,part\nXU1,HA11\n", chopper=HA10))
    assert board.verdict == "not a replacement"
    assert board.reason.startswith("XU1: no part file in force describes HA11; did you mean")


RC = """Pump: 2 s for each falling edge of the key, an RC timer
*@ supply VDD 4.9V .. 5.1V
*@ ambient 20degC .. 30degC
*@ assume R* tolerance 1%, tempco 100ppm
*@ assume C1 tolerance 5%, tempco 250ppm
*@ assume C* tolerance 20%
*@ signal KEY period 5s .. 60s, low 50ms .. 1s
*@ expect XU1 pulse-width 2s +/- 15%
V1  VDD 0 5
C2  VDD 0 10u
C3  VDD 0 100n
R1  VDD T 390k
C1  T   0 4.7u
R7  T   DIS 330
C4  CTL 0 10n
R4  VDD KEY 47k
J1  KEY 0 KEY_PLUG
XU1 VDD LATCH DIS T CTL KEY VDD 0 QC12
R5  LATCH 0 10k
.end
"""


def drawn_with(one_shot: str, rc: str) -> str:
    """The RC timer's board drawn with a single-resistor one-shot in its place, at the RC timer's supply."""
    cards = [line for line in one_shot.split("\n") if line and not line.startswith("*@")]
    cards[cards.index("V1  VDD 0 3.3")] = "V1  VDD 0 5"
    stated = [line for line in rc.split("\n") if line.startswith("*@")]
    return "\n".join((cards[0], *stated, *cards[1:], ""))


def test_an_rc_timer_gives_way_to_a_single_resistor_and_back(tmp_path: Path) -> None:
    """An RC timer wired as a one-shot does what a one-shot does: facts that one side alone has are shown."""
    one_shot = drawn_with(ONE_SHOT, RC)
    there = two(tmp_path / "there", RC, one_shot)
    assert there.verdict == "drop-in", there.objections
    changes = {change.name: change for change in there.blocks[0].changes}
    assert changes["strap.code"].before is None
    assert changes["strap.code"].after is not None
    back = two(tmp_path / "back", one_shot, RC)
    assert back.verdict == "drop-in", back.objections
    assert {change.name: change for change in back.blocks[0].changes}["strap.code"].after is None


@pytest.mark.parametrize("low", ["50ms .. 3s", ""])
def test_a_held_trigger_tells_a_level_from_an_edge(low: str, tmp_path: Path) -> None:
    """QC12 goes on while its trigger is held, HA40F does not: it matters unless a short pulse is stated."""
    signal = "*@ signal KEY period 5s .. 60s, low 50ms .. 1s\n"
    stated = f"*@ signal KEY period 5s .. 60s, low {low}\n" if low else ""
    before = RC.replace(signal, stated)
    board = two(tmp_path, before, drawn_with(ONE_SHOT, before))
    assert board.verdict == "not a replacement"
    assert any("QC12 goes on while its trigger is held, HA40F does not" in each for each in board.objections)


def test_running_at_another_level_is_no_replacement(tmp_path: Path) -> None:
    """HA20 runs while its reset is low, BR20 while it is high: a net that switches it does the reverse."""
    driver = "XU2 VDD CFG2 RST 0 RT2 0 HA20\nR11 VDD CFG2 130k\nR12 CFG2 0 68.1k\nR13 RT2 0 100k\nR4  OUT"
    switched = HA10.replace("OUT 0 RT VDD HA10", "OUT 0 RT RST HA20").replace("R4  OUT", driver)
    other = switched.replace("XU1 VDD CFG OUT 0 RT RST HA20", "XU1 OUT 0 CFG RST VDD RT BR20")
    board = two(tmp_path, switched, other)
    assert board.verdict == "not a replacement"
    assert "XU1: BR20 runs while RST is high, HA20 while it was low" in board.objections


def test_the_verdict_rests_on_the_review_with_the_edits_made(tmp_path: Path) -> None:
    """Edits that bring the time back do not make a replacement of a part that its supply damages."""
    at_5v = HA10.replace("3.2V .. 3.4V", "4.9V .. 5.1V").replace("V1  VDD 0 3.3", "V1  VDD 0 5")
    stated = stating(at_5v, "expect XU1 frequency 400Hz +/- 6%")
    board = only(by_list(tmp_path, "element,part\nXU1,BR10\n", chopper=stated))
    assert board.edits
    assert board.restored is not None
    assert board.verdict == "not a replacement"
    assert "4.2 V" in board.reason
    assert [ruling.finding.rule for ruling in board.left if ruling.finding.level == "error"] == [
        "supply-over-limit"
    ]
