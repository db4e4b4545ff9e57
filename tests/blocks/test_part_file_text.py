"""Part files as text: where TOML ends, what lies over what, which file a value is of, patterns that tie."""

import re
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drc.blocks.merge import LONGEST_LIKE, merged, owner_of, read_raw
from drc.blocks.parts import parse_parts
from drc.blocks.refusal import Source
from drc.trouble import InputError, Trouble

BASE = 'function = "oscillator"\npins = ["supply", "ground", "output", "rate"]\n'


def refusals(text: str) -> list[Trouble]:
    """What a part file is refused for."""
    try:
        parse_parts(text)
    except InputError as error:
        return list(error.troubles)
    return []


@pytest.mark.parametrize(
    ("text", "line", "column", "excerpt"),
    [
        ('x = """', 1, 1, 'x = """'),
        ("[part.P]\nx = '''\nabc", 3, 1, "abc"),
        ("[part.P]\nx = '''\nabc\n", 4, 1, ""),
        ("[part.P]\r\nx = '''\r\nabc", 3, 1, "abc"),
        ("[part.P]\nx = = 1\n", 2, 5, "x = = 1"),
        ("\n\n[part.P\nb = 2", 3, 8, "[part.P"),
        ("[part.P]\r\n\r\nx = 1 2\r\n", 3, 7, "x = 1 2"),
    ],
)
def test_text_that_is_no_toml_is_refused_where_it_stops(
    text: str, line: int, column: int, excerpt: str
) -> None:
    """At the line and column that the TOML reader names, or at the last line if it names the end."""
    (trouble,) = refusals(text)
    assert (trouble.place.line, trouble.place.column, trouble.excerpt) == (line, column, excerpt)
    assert (trouble.kind, trouble.level, trouble.place.path) == ("part-file", "error", "parts.toml")
    assert trouble.message.startswith("found text that is no TOML: ")
    assert "(at " not in trouble.message
    assert trouble.message[28:29].islower()


def test_what_stands_beside_the_parts_is_refused_and_they_are_read() -> None:
    """A table or value of another name is told at its line, and every part of the file is still checked."""
    told = refusals(f'prat = 3\n[parts.Q]\n[part.P]\n{BASE}startup = "soon"\n[other]\n')
    assert [(t.place.line, t.message.partition(",")[0]) for t in told] == [
        (1, 'found the table "prat"'),
        (2, 'found the table "parts"'),
        (6, "part P"),
        (7, 'found the table "other"'),
    ]


def row_of(count: int) -> str:
    """So many parts, each like the next; the last stands by itself."""
    rows = [f'[part.N{k}]\nlike = "N{k + 1}"\n' for k in range(count - 1)]
    return "".join(rows) + f"[part.N{count - 1}]\n{BASE}"


def test_a_row_of_likes_has_a_bound() -> None:
    """As many parts as may stand in a row are one part's; one more is refused where the row is too long."""
    assert refusals(row_of(LONGEST_LIKE)) == []
    (only,) = refusals(row_of(LONGEST_LIKE + 1))
    assert only.message == (
        f'part N{LONGEST_LIKE - 1}, key like: found "N{LONGEST_LIKE}", expected at most {LONGEST_LIKE} '
        "parts, each like the next"
    )
    assert only.place.line == 2 * LONGEST_LIKE


def test_a_part_like_the_one_it_replaces() -> None:
    """Its own name means the earlier definition; a second replacement builds upon the first."""
    text = (
        f'[part.P]\n{BASE}startup = "1s"\ntitle = "first"\n',
        '[part.p]\nreplaces = "P"\nlike = "P"\ntitle = "second"\n',
        '[part.P]\nreplaces = "p"\nlike = "p"\nconsumption = "1A"\n',
    )
    sink: list[Trouble] = []
    raws = read_raw([Source(f"{k}.toml", piece) for k, piece in enumerate(text)], sink)
    table, chain = merged(raws["p"], raws, sink)
    assert sink == []
    assert (table["startup"], table["title"], table["consumption"]) == ("1s", "second", "1A")
    assert "like" not in table
    assert "replaces" not in table
    assert [raw.source.path for raw in chain] == ["2.toml", "1.toml", "0.toml"]


