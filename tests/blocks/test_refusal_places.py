"""Where a part file sets a key, to the column; how a refused value is quoted; which name is meant."""

import pytest

from drc.blocks.refusal import At, Owner, Source, Words, excerpt, file_trouble, key_place, nearest, shown
from drc.trouble import Trouble

TEXT = """# a remark
[part.P]
title = "x"  # title = "y"
"two words" . 'b' = 3
rate = { voltage = "1V", law = "x", rated = { law = 1 } }
  timing.error = "1%"
[ part . "P" . supply ]  # the supply
rated = "1V"
[[part.P.codes]]
code = 0
[[part.P.codes]]
code = 1
[part.Q]
rate.current="1A"
"""


@pytest.mark.parametrize(
    ("keys", "line", "column", "length"),
    [
        ("part", 2, 2, 6),
        ("part P", 2, 2, 6),
        ("part P title", 3, 1, 5),
        ("part P title deeper", 3, 1, 5),
        ("part P two_words b", 4, 1, 17),
        ("part P rate", 5, 1, 4),
        ("part P rate voltage", 5, 10, 7),
        ("part P rate law", 5, 26, 3),
        ("part P rate rated", 5, 37, 5),
        ("part P rate rated law", 5, 47, 3),
        ("part P rate none", 5, 1, 4),
        ("part P rate none law", 5, 1, 4),
        ("part P timing", 6, 3, 12),
        ("part P timing error", 6, 3, 12),
        ("part P timing error 1", 6, 3, 12),
        ("part P supply", 7, 3, 19),
        ("part P supply rated", 8, 1, 5),
        ("part P codes", 9, 3, 12),
        ("part P codes 2", 9, 3, 12),
        ("part Q", 13, 2, 6),
        ("part Q rate", 14, 1, 12),
        ("part Q rate current", 14, 1, 12),
        ("part Q title", 13, 2, 6),
        ("part R", 2, 2, 6),
        ("house", 0, 1, 0),
        ("", 0, 1, 0),
    ],
)
def test_the_place_of_a_key(keys: str, line: int, column: int, length: int) -> None:
    """The first line that sets it, else the nearest table above it that is set; inline tables to the key."""
    wanted = [key.replace("_", " ") for key in keys.split()]
    place = key_place(Source("p.toml", TEXT), wanted)
    assert (place.path, place.line, place.column, place.length) == ("p.toml", line, column, length)


def test_a_key_in_quotes_in_an_inline_table() -> None:
    """The quotes belong to what is pointed at, and a longer word that ends in the key is another."""
    source = Source("p.toml", "[part.P]\nrate = { x-law = 1, 'law' = 2, a.law = 3 }\n")
    place = key_place(source, ("part", "P", "rate", "law"))
    assert (place.line, place.column, place.length) == (2, 21, 5)


def test_of_two_texts_each_has_its_own_places() -> None:
    """The same key in two files."""
    one, two = Source("a.toml", "[part.P]\n"), Source("b.toml", "\n\n[part.P]\n")
    places = [key_place(source, ("part", "P")) for source in (one, two, one)]
    assert [(place.path, place.line) for place in places] == [("a.toml", 1), ("b.toml", 3), ("a.toml", 1)]


def test_a_refusal_carries_its_line() -> None:
    """The whole line without its end, nothing where no line sets the key; lines are counted from 1."""
    source = Source("p.toml", "[part.P]\r\ntitle = 3\r\nlast")
    trouble = file_trouble(source, ("part", "P", "title"), "what is wrong")
    assert (trouble.kind, trouble.level, trouble.message) == ("part-file", "error", "what is wrong")
    assert (trouble.place.line, trouble.place.column, trouble.excerpt) == (2, 1, "title = 3")
    assert file_trouble(source, ("house",), "what is wrong").excerpt == ""
    assert [excerpt(source.text, line) for line in range(4)] == ["", "[part.P]", "title = 3", "last"]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (True, "true"),
        (False, "false"),
        (3, "3"),
        (2.5, "2.5"),
        ("", '""'),
        ("x" * 60, f'"{"x" * 60}"'),
        ("x" * 61, f'"{"x" * 57}..."'),
        ("a\tb", '"a\\tb"'),
        ("\N{MICRO SIGN}s", '"\N{MICRO SIGN}s"'),
        ("\N{MICRO SIGN}\n", '"\\xb5\\n"'),
        (Words("nothing at all"), "nothing at all"),
        (Words("x" * 61), "x" * 61),
        ({}, "a table"),
        ({"a": 1}, "a table"),
        ([], "an empty list"),
        ([1], "a list of 1"),
        ([1, 2], "a list of 2"),
    ],
)
def test_a_value_as_a_refusal_quotes_it(value: object, text: str) -> None:
    """Short, on one line; texts of the file in quotes, words of ours without."""
    assert shown(value) == text


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("voltag", "; did you mean Voltage?"),
        ("VOLTAGE", "; did you mean Voltage?"),
        ("current1", "; did you mean current?"),
        ("watt", ""),
        ("", ""),
        ("vol", ""),
    ],
)
def test_the_nearest_name_is_offered(name: str, hint: str) -> None:
    """Letter case does not count; what is too far from all names is left without an offer."""
    assert nearest(name, ("Voltage", "current", "law")) == hint


def test_a_refusal_is_told_of_who_wrote_the_keys() -> None:
    """The owner is asked with the keys below the part, and the refusal stands in the owner's file."""
    mine, theirs = (
        Source("mine.toml", "[part.Q]\nlike = 'P'\n"),
        Source("base.toml", "[part.P]\nrate.law = 3\n"),
    )
    sink: list[Trouble] = []
    at = At(lambda keys: Owner("P", theirs) if keys else Owner("Q", mine), sink)
    at.refuse(Words("nothing"), "something")
    at.below("rate").below("law").refuse(3, "a word")
    assert [(str(t.place), t.message) for t in sink] == [
        ("mine.toml:1:2", "part Q: found nothing, expected something"),
        ("base.toml:2:1", "part P, key rate.law: found 3, expected a word"),
    ]
