"""Small inputs that ask for much: told or worked out within five seconds of the processor's time."""

from pathlib import Path
from random import Random

import pytest

from tests.contract.running import CLEAN
from tests.fuzz.trial import trial


def doubling(line: str, levels: int) -> str:
    """A line for each level, `{n}` its number and `{m}` the next."""
    return "".join(line.format(n=n, m=n + 1) for n in range(levels))


HIERARCHY = {
    "each cell holds two of the next": doubling(".subckt c{n} a b\nX1 a b c{m}\nX2 a b c{m}\n.ends\n", 60)
    + "X1 a b c0\n",
    "a thousand cells within each other": doubling(".subckt c{n} a b\nX1 a b c{m}\n.ends\n", 1000)
    + "X1 a b c0\n",
    "ten thousand definitions within each other": doubling(".subckt c{n} a b\n", 10_000),
    "a cell that holds itself": ".subckt c a b\nX1 a b c\n.ends\nX1 a b c\n",
    "two cells that hold each other": ".subckt c a b\nX1 a b d\n.ends\n.subckt d a b\nX1 a b c\n.ends\n"
    "X1 a b c\n",
    "a cell of a hundred thousand pins": f".subckt c {'p ' * 100_000}\n.ends\nX1 {'p ' * 100_000} c\n",
}
EXPRESSIONS = {
    "brackets": f"R9 a b {{{'(' * 100_000}1{')' * 100_000}}}\n",
    "signs": f"R9 a b {{{'-' * 100_000}1}}\n",
    "choices": f"R9 a b {{{'1?1:' * 20_000}1}}\n",
    "sums": f"R9 a b {{{'1+' * 100_000}1}}\n",
    "calls": f"R9 a b {{{'abs(' * 20_000}1{')' * 20_000}}}\n",
    "powers": "R9 a b {9**9**9**9**9}\nR8 a b {10^10^10^10}\nR7 a b {pow(1e300,1e300)}\nR6 a b {exp(1e9)}\n",
    "exponents": f"R9 a b 1e{'9' * 1000}\nR8 a b 1e-{'9' * 1000}\nR7 a b {'9' * 5000}\nR6 a b 1e308k\n",
    "nothing over nothing": "R9 a b {0/0}\nR8 a b {1/0}\nR7 a b {ln(-1)}\nR6 a b {sqrt(-1)}\n"
    "R5 a b {1e308*10-1e308*10}\n",
}
PARAMETERS = {
    "each the next twice": doubling(".param a{n}={{a{m}+a{m}}}\n", 60) + ".param a60=1\nR9 a b {a0}\n",
    "functions, each the next twice": doubling(".func f{n}(x) {{f{m}(x)+f{m}(x)}}\n", 60)
    + ".func f60(x) {x}\nR9 a b {f0(1)}\n",
    "a chain of ten thousand": doubling(".param a{n}={{a{m}}}\n", 10_000) + "R9 a b {a0}\n",
    "a function of itself": ".func f(x) {f(f(x))}\nR9 a b {f(1)}\n",
    "handed down and doubled": doubling(
        ".subckt c{n} a b k=1\nX1 a b c{m} k={{k+k}}\nX2 a b c{m} k={{k*2}}\n.ends\n", 16
    )
    + ".subckt c16 a b k=1\nR1 a b {k}\n.ends\nX1 a b c0\n",
}
MAZES = {
    "nested": ".if (1)\n" * 20_000 + ".endif\n" * 20_000,
    "never closed": ".if (a>1)\n.elseif (b)\n.else\n" * 10_000,
    "only ends": ".endif\n.else\n" * 20_000,
    "chosen by what they choose": ".if (p==1)\n.param p=2\n.else\n.param p=1\n.endif\n" * 500
    + "R9 a b {p}\n",
}
NETWORKS = {
    "thirty sources of two levels on one pin": "".join(
        f"V{n} d{n} 0 PULSE(0 3.3 0 1u 1u 1m 2m)\nR{n} d{n} RT 1MEG\n" for n in range(20, 50)
    ),
    "two thousand resistors on one strap": "".join(f"R{n} CFG 0 90MEG\n" for n in range(20, 2020)),
    "two thousand resistors on one rate pin": "".join(f"R{n} RT 0 90MEG\n" for n in range(20, 2020)),
    "a thousand LEDs on one output": "".join(
        f"R{n} OUT l{n} 40k\nD{n} l{n} 0 LED\n" for n in range(20, 1020)
    ),
}
NETLISTS = {**HIERARCHY, **EXPRESSIONS, **PARAMETERS, **MAZES, **NETWORKS}  # fmt: skip


ENOUGH_S = 30.0
"""Processor time that no refusal needs, on a slow and busy machine too; without bounds it takes hours."""


