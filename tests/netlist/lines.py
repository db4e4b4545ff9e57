"""Element lines made at random from pieces met in real netlists, for tests that compare two readers."""

from random import Random

NODES = (
    "0",
    "1",
    "a",
    "b",
    "gnd",
    "VDD",
    "net@7",
    "N$12",
    "o<3>",
    "a_232_47#",
    "/CLK",
    "-5V",
    "+5V",
    "a.b",
    "x[1]",
    "?",
    "$N_0002",
    "Net-;1-Pad1",
    "Net-(R1-Pad1)",
    "Net-()",
    "*",
    "n!",
    "out~",
    "1k",
    "vb:2",
    "a/b",
    "é",
    "µ2",
    "@x",
    "100",
)
VALUES = (
    "10k",
    "4k7",
    "1M",
    "1MEG",
    "100n",
    "0.1u",
    "2R2",
    "DNP",
    "R",
    "{RT}",
    "{RT*2}",
    "'RT*2'",
    "1uF/50V",
    "10kΩ",
    "1e-9",
    ".5",
    "5%",
    "1e3Ohm",
    "4,7u",
    "{a b}",
    "{",
    "}",
    "RMOD",
    "47",
    "1M2",
)
PAIRS = (
    "tc=1,2",
    "w=1u",
    "l={LN}",
    "m=2",
    "ic=0",
    "k = 3",
    "tol=1%",
    "area=2",
    "x='a+b'",
    "q=(1 2)",
    "=",
    "z=",
    "=2",
    "i=c=0",
    "a==1",
    "{RT=}",
    "k={a=b}",
)
PARTS = ("QMOD", "1n47002", "2Q7000", "nch", "HA10", "off", "X1", "5", "sub-7", "OFF", "a/b")
TAILS = (
    "; comment",
    "$ comment",
    "// comment",
    "$[CP]",
    "params:",
    "PARAMS: k=1",
    "\\",
    "(1",
    "1)",
    "(x)",
    "?",
    '"q"',
)
HEADS = "RRRCCLVIDDQQMMXXXUEGBFHTSJKZAPWONY"


def element_line(random: Random) -> str:
    """One line: most of them plain and right, some odd, some broken."""
    letter = random.choice(HEADS)
    head = random.choice((letter, letter.lower())) + random.choice(("1", "22", "_x", "", "a<3>", "-7", "é"))
    count = {"R": 2, "C": 2, "L": 2, "V": 2, "I": 2, "D": 2, "Q": 3, "M": 4}.get(letter, random.randrange(7))
    if random.random() < 0.1:
        count = random.randrange(7)
    words = [head, *(random.choice(NODES) for _ in range(count))]
    if letter in "RCLVI" or random.random() < 0.2:
        words.append(random.choice(VALUES))
    else:
        words.append(random.choice(PARTS))
    while random.random() < 0.3:
        words.append(
            random.choice(PAIRS if random.random() < 0.6 else VALUES if random.random() < 0.5 else TAILS)
        )
    if random.random() < 0.05:
        words.insert(
            random.randrange(len(words)), random.choice(("(", ")", ",", "=", "/", "{x}", "'", "\x0c"))
        )
    return random.choice((" ", " ", "  ", "\t")).join(words) + random.choice(("", "", "", " ", " ; end"))


def broken_over_lines(line: str, random: Random) -> str:
    """The same line with some blanks turned into continuations, comments and blank lines between."""
    words = line.split(" ")
    joints = ("\n+ ", "\r\n+", "\n* note\n+ ", "\n\n+ ", "\n  ; note\n+\t", " \\\n", "\r+ ")
    return "".join(w + (random.choice(joints) if random.random() < 0.4 else " ") for w in words).rstrip(" ")
