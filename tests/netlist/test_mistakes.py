"""What is said of a line that cannot be read."""

from drc.netlist.read import read_text


def test_the_word_at_the_line_s_end_is_named() -> None:
    """What is wrong only once the line ends is named by its last word, never by nothing."""
    (trouble,) = read_text("t\nX1 a b w=1 l=2 inner\n.subckt inner a b\n.ends\n").troubles
    assert trouble.message.startswith("found 'inner' after the parameters of 'X1'")