@pytest.mark.parametrize("text", NETLISTS.values(), ids=NETLISTS)
def test_a_netlist_that_asks_for_much_is_soon_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    """Hierarchy, expressions, parameters and conditions without end, before a block that is reviewed."""
    monkeypatch.chdir(tmp_path)
    outcome = trial("netlist", CLEAN.replace("V1 ", text + "V1 ").encode(), Random(1), tmp_path, ENOUGH_S)
    assert outcome.code in (0, 1, 2)
    assert not outcome.wrong


CELL = "(cell c{n} (cellType GENERIC) (view v (viewType NETLIST) (interface (port A)) (contents {inside})))"
HEAD = "(edif b (edifVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 0)) (library W (edifLevel 0) "


def cells(levels: int) -> str:
    """EDIF cells that each hold two of the one before."""
    two = "(instance i (viewRef v (cellRef c{m}))) (instance j (viewRef v (cellRef c{m})))"
    inside = ["", *(two.format(m=n - 1) for n in range(1, levels))]
    body = "".join(CELL.format(n=n, inside=text) for n, text in enumerate(inside))
    return f"{HEAD}{body}) (design D (cellRef c{levels - 1} (libraryRef W))))"


OTHERS = {
    "EDIF: brackets": ("edif", HEAD + "(" * 200_000),
    "EDIF: brackets that close": ("edif", HEAD + "(a" * 50_000 + ")" * 50_000),
    "EDIF: a string without end": ("edif", HEAD + '(property a (string "' + "x " * 500_000),
    "EDIF: each cell holds two": ("edif", cells(60)),
    "EDIF: a number without end": ("edif", HEAD + f"(a {'9' * 100_000}) (e 1 {'9' * 10_000})"),
    "pin list: a quote without end": ("pin list", 'ref,pin,net\nU1,1,"' + "x,\n" * 20_000),
    "pin list: columns": ("pin list", "ref,pin,net" + ",x" * 200_000 + "\nU1,1,a\n"),
    "pin list: a pin of a thousand digits": ("pin list", f"ref,pin,net\nR1,{'9' * 5000},a\nR1,1,b\n"),
    "bill of materials: a range": ("bill of materials", "Reference,Value\nR1-R999999999,10k\nXU1,HA10\n"),
    "bill of materials: a list": ("bill of materials", f"Reference,Value\n\"{'R1,' * 100_000}\",10k\n"),
    "settings: brackets": ("settings", "boards = " + "[" * 100_000),
    "settings: brackets that close": ("settings", "boards = " + "[" * 5_000 + "]" * 5_000),
    "settings: tables": ("settings", "{}.a = 1\n".format(".".join("a" * 20_000))),
    "settings: a number": ("settings", f"gate = {'9' * 10_000}\n"),
    "settings: a date that is none": ("settings", "gate = 2026-02-31\n"),
    "settings: absolute patterns": ("settings", 'boards = ["/**/*.cir"]\n'),
    "settings: patterns upward": ("settings", 'parts = ["../../../../../../../*/*/*.toml"]\n'),
    "settings: stars": ("settings", f'rules = ["{"**/" * 2000}*.rule"]\n'),
    "settings: odd characters": ("settings", 'rules = ["\\u0000", "\\ud7ff", "[", "**x"]\n'),
    "part file: brackets": ("part file", "[part.Z1]\npins = " + "[" * 100_000),
    "part file: a number": ("part file", f"[part.Z1]\nstrap = {{ levels = {'9' * 10_000} }}\n"),
    "part file: like each other": ("part file", doubling('[part.Z{n}]\nlike = "Z{m}"\n', 5000)),
    "known findings: brackets": ("known findings", "[" * 200_000),
    "known findings: a number": (
        "known findings",
        f'{{"schema": "tickproof-known/1", "findings": [{"9" * 10_000}]}}',
    ),
    "intent: a number": ("intent", f"supply VCC {'9' * 5000}V .. 1e{'9' * 500}V\nambient 1e999degC\n"),
    "intent: many": ("intent", "expect XU* frequency 8kHz +/- 6%\n" * 2_000),
    "rule book: brackets": ("rule book", f"rule a\n    require {'(' * 20_000}\n"),
}  # fmt: skip


@pytest.mark.parametrize(("kind", "text"), OTHERS.values(), ids=OTHERS)
def test_another_input_that_asks_for_much_is_soon_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, text: str
) -> None:
    """EDIF, tables, settings, parts, rules, statements and known findings alike."""
    monkeypatch.chdir(tmp_path)
    outcome = trial(kind, text.encode(), Random(1), tmp_path, ENOUGH_S)
    assert outcome.code in (0, 1, 2)
    assert not outcome.wrong
