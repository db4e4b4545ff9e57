"""Names as numbers: which are one name when letter case is ignored, one by one and many at once."""

from hypothesis import given
from hypothesis import strategies as st

from drc.circuit.columns import NamePool, name_key, name_keys

WORDS = st.text("aAbBßİΣςK\n0.", max_size=3)
"""Letters with lower cases of one and two characters, and a line end, which a quoted name may hold."""


def test_a_pool_numbers_names_in_order_of_first_mention() -> None:
    """Each spelling has its number; what was never met has none."""
    pool = NamePool()
    assert [pool.number(name) for name in ("Out", "a", "OUT", "a", "out")] == [0, 1, 2, 1, 3]
    assert pool.numbers(["a", "new", "Out"], 3).tolist() == [1, 4, 0]
    assert pool.known(["out", "never", "new"]) == [3, 4]
    names = pool.finish()
    assert names.written == ["Out", "a", "OUT", "out", "new"]
    assert names.folded.tolist() == [0, 1, 0, 0, 4]
    assert NamePool().finish().written == []
    assert NamePool().finish().folded.tolist() == []


@given(st.lists(WORDS, unique=True, max_size=8))
def test_names_are_folded_onto_the_first_of_their_lower_case(written: list[str]) -> None:
    """Whatever the alphabet, and whatever other names stand beside them."""
    pool = NamePool()
    for name in written:
        pool.number(name)
    lowered = [name.lower() for name in written]
    assert pool.finish().folded.tolist() == [lowered.index(low) for low in lowered]


@given(st.lists(WORDS, max_size=8))
def test_keys_of_many_names_are_those_of_each(names: list[str]) -> None:
    """And two names have one key where their lower cases are one."""
    assert name_keys(names).tolist() == [name_key(name) for name in names]
    assert all(name_key(name) == name_key(name.lower()) for name in names)
