"""How a rule book comes of its texts: order, adjustments, sources, what a checked rule holds."""

from pathlib import Path

import pytest

from drc.facts.catalogue import BY_NAME, ENTRIES
from drc.judge.book import built_in_files, load_rules, read_rules
from drc.judge.rule import Rule, RuleBook, Source, SwitchedOff, TwinCase
from drc.quantity.span import Span, exact
from drc.quantity.unit import AMPERE, STEP, VOLT
from drc.trouble import InputError, Level, Place, Trouble
from tests.judge.stub import REST, only, rules

NEAR = """rule near title "T" for block knob clearance = 0.15 steps knob plain = 2
    require strap.margin >= clearance else warning at-risk note
    require strap.code < plain else error at-risk warning
    say "x" because "b" source "s"
"""
ON_LINES = 'rule odd-line title "T" for line because "b" source "s"\n'
BARE = f'rule bare title "T" for block require strap.open else error {REST}\n'


def troubles_of(*texts: str) -> tuple[Trouble, ...]:
    """What is wrong with texts that are refused."""
    with pytest.raises(InputError) as caught:
        rules(*texts)
    return caught.value.troubles


LEVELS: tuple[Level, ...] = ("note", "warning", "error")


@pytest.mark.parametrize(
    ("level", "at_risk"),
    [("note", ["note", "note"]), ("warning", ["note", "warning"]), ("error", ["note", "warning"])],
)
def test_a_level_of_failing_takes_at_risk_down_never_up(level: Level, at_risk: list[Level]) -> None:
    """Both requires fail at the new level; at risk stays where it was unless that would be graver."""
    found = only(rules(NEAR, f"level near {level}"))
    assert [part.level for part in found.requires] == [level, level]
    assert [part.at_risk for part in found.requires] == at_risk
    assert found.unproven == "warning"


@pytest.mark.parametrize("level", LEVELS)
def test_the_levels_of_at_risk_and_of_unproven_are_their_own(level: Level) -> None:
    """Each changes one thing and leaves all else, condition and names among it, as it was."""
    before = only(rules(NEAR))
    risky = only(rules(NEAR, f"level near at-risk {level}"))
    assert risky == before._replace(requires=tuple(part._replace(at_risk=level) for part in before.requires))
    assert only(rules(NEAR, f"level near unproven {level}")) == before._replace(unproven=level)


@pytest.mark.parametrize("level", LEVELS)
def test_a_rule_on_lines_has_one_level(level: Level) -> None:
    """That of its findings; the unproven one plays no part and stays apart."""
    before = only(rules(ON_LINES))
    assert before.line_level is None
    assert only(rules(ON_LINES, f"level odd-line {level}")) == before._replace(line_level=level)
    assert only(rules(ON_LINES, f"level odd-line at-risk {level}")).line_level == level
    assert only(rules(ON_LINES, f"level odd-line unproven {level}")) == before._replace(unproven=level)


def test_a_turned_knob_leaves_the_others() -> None:
    """Only the value of that knob changes, and where a rule has its condition from it stays."""
    before = only(rules(NEAR))
    after = only(rules(NEAR, "turn near clearance = 0.2 steps"))
    assert after == before._replace(knobs={"clearance": exact(0.2, STEP), "plain": exact(2)})
    assert only(rules(NEAR, "turn near clearance = 0.1 steps .. 0.3 steps")).knobs["clearance"] == Span(
        0.1, None, 0.3, STEP
    )


@pytest.mark.parametrize(
    ("house", "under", "message"),
    [
        ("turn near clearance = 3 V", "3 V",
         "found a quantity in V, expected one in steps, as clearance has"),
        ("turn near clearance = 3", "3",
         "found a quantity in no unit, expected one in steps, as clearance has"),
        ("turn near plain = 3 V", "3 V", "found a quantity in V, expected one in no unit, as plain has"),
        ("turn near clarence = 3", "clarence",
         'found "clarence", expected a knob of near; did you mean "clearance"?'),
        ("turn bare clearance = 3", "clearance", 'found "clearance", expected nothing: bare has no knob'),
        ("turn nearer plain = 3", "nearer",
         'found "nearer", expected the name of a rule; did you mean "near"?'),
        ("level odd note", "odd", 'found "odd", expected the name of a rule'),
        ('off nothing-alike because "x"', "nothing-alike",
         'found "nothing-alike", expected the name of a rule'),
    ],
)  # fmt: skip
def test_an_adjustment_of_what_is_not_there_is_refused(house: str, under: str, message: str) -> None:
    """What was found and expected, at the words that are wrong, in the house's own file."""
    (trouble,) = troubles_of(NEAR + BARE, f"# a house\n  {house}")
    assert trouble.message == message
    assert (trouble.kind, trouble.level, trouble.place.path) == ("wrong-rule", "error", "house0.rule")
    assert trouble.excerpt == f"  {house}"
    start = trouble.place.column - 1
    assert (trouble.place.line, trouble.excerpt[start : start + trouble.place.length]) == (2, under)


