"""What is worth saying of a line that does read: values that are none, milli or mega, other languages."""

from drc.netlist.cards import FOREIGN, Card
from drc.netlist.words import Word
from drc.quantity.notation import MChoice, read_value


def unreadable_value(card: Card, text: str) -> Word | None:
    """The words on an R, C or L line that stand for its value and are none; None where all is well.

    A single word there may be a model's or a symbol's name; several that make no value together are
    a net's name with blanks in it, or prose.
    """
    if card.kind not in "RCL":
        return None
    bare = [word for word in card.tail if word.kind != "p"]
    if len(bare) < 2 or any(word.kind != "w" for word in bare):
        return None
    start, end = bare[0].start, bare[-1].end
    whole = " ".join(text[start:end].split())
    if read_value(whole, card.kind).value is not None:
        return None
    if read_value(bare[0].text, card.kind).value is not None and all(_is_option(w) for w in bare[1:]):
        return None
    return Word(text[start:end], start, end)


def _is_option(word: Word) -> bool:
    """Whether a word after the value may stand there without being part of it."""
    return word.text.isidentifier() or read_value(word.text, "").value is not None


def doubtful_m(text: str, m_means: MChoice) -> str | None:
    """What to say of a resistor's value whose capital M may be milli or mega; None where it is clear."""
    found = read_value(text, "R", m_means)
    if not found.both_m or found.value is None:
        return None
    if found.pointed:
        plain = float(text[: text.index("M")]) / 1e3
        return (
            f"'{text}' is read as {found.value:g} ohm (the letter as decimal point); by the rule of the"
            f" language it would be {plain:g} ohm; write MEG, or choose in settings"
        )
    return (
        f"'{text}' is read as {found.value:g} ohm by the rule of the language (M is milli); a board usually"
        f" means {found.value * 1e9:g} ohm (write MEG, or choose in settings)"
    )


def is_foreign(card: Card, brackets: bool) -> bool:
    """Whether a line puts its nodes in brackets before the component's word, as another language does."""
    if not brackets:
        return False
    words = [card.part, *card.tail] if card.part else list(card.tail)
    return any(word.kind == "w" and word.text.lower() in FOREIGN for word in words[:2])
