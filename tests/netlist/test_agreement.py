"""The grammar is the authority: the plain lane and the words matched by hand must read what it reads."""

from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.columns import NamePool, name_key
from drc.netlist.cards import card_of
from drc.netlist.expression import ExpressionError, parse_by_hand
from drc.netlist.grammar import grammar_expression, grammar_statement
from drc.netlist.mistakes import MISTAKES, message_of
from drc.netlist.plain import PlainLines, read_plain
from drc.netlist.remarks import unreadable_value
from drc.netlist.words import LineError, Statement, UnsureError, split_words, take_apart
from tests.netlist.decks import LINES as DECKS
from tests.netlist.lines import broken_over_lines, element_line
from tests.netlist.world import LINES


def _by_hand(line: str) -> Statement | None:
    try:
        return take_apart(split_words(line, 0, len(line)))
    except UnsureError:
        return None


def _by_grammar(line: str) -> Statement | None:
    try:
        return grammar_statement(line, 0, len(line))
    except LineError:
        return None


def _by_lane(line: str) -> tuple[PlainLines, list[str]]:
    pool = NamePool()
    letters = np.frombuffer(line.encode("ascii", "replace"), np.uint8)
    plain = read_plain(letters, 0, np.array([0]), np.array([len(line)]), pool)
    return plain, pool.finish().written


@pytest.mark.parametrize("seed", range(4))
def test_words_by_hand_are_the_words_of_the_grammar(seed: int) -> None:
    """Every line that is taken apart by hand gives the statement that the grammar gives."""
    random = Random(seed)
    taken = 0
    for _ in range(1500):
        line = element_line(random)
        line = broken_over_lines(line, random) if random.random() < 0.3 else line
        hand = _by_hand(line)
        if hand is not None:
            taken += 1
            assert hand == _by_grammar(line), line
    assert taken > 1000


@pytest.mark.parametrize("seed", range(4))
def test_the_plain_lane_reads_what_the_grammar_reads(seed: int) -> None:
    """Every line that the plain lane takes has the kind, name, nodes and part that the grammar gives it."""
    random = Random(100 + seed)
    taken = 0
    for _ in range(3000):
        line = element_line(random)
        plain, names = _by_lane(line)
        if not plain.taken[0]:
            continue
        taken += 1
        statement = _by_grammar(line)
        assert statement is not None, line
        card = card_of(statement)
        part = card.part.text if card.part is not None and card.kind not in "RCL" else None
        number = int(plain.piece.parts[0])
        assert chr(int(plain.piece.kinds[0])) == card.kind, line
        assert [names[n] for n in plain.piece.nets.tolist()] == [w.text for w in card.nodes], line
        assert (names[number] if number >= 0 else None) == part, line
        assert int(plain.piece.keys[0]) == name_key(card.name.text), line
        assert unreadable_value(card, line) is None, line
    assert taken > 200


def test_the_two_lanes_read_the_lines_of_the_world_alike() -> None:
    """On recorded lines, too, whatever a lane takes is what the grammar gives."""
    for line in (*LINES, *DECKS.strip().split("\n")):
        if line.startswith(".") and not line.lower().startswith((".subckt", ".model")):
            continue
        hand = _by_hand(line)
        assert hand is None or hand == _by_grammar(line), line
        plain, names = _by_lane(line)
        if plain.taken[0]:
            statement = _by_grammar(line)
            assert statement is not None, line
            assert [names[n] for n in plain.piece.nets.tolist()] == [w.text for w in card_of(statement).nodes]


def test_every_plain_form_passes_by_the_grammar() -> None:
    """The ordinary forms of the common letters are taken by the plain lane: else reading would be slow."""
    lines = (
        "R1 a b 10k",
        "r2 a b {RT}",
        "C1 a 0 100n",
        "L1 a b 1u",
        "V1 a 0 5",
        "V1 a 0 DC 5",
        "I1 a b 1m",
        "D1 a k DX",
        "Q1 c b e QX",
        "M1 d g s b NX w=1u l=2u",
        "X1 a b c HA10",
        "XU1 a b c HA10 k=2",
        "U7 a b QB12",
        "R3 a b 1k tc=1u",
    )
    assert all(_by_lane(line)[0].taken[0] for line in lines)


@pytest.mark.parametrize("index", range(len(MISTAKES)))
def test_each_mistake_is_told_by_its_own_message(index: int) -> None:
    """Every example of the table of mistakes is refused, by hand and by the grammar, with its own message."""
    for example in MISTAKES[index].examples:
        assert _by_hand(example) is None, example
        with pytest.raises(LineError) as caught:
            grammar_statement(example, 0, len(example))
        found = caught.value.word.text.strip() or example.split()[-1]
        assert caught.value.message == message_of(index, found, example.split()[0]), example


_NAMES = st.sampled_from(["a", "RT", "x1", "_k", "vdd"])
_NUMBERS = st.sampled_from(["1", "2.5k", ".5", "1e-3", "10MEG", "3u"])


def _compound(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    signs = st.sampled_from(["+", "-", "*", "/", "**", "^", "%", "<", "<=", "==", "!=", ">", "&&", "||"])
    return st.one_of(
        st.tuples(inner, signs, inner).map(" ".join),
        inner.map(lambda e: f"({e})"),
        inner.map(lambda e: f"-{e}"),
        inner.map(lambda e: f"!{e}"),
        st.tuples(st.sampled_from(["min", "max", "f"]), inner, inner).map(
            lambda t: f"{t[0]}({t[1]}, {t[2]})"
        ),
        st.tuples(inner, inner, inner).map(lambda t: f"{t[0]} ? {t[1]} : {t[2]}"),
        inner.map(lambda e: f"sqrt({e})"),
    )


@given(st.recursive(st.one_of(_NAMES, _NUMBERS), _compound, max_leaves=8))
def test_expressions_by_hand_are_those_of_the_grammar(text: str) -> None:
    """An expression read by precedence climbing has the tree that the grammar gives it."""
    assert parse_by_hand(text) == grammar_expression(text)


@given(st.text(alphabet="1k a+*-/()?:,<>=!&|^%", max_size=12))
def test_both_refuse_the_same_expressions(text: str) -> None:
    """What precedence climbing refuses the grammar refuses, and the other way round."""
    try:
        parse_by_hand(text)
        hand_reads = True
    except ExpressionError:
        hand_reads = False
    assert hand_reads == (grammar_expression(text) is not None)