def test_a_second_rule_of_a_name_is_refused_with_both_places() -> None:
    """Also where it stands in another text."""
    (trouble,) = troubles_of(NEAR, f"\n{NEAR}")
    assert trouble == Trouble(
        "wrong-rule", "error", Place("house0.rule", 2, 6, 4),
        'found a second rule "near", the first stands at book.rule:1:6; expected another name, '
        'or "replace near"',
        NEAR.partition("\n")[0], (Place("book.rule", 1, 6, 4),),
    )  # fmt: skip


def test_what_is_switched_off_is_kept_apart_until_it_is_replaced() -> None:
    """Reason and place are kept; other rules stay in force, in order; a replacement is in force."""
    book = rules(NEAR + BARE + ON_LINES, 'off bare because "not" " here"')
    assert [found.name for found in book.rules] == ["near", "odd-line"]
    assert book.off == {"bare": SwitchedOff("not here", Place("house0.rule", 1, 5, 4))}
    again = rules(NEAR + BARE, 'off near because "x"', NEAR.replace("rule", "replace").replace('"T"', '"U"'))
    assert [(found.name, found.title) for found in again.rules] == [("near", "U"), ("bare", "T")]
    assert again.off == {}
    assert again.rules[0].place == Place("house1.rule", 1, 9, 4)
    off = rules(NEAR, NEAR.replace("rule", "replace"), 'off near because "x"')
    assert (off.rules, list(off.off)) == ((), ["near"])
    never = rules(NEAR, NEAR.replace("rule", "replace"))
    assert never.off == {}


def test_every_wrong_rule_of_every_text_is_named() -> None:
    """A text that cannot be read and rules that are wrong, in order; what is right is no trouble."""
    wrong = BARE.replace("strap.open", "strap.opn")
    found = troubles_of("ruel", wrong + NEAR + wrong.replace("rule bare", "rule bore"), "rule", wrong)
    assert [(trouble.place.path, trouble.place.line) for trouble in found] == [
        ("book.rule", 1), ("house0.rule", 1), ("house0.rule", 8), ("house1.rule", 1), ("house2.rule", 1),
    ]  # fmt: skip


def test_a_rule_in_full() -> None:
    """Everything that a rule file says of a rule, in its place."""
    text = """rule r title "T" for block of one-shot, oscillator with strap, rate where strap.open
        where known strap.code knob least = 1 A knob most = 2 A .. 3 A
        require rate.current > least when strap.shorted else warning
        unproven note say "x{least}" say unproven "y" advice "a" remedy rail, decade because "b" source "s"
        breaks unproven "label"
        | t
        | R1 a b 1k
        edit "1k" to "2k"
    """
    found = only(rules(text))
    assert found._replace(wheres=(), requires=(), says={}) == Rule(
        name="r", place=Place("book.rule", 1, 6, 1), title="T", subject="block", because="b", source="s",
        functions=("one-shot", "oscillator"), roles=("strap", "rate"), statement="",
        where_names=("strap.open", "strap.code"), unproven="note",
        knobs={"least": exact(1, AMPERE), "most": Span(2, None, 3, AMPERE)}, line_level=None,
        advice="a", remedies=("rail", "decade"),
        cases=(TwinCase(Place("book.rule", 5, 9, 1), "unproven", "label", "t\nR1 a b 1k\n", "1k", "2k"),),
    )  # fmt: skip
    assert [tree[0] for tree in found.wheres] == ["fact", "known"]
    (require,) = found.requires
    assert (require.condition[0], require.guard and require.guard[0]) == ("compare", "fact")
    assert (require.level, require.at_risk) == ("warning", "warning")
    assert require.names == ("strap.shorted", "rate.current")
    assert set(found.says) == {"fail", "unproven"}
    assert found.cases[0].mended == "t\nR1 a b 2k\n"


def test_a_rule_of_little_has_defaults() -> None:
    """Unproven is a warning, at risk a warning or a note, all else empty; functions are of blocks only."""
    found = only(rules(f'rule r title "T" for statement supply require known board.blocks else error {REST}'))
    assert found == Rule(
        name="r", place=Place("book.rule", 1, 6, 1), title="T", subject="statement", because="a test",
        source="a test", statement="supply", requires=found.requires, says=found.says,
    )  # fmt: skip
    assert (found.requires[0].guard, found.requires[0].at_risk, found.requires[0].level) == (
        None,
        "warning",
        "error",
    )
    assert only(rules(BARE.replace("else error", "else note"))).requires[0].at_risk == "note"
    assert only(rules(BARE.replace("else error", "else warning"))).requires[0].at_risk == "warning"
    assert only(rules(BARE.replace("else error", "else note at-risk error"))).requires[0].at_risk == "error"
    any_statement = BARE.replace("for block", "for statement").replace("strap.open", "known board.blocks")
    assert only(rules(any_statement)).statement == ""
    oscillators = only(rules(BARE.replace("for block", "for block of oscillator")))
    assert (oscillators.statement, oscillators.functions) == ("", ("oscillator",))
    assert only(rules(ON_LINES.replace("for line", "for line else note"))).line_level == "note"


