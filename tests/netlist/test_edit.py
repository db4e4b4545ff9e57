"""Edits change the named characters and nothing else, whatever the file's encoding and line ends."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.model import Token
from drc.netlist.edit import edited
from drc.netlist.read import read_text
from drc.netlist.source import decode
from drc.trouble import InputError

_ENCODINGS = ("utf-8", "utf-8-sig", "latin-1", "utf-16")
_ENDS = ("\n", "\r\n", "\r")


def _board(end: str) -> str:
    return end.join(("Bürde 10µ", "R1 a b 4k7 ; für später", "+ tc=0", "C1 b 0 1µ", ".end", "", "trailing  "))


@pytest.mark.parametrize("encoding", _ENCODINGS)
@pytest.mark.parametrize("end", _ENDS)
def test_only_the_named_characters_change(encoding: str, end: str) -> None:
    """The bytes before and after the value stay as they were, byte order mark and line ends included."""
    data = _board(end).encode(encoding)
    text = decode(data, "b").text
    start = text.index("4k7")
    new = edited(data, [(Token("b", start, start + 3, "4k7"), "47k")])
    assert new == _board(end).replace("4k7", "47k").encode(encoding)


def test_value_of_a_read_element_is_where_its_token_says() -> None:
    """A token that the reader hands out is one that an edit can use."""
    text = "title\n.param RT=150k\nR1 n 0 {RT}\nR2 n 0 10k\n"
    element = read_text(text).element("R1")
    assert element is not None
    assert element.reading.token is not None
    changed = edited(text.encode(), [(element.reading.token, "15k")])
    assert changed == text.replace("150k", "15k").encode()


def test_stale_token_is_refused() -> None:
    """A file that no longer says what the token says is left alone, with what was found and expected."""
    with pytest.raises(InputError) as caught:
        edited(b"R1 a b 5k\n", [(Token("b.cir", 7, 9, "4k"), "3k")])
    trouble = caught.value.troubles[0]
    assert trouble.message == "found '5k', expected '4k': the file has changed, review it again"
    assert (trouble.place.line, trouble.place.column) == (1, 8)


def test_overlapping_edits_are_refused() -> None:
    """Two edits of the same characters cannot both be made."""
    token = Token("b.cir", 7, 9, "5k")
    with pytest.raises(InputError, match="overlap"):
        edited(b"R1 a b 5k\n", [(token, "3k"), (token, "4k")])


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=40), st.data())
def test_edit_and_back_gives_the_same_bytes(text: str, data: st.DataObject) -> None:
    """An edit undone leaves the file as it was."""
    raw = text.encode()
    decoded = decode(raw, "b").text
    start = data.draw(st.integers(0, len(decoded)))
    end = data.draw(st.integers(start, len(decoded)))
    old = decoded[start:end]
    there = edited(raw, [(Token("b", start, end, old), "4.7k")])
    middle = decode(there, "b").text
    assert middle[start : start + 4] == "4.7k"
    assert edited(there, [(Token("b", start, start + 4, "4.7k"), old)]) == raw
