"""What is wrong with a line that the grammar refuses: messages, each told by lines that earn it.

The table is the source of the messages and the test of them: every example must get its own message.
"""

from typing import NamedTuple


class Mistake(NamedTuple):
    """A message and lines that earn it; `{found}` is the offending word, `{head}` the line's first."""

    message: str
    examples: tuple[str, ...]


MISTAKES: tuple[Mistake, ...] = (
    Mistake(
        "'{found}' begins with no element letter; begin the name with one (R, C, X ...)",
        ("47Kohm6 a b R", "2Q7000 c b e", "-12V1 a b", "{x} a b", "'x' a b", '"R1" a b', "= a b", "(a) b"),
    ),
    Mistake(
        "'{found}' begins with '+' and so reads as a continuation of the line before, yet looks like an"
        " element; rename it, or put a blank after the '+'",
        ("+12V1 GND VIN /12V REG12",),
    ),
    Mistake(
        "'{head}' lacks a node, {letter} needs two; write {head} NODE NODE and the rest",
        ("R1", "R1 a", "C5 (a", "V1 a", "D7 a,"),
    ),
    Mistake(
        "'{head}' lacks a node, {letter} needs three; write {head} NODE NODE NODE MODEL",
        ("Q1", "Q1 c", "Q1 c b", "M1 d g", "M1 d,g,"),
    ),
    Mistake(
        "found '{found}' where a node of '{head}' was expected; nodes stand first, then the rest",
        (
            "R1 a b=5",
            "R1 = 5",
            "R1 a b = 3",
            "Q1 c b e = 4",
            "R1 a (b",
            "R1 {a} b 5",
            "R1 a {b} 5",
            "R1 a = b",
            "Q1 c b=2 e",
            "M1 d {g} s b",
            "C1 (a b c) 5",
            "V1 ) a",
            "Q1 ) a b c",
        ),
    ),
    Mistake(
        "'{found}' has no partner on this line; close it, or take it out",
        (
            "R1 a b {x",
            "R1 a b x}",
            "R1 a b 'x",
            'R1 a b "x',
            "R1 a b r={x",
            "X1 a b {c d",
            "Q1 c b e m {",
            "R1 {",
            "R1 a }",
            "M1 d g s b n w='2*x",
            ".param x={2",
            ".model m r(r={1",
            ".subckt a b c={",
            "E1 a b {x",
            "T1 a {",
            "R1 a b tc=1,{",
            "R1 a b r=(1 {",
            "Q1 c {b",
            "X1 a b k=1 {",
            ".model {",
        ),
    ),
    Mistake(
        "'=' without a value after it; write NAME=VALUE",
        (
            "R1 a b tc=",
            "M1 d g s b n l= w=",
            "X1 a b c k=",
            "R1 a b tc= = 1",
            "R1 a b tc=1,",
            "T1 a b z0=",
            "R1 a b tc=)",
            ".model m r(r=)",
            "R1 a b tc=,1",
            "X1 a b c k=1,",
            "R1 a b tc=1,)",
            "X1 a b c k=1 = 3",
            "R1 a b 5 r=1 = 3",
            "Q1 c b e n = = 4",
        ),
    ),
    Mistake(
        "'=' without a name before it; write NAME=VALUE",
        ("R1 a b {x} = 3", "R1 a b ( = 3", "X1 = 3", ".model m r(=1)", ".subckt = 3", "T1 = 3", "T1 {a} = 3"),
    ),
    Mistake(
        "'(' without its ')'; close the bracket",
        ("R1 a b tc=(1,2", "M1 d g s b n w=(2*x", "R1 a b r=(1 (2)", "X1 a b c k=("),
    ),
    Mistake(
        "found '{found}' after the parameters of '{head}'; nodes and the subcircuit's name stand before them",
        (
            "X1 a b c k=1 d",
            "U1 a b c params: k=1 d",
            "X1 a b c k=1 (d)",
            "X1 a b c params: {d}",
            "X1 a b c k=1 {x}",
            ".subckt cell a b r=1 c",
            "X1 a b c params: (d)",
            "X1 a b c k=1 params: d=2",
            'X1 a b c k=1 "d"',
        ),
    ),
    Mistake(
        "found '{found}' among the nodes of '{head}'; an expression can't name a node",
        ("X1 a {b} c", "U1 'a' b c", ".subckt cell {a} b", "X1 {a}"),
    ),
    Mistake(
        "'.model' needs a name and a kind; write .model NAME KIND(NAME=VALUE ...)",
        (".model", ".model m", ".model m (r=1)", ".model m {x}", ".model (m)", ".model m, r"),
    ),
)

NO_LETTER = 0
"""Where the table says that a name begins with no element letter."""


def message_of(index: int, found: str, head: str) -> str:
    """A message of the table with its words filled in."""
    letter = head[:1].upper()
    shown = found if len(found) <= 40 else f"{found[:37]}..."
    text = MISTAKES[index].message
    for name, value in (("{found}", shown), ("{head}", head[:40]), ("{letter}", letter)):
        text = text.replace(name, value)
    return text