def test_the_same_text_is_read_anew_for_another_catalogue() -> None:
    """A fact's unit, kind of value or subject decides whether a rule is right; what was compiled before is
    not taken for another catalogue."""
    source = Source("a.rule", f'rule r title "T" for block require strap.margin > 0 steps else error {REST}')
    entry = BY_NAME["strap.margin"]
    assert only(read_rules([source])).name == "r"
    for changed in (entry._replace(kind=VOLT), entry._replace(kind="truth"), entry._replace(subject="net")):
        with pytest.raises(InputError):
            read_rules([source], [changed])
        assert only(read_rules([source], [entry])).name == "r"
    with pytest.raises(InputError):
        read_rules([source], [each for each in ENTRIES if each is not entry])


def test_built_in_rules_are_named_by_their_place_in_the_package() -> None:
    """Files in order of name, paths that tell them from the user's own, digests of what was read."""
    files = built_in_files()
    assert files == sorted(files)
    assert len(files) > 3
    book = load_rules()
    paths = [path for path, _ in book.files]
    assert [path.rpartition("/")[2] for path in paths] == [file.name for file in files]
    prefixes = {path.rpartition("/")[0] for path in paths}
    (prefix,) = prefixes
    assert prefix.endswith("rules/book")
    assert all(found.place.path.startswith(f"{prefix}/") for found in book.rules)


def test_house_books_come_after_the_built_in_rules(tmp_path: Path) -> None:
    """A file or a folder, in the order given, by their own paths; the built-in rules may be left out."""
    folder = tmp_path / "books"
    folder.mkdir()
    (folder / "z.rule").write_text(BARE)
    (folder / "y.rule").write_text(ON_LINES.replace("odd-line", "odder-line"))
    file = tmp_path / "a.rule"
    file.write_text(NEAR)
    alone = load_rules([file, folder], built_in=False)
    assert [found.name for found in alone.rules] == ["near", "odder-line", "bare"]
    assert [path for path, _ in alone.files] == [
        path.as_posix() for path in (file, folder / "y.rule", folder / "z.rule")
    ]
    with_all = load_rules([file, folder])
    own = load_rules()
    assert with_all.rules[: len(own.rules)] == own.rules
    assert with_all.rules[len(own.rules) :] == alone.rules
    assert with_all.files == own.files + alone.files


def test_house_books_are_read_by_the_reader_given(tmp_path: Path) -> None:
    """The bytes that it gives count, whatever is on the disk; the built-in rules are read as ever."""
    file = tmp_path / "a.rule"
    asked: list[Path] = []

    def read(path: Path) -> bytes:
        asked.append(path)
        return BARE.encode()

    book: RuleBook = load_rules([file], read=read)
    assert book.rules[-1].name == "bare"
    assert asked == [file]


@pytest.mark.parametrize(
    ("error", "message"),
    [
        (OSError(), "cannot be read, expected a rule file"),
        (OSError(5, "a bad sector"), "a bad sector, expected a rule file"),
        (
            UnicodeDecodeError("utf-8", b"\xff", 0, 1, "odd"),
            "the file is not UTF-8 text, expected a rule file",
        ),
    ],
)
def test_a_book_that_cannot_be_read_is_one_trouble(error: Exception, message: str) -> None:
    """The file as a whole, by the path given, with the system's reason where there is one."""

    def read(path: Path) -> bytes:
        raise error

    with pytest.raises(InputError) as caught:
        load_rules([Path("books/a.rule")], read=read)
    assert caught.value.troubles == (Trouble("wrong-rule", "error", Place("books/a.rule"), message),)


NO_NAME = "found a second"


