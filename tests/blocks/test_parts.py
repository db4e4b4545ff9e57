"""Part files as a whole: names, patterns, packages, `like`, `replaces`, the cache, the built-in parts."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drc.blocks.model import Part, Parts
from drc.blocks.parts import find_part, load_parts, parse_parts, part_table
from drc.resources import kept
from drc.trouble import InputError

BASE = 'function = "oscillator"\npins = ["supply", "ground", "output", "rate"]\n'


def parts_named(*names: str) -> Parts:
    """Parts that differ in nothing but their names."""
    return parse_parts("".join(f'[part."{name}"]\n{BASE}' for name in names))


def found(parts: Parts, name: str) -> str | None:
    """The name, as its file has it, of the part that a name means."""
    part = find_part(parts, name)
    return None if part is None else part.name


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("AB10", "AB10"),
        ("ab10", "AB10"),
        ("AB10X", "AB10*"),
        ("AB11", "AB1*"),
        ("AB1", "AB1*"),
        ("AB2", "*2"),
        ("xAB10", None),
        ("", None),
        ("AB10*", "AB10*"),
    ],
)
def test_exact_beats_pattern_and_longer_prefix_beats_shorter(name: str, wanted: str | None) -> None:
    """Case is ignored; an exact name comes first, then the pattern with the longest text before its `*`."""
    assert found(parts_named("AB1*", "AB10*", "AB10", "*2"), name) == wanted


@given(st.text("aAbB1*", min_size=1, max_size=5), st.text("aAbB1", max_size=7))
def test_a_pattern_matches_as_a_whole(pattern: str, name: str) -> None:
    """A pattern means a name exactly when `*` for any run of characters makes it that name, case ignored."""

    def matches(left: str, right: str) -> bool:
        if not left:
            return not right
        if left[0] == "*":
            return any(matches(left[1:], right[i:]) for i in range(len(right) + 1))
        return right[:1] == left[0] and matches(left[1:], right[1:])

    parts = parts_named(pattern)
    assert (find_part(parts, name) is not None) == matches(pattern.lower(), name.lower())


@given(st.lists(st.text("ab*", min_size=1, max_size=4), min_size=2, max_size=4, unique=True), st.data())
def test_no_name_is_left_to_chance(names: list[str], data: st.DataObject) -> None:
    """Files whose patterns could tie on some name are refused; all others give one part in any file order."""
    try:
        parts = parts_named(*names)
    except InputError:
        return
    name = data.draw(st.text("ab", min_size=1, max_size=6))
    assert found(parts, name) == found(parts_named(*reversed(names)), name)


PACKAGED = (
    f'[part.AB10]\n{BASE}package.S6.pins = ["nc", "ground", "supply", "output", "rate", "nc"]\n'
    f'[part."CD*"]\n{BASE}package.S5.pins = ["nc", "ground", "supply", "output", "rate"]\n'
)


@pytest.mark.parametrize(
    ("name", "part", "package"),
    [
        ("AB10", "AB10", ""),
        ("AB10-S6", "AB10", "S6"),
        ("ab10_s6", "AB10", "S6"),
        ("AB10/S6", "AB10", "S6"),
        ("CD3-X-S5", "CD*", "S5"),
        ("CD3-X", "CD*", ""),
    ],
)
def test_a_package_behind_the_part_name(name: str, part: str, package: str) -> None:
    """A package's name behind the part's, parted by one of - _ / . chooses the package."""
    match = part_table(parse_parts(PACKAGED)).match(name)
    assert match is not None
    assert (match.part.name, match.package) == (part, package)


def test_an_ending_that_is_no_package_is_no_part() -> None:
    """A known name with an ending that is none of its packages is another, unknown part."""
    assert found(parse_parts(PACKAGED), "AB10-S7") is None


def one(text: str, name: str) -> Part:
    """The part of that name in a file."""
    return parse_parts(text).by_name[name]


def test_like_merges_table_by_table_and_replaces_lists_whole() -> None:
    """What a part does not give itself comes from the part it is like, down to single keys of tables."""
    text = (
        f'[part.P]\n{BASE}supply = {{ rated = "2V .. 5V", limit = "6V" }}\nstartup = "1ms"\n'
        "codes = [{ code = 0, prescale = 1 }, { code = 1, prescale = 2 }]\n"
        '[part.Q]\nlike = "p"\nsupply.limit = "7V"\ncodes = [{ code = 3, prescale = 9 }]\n'
    )
    part = one(text, "Q")
    assert (part.supply.limit, part.supply.rated) == (7.0, one(text, "P").supply.rated)
    assert [(row.code, row.prescale) for row in part.codes] == [(3, 9)]
    assert part.startup == 1e-3


def test_like_may_name_a_part_that_comes_later_and_is_like_another() -> None:
    """The order of definitions does not matter to `like`."""
    text = f'[part.R]\nlike = "Q"\n[part.Q]\nlike = "P"\ntitle = "q"\n[part.P]\n{BASE}startup = "2s"\n'
    assert (one(text, "R").title, one(text, "R").startup) == ("q", 2.0)


def test_another_way_to_say_the_same_drops_the_inherited_one() -> None:
    """Points replace an inherited full scale and duty; thresholds replace inherited levels."""
    text = (
        f'[part.P]\n{BASE}modulate = {{ full_scale = "0V .. 1V", duty = "0% .. 100%", error = "2points" }}\n'
        "strap = { levels = 4 }\n"
        '[part.Q]\nlike = "P"\nmodulate = { points = [["0V", "5%"], ["2V", "95%"]] }\n'
        'strap = { thresholds = ["1/4", "1/2"] }\n'
    )
    part = one(text, "Q")
    assert part.modulate is not None
    assert part.modulate.points == ((0.0, 0.05), (2.0, 0.95))
    assert part.modulate.error == pytest.approx(0.02)
    assert part.strap is not None
    assert (part.strap.levels, part.strap.thresholds) == (3, (0.25, 0.5))


def test_replaces_takes_the_name_and_may_be_like_what_it_replaces(tmp_path: Path) -> None:
    """A later file may replace a built-in part, keeping what it does not change; others then follow it."""
    house = tmp_path / "house.toml"
    house.write_text('[part.ha10]\nreplaces = "HA10"\nlike = "HA10"\nstartup = "9s"\n', encoding="utf-8")
    before, after = load_parts([]), load_parts([house])
    assert after.by_name["HA10"].startup == 9.0
    assert before.by_name["HA10"].startup == pytest.approx(0.8e-3)
    assert after.by_name["HA10"].pins == before.by_name["HA10"].pins
    assert after.by_name["HA20"].startup == 9.0
    assert after.by_name["HA10"].place.path == house.as_posix()


def test_the_files_are_listed_with_their_hashes(tmp_path: Path) -> None:
    """Parts tell which files they came from, built-in ones by their path in the package, with sha256."""
    house = tmp_path / "house.toml"
    house.write_bytes(b"")
    files = load_parts([house]).files
    assert files[-1] == (
        house.as_posix(),
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",  # sha256 of no bytes: FIPS 180
    )
    assert {path for path, _ in files[:-1]} >= {
        "tickproof:rules/parts/halyard.toml",
        "tickproof:rules/parts/quay.toml",
    }


def test_a_part_file_that_cannot_be_read_is_one_refusal(tmp_path: Path) -> None:
    """A missing file, a folder and bytes that are no UTF-8 are each one refusal that names the path."""
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b'[part.P]\ntitle = "\xb5"\n')
    with pytest.raises(InputError) as caught:
        load_parts([tmp_path / "none.toml", tmp_path, latin])
    told = [(t.place.path, t.place.line, t.message) for t in caught.value.troubles]
    assert told == [
        (
            (tmp_path / "none.toml").as_posix(),
            0,
            "found a path that cannot be read (no such file or directory), expected a part file",
        ),
        (tmp_path.as_posix(), 0, "found a path that cannot be read (is a directory), expected a part file"),
        (latin.as_posix(), 0, "found byte 0xb5 at offset 18, expected UTF-8 text"),
    ]


def test_built_in_parts_are_the_same_from_the_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Parts from the cache equal parts compiled anew, and a spoilt cache file only means compiling again."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    fresh = dict(load_parts([]).by_name)
    (file,) = (tmp_path / "tickproof").glob("parts-*.json")
    assert dict(load_parts([]).by_name) == fresh
    file.write_text("{", encoding="utf-8")
    assert dict(load_parts([]).by_name) == fresh
    assert set(json.loads(kept(file))) == set(fresh)


def test_every_built_in_part_says_where_its_figures_come_from() -> None:
    """Every built-in part has a title and a source, and stands in the file and line that its place names."""
    parts = load_parts([])
    assert len(parts.by_name) > 10
    for part in parts.by_name.values():
        assert part.title
        assert part.source
        assert part.place.line > 0


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("x = " + "[" * 5000 + "]" * 5000, "found text that is no TOML: tables or lists nested too deeply"),
        (
            f'[part.P]\n{BASE}{"a." * 3000}b = 1\n[part.Q]\nlike = "P"\n{"a." * 3000}b = 1\n',
            "part P, key a: ",
        ),
        ("\0", "found text that is no TOML: "),
    ],
)
def test_a_hostile_part_file_is_refused_like_any_other(text: str, wanted: str) -> None:
    """Nesting without end and control characters are a refusal, not a failure of ours."""
    with pytest.raises(InputError) as caught:
        parse_parts(text)
    assert caught.value.troubles[0].message.startswith(wanted)


def test_a_pattern_of_many_stars_costs_no_more_than_its_length() -> None:
    """A name that nearly fits a pattern of many pieces is told apart at once."""
    parts = parts_named("*a" * 45 + "*b")
    assert find_part(parts, "a" * 5000 + "c") is None
    assert find_part(parts, "a" * 5000 + "b") is not None