def test_a_value_belongs_to_the_nearest_that_sets_it() -> None:
    """Key by key as deep as any definition goes; what none sets belongs to the part itself."""
    text = (
        f'[part.P]\n{BASE}[part.P.supply]\nrated = "2V"\nlimit = "6V"\n'
        '[part.Q]\nlike = "P"\nsupply.limit = "7V"\n[part.R]\nlike = "Q"\ntitle = "r"\n'
    )
    sink: list[Trouble] = []
    raws = read_raw([Source("p.toml", text)], sink)
    _, chain = merged(raws["r"], raws, sink)
    owners = {
        keys: owner_of(chain, keys.split()).part
        for keys in (
            "title",
            "supply",
            "supply limit",
            "supply rated",
            "supply rated 2",
            "pins",
            "startup",
            "",
        )
    }
    assert owners == {
        "title": "R", "supply": "Q", "supply limit": "Q", "supply rated": "P", "supply rated 2": "P",
        "pins": "P", "startup": "R", "": "R",
    }  # fmt: skip


def test_a_key_said_in_another_way_drops_the_inherited_way_alone() -> None:
    """Output for feedback, levels for thresholds, full scale for points; what is beside them stays."""
    text = (
        '[part.R]\nfunction = "regulator"\npins = ["supply", "output"]\n'
        'regulator = { feedback = "1.2V", current = "1A" }\n'
        '[part.S]\nlike = "R"\nregulator = { output = "3V" }\n'
        '[part.T]\nlike = "S"\nregulator = { feedback = "0.8V" }\n'
        '[part.U]\nlike = "R"\nregulator = { feedback = "1V", output = "2V" }\n'
        '[part.M]\nfunction = "pulse-modulator"\npins = ["modulate"]\n'
        'modulate = { points = [["0V", "5%"], ["1V", "95%"]], error = "2points" }\n'
        '[part.N]\nlike = "M"\nmodulate = { full_scale = "0V .. 2V", duty = "0% .. 100%" }\n'
    )
    parts = parse_parts(text).by_name
    found = {}
    for name in "RSTU":
        regulator = parts[name].regulator
        assert regulator is not None
        sides = (regulator.output, regulator.feedback)
        found[name] = (*(None if side is None else side.nominal for side in sides), regulator.current)
    assert found == {"R": (None, 1.2, 1), "S": (3, None, 1), "T": (None, 0.8, 1), "U": (2, 1, 1)}
    modulate = parts["N"].modulate
    assert modulate is not None
    assert (modulate.points, modulate.error) == (((0, 0), (2, 1)), 0.02)


def meant(pattern: str, name: str) -> bool:
    """Whether a pattern means a name, by Python's own regular expressions."""
    return re.fullmatch(pattern.replace("*", ".*"), name) is not None


NAMES = ["".join(letters) for length in range(8) for letters in product("ab", repeat=length)]
"""Every name of two letters up to the length at which two patterns of up to 3 letters must have met."""


@settings(max_examples=50, deadline=None)
@given(st.text("ab*", max_size=3), st.text("ab*", max_size=3))
def test_patterns_tie_exactly_where_a_name_is_both(one: str, other: str) -> None:
    """Behind a common `*`, two patterns are refused if some name matches both, and taken if none does."""
    one, other = "*" + one, "*" + other
    if one == other:
        return
    both = any(meant(one, name) and meant(other, name) for name in NAMES)
    told = refusals(f'[part."{one}"]\n{BASE}[part."{other}"]\n{BASE}')
    assert bool(told) == both
    if both:
        assert told[0].message == (
            f"part {other}: found a pattern that ties with {one} (parts.toml:1:2), expected patterns that no "
            "name matches both of, or a longer text before the first *"
        )


def test_each_pattern_is_held_against_all_before_it() -> None:
    """The third ties with the first and the second, and is refused for each."""
    told = refusals("".join(f'[part."{name}"]\n{BASE}' for name in ("A*1", "A*2", "A*", "B*")))
    assert [(t.place.line, t.message.partition(",")[0]) for t in told] == [
        (7, "part A*: found a pattern that ties with A*1 (parts.toml:1:2)"),
        (7, "part A*: found a pattern that ties with A*2 (parts.toml:4:2)"),
    ]