@pytest.mark.parametrize(
    ("clauses", "under", "message"),
    [
        ("knob a.b = 1 V", "a.b", 'found "a.b", expected a name without a dot'),
        ("let a.b = strap.open", "a.b", 'found "a.b", expected a name without a dot'),
        ("knob aa = 1 V knob aa = 2 V", "aa", 'found a second "aa", expected another name'),
        ("let aa = strap.open let aa = strap.open", "aa", 'found a second "aa", expected another name'),
        ("knob aa = 1 V let aa = strap.open", "aa", 'found a second "aa", expected another name'),
        ("let aa = strap.open knob aa = 1 V", "aa", 'found a second "aa", expected another name'),
        ("knob aa = strap.ratio", "strap.ratio", 'found "strap.ratio", expected a fact, knob or let'),
        ("knob aa = 1 V knob bb = aa", "aa", 'found "aa", expected a fact, knob or let'),
        ("let bb = aa let aa = strap.open", "aa", 'found "aa", expected a fact, knob or let'),
        ('knob aa = "w"', '"w"', "found a name, expected a quantity"),
        ("where strap.ratio", "strap.ratio",
         "found a plain number, expected a condition, such as a comparison"),
        ("remedy rail, rial", "rial",
         'found "rial", expected strap-pair, strap-swap, timing-resistor, '
         "decade, preferred-value, part-variant, pin-order, pin-swap, rail, supply, load-resistor, bypass or "
         'intent; did you mean "rail"?'),
    ],
)  # fmt: skip
def test_names_of_a_rule_are_its_own(clauses: str, under: str, message: str) -> None:
    """Knobs and lets have names of their own without a dot, known from there on; knobs are quantities."""
    text = f'rule r title "T" for block\n  {clauses}\n require strap.open else error {REST.strip()}'
    (trouble,) = troubles_of(text)
    assert trouble.message == message
    line = text.split("\n")[1]
    assert (trouble.place.line, trouble.excerpt) == (2, line)
    start = trouble.place.column - 1
    assert line[start : start + trouble.place.length] == under
    if message.startswith(NO_NAME):
        # Knobs are read before lets, so that of both the let is the second.
        assert (
            start == (line.index(" aa =") if "let aa = strap.open knob" in line else line.rindex(" aa =")) + 1
        )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (ON_LINES.replace("because", "require known board.blocks else note because"),
         'found "require" in a rule for line, expected none: the trouble itself is the finding'),
        ('rule r title "T" for block say "x" because "b" source "s"',
         'the rule has no "require" clause, expected at least one'),
        ('rule r title "T" for block require strap.open else note because "b" source "s"',
         'the rule has no "say" clause, expected one: every finding says what was found'),
        ('rule r title "T" for block require strap.open else note say at-risk "x" because "b" source "s"',
         'the rule has no "say" clause, expected one: every finding says what was found'),
    ],
)  # fmt: skip
def test_a_rule_judges_and_says_what_it_found(text: str, message: str) -> None:
    """All but rules on lines have a require and a text for failing; the trouble is at the rule's name."""
    (trouble,) = troubles_of(f"\n  {text}")
    assert trouble.message == message
    name = text.split()[1]
    assert tuple(trouble.place) == ("book.rule", 2, 8, len(name))


def test_a_board_without_an_edit_is_refused_where_it_begins() -> None:
    """Whichever of two it is."""
    board = 'breaks "b"\n| t\n| R1 a b 1k\n'
    edit = 'edit "1k" to "2k"\n'
    for text, line in (
        (f"{BARE}{board}", 4),
        (f"{BARE}{board}{board}{edit}", 4),
        (f"{BARE}{board}{edit}{board}", 8),
    ):
        (trouble,) = troubles_of(text)
        message = 'the board has no "edit" after it, expected the one change that makes it hold'
        assert (trouble.message, trouble.place.line, trouble.place.column) == (message, line, 1)


@pytest.mark.parametrize(("terms", "read"), [(200, True), (201, False)])
def test_a_let_has_200_terms(terms: int, read: bool) -> None:
    """Those of the lets in it counted: a sum of n names is n names and n - 1 signs, a minus before it one."""
    sign = "-" if terms % 2 == 0 else ""
    names = terms // 2 if terms % 2 == 0 else (terms + 1) // 2
    half = names // 2
    first = f"let aa = {' + '.join(['strap.ratio'] * half)}"
    whole = f"let bb = {sign}({' + '.join(['aa', *['strap.ratio'] * (names - half)])})"
    text = BARE.replace("require", f"{first} {whole} require", 1)
    if read:
        assert only(rules(text)).name == "bare"
        return
    (trouble,) = troubles_of(text)
    assert trouble.message == "found more than 200 terms with the lets in it, expected a simpler expression"
    assert trouble.excerpt[trouble.place.column - 1 :].startswith("bb =")


def test_each_of_many_choices_is_a_term() -> None:
    """`x is one of` n things is n things, x, and itself: 198 are read, 199 are not."""
    for count in (198, 199):
        choices = ", ".join(["1"] * count)
        text = BARE.replace("require", f"let aa = strap.code is one of ({choices}) require", 1)
        if count == 198:
            assert only(rules(text)).name == "bare"
        else:
            assert "more than 200 terms" in troubles_of(text)[0].message
