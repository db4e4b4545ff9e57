"""Edits after edits: told at once, they make the text that they make one after the other."""

from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.model import Token
from drc.judge.model import Edit
from drc.repair.compose import composed
from tests.repair.bench import made

WORDS = st.text("abcdefg", min_size=1, max_size=4)
TEXT = "XU1 vdd cfg out 0 rt vdd HA10\nR1 vdd cfg 130k\nR2 cfg 0 68.1k\n"


def _tokens(text: str) -> list[Token]:
    """The words of a text."""
    found, at = [], 0
    for word in text.replace("\n", " \n").split(" "):
        if word.strip():
            start = text.index(word.strip(), at)
            found.append(Token("board.cir", start, start + len(word.strip()), word.strip()))
            at = start + len(word.strip())
    return found


def _edits(data: st.DataObject, text: str) -> tuple[Edit, ...]:
    tokens = data.draw(st.lists(st.sampled_from(_tokens(text)), unique=True, max_size=5))
    return tuple(Edit("x", token, data.draw(st.lists(WORDS, min_size=1).map(" ".join))) for token in tokens)


@given(st.data())
def test_edits_of_edited_text_are_told_as_edits_of_the_first(data: st.DataObject) -> None:
    """Whatever words are changed, and then changed again, the composed edits give the same text at once."""
    first = _edits(data, TEXT)
    middle = made(TEXT, first)
    second = _edits(data, middle)
    both = composed(first, second)
    assert both is not None
    assert made(TEXT, both) == made(middle, second)


def test_what_comes_back_to_the_old_word_is_no_edit() -> None:
    """A word that is changed there and back is not edited."""
    token = Token("board.cir", 0, 3, "XU1")
    there = (Edit("XU1", token, "XU22"),)
    back = (Edit("XU1", Token("board.cir", 0, 4, "XU22"), "XU1"),)
    assert composed(there, back) == ()


def test_edit_over_the_rim_of_another_is_refused() -> None:
    """An edit that begins in what another wrote and ends beyond it cannot be told of the first text."""
    token = Token("board.cir", 4, 7, "vdd")
    there = (Edit("XU1", token, "vcc"),)
    over = (Edit("XU1", Token("board.cir", 5, 9, "cc c"), "x"),)
    assert composed(there, over) is None
