"""A logical line taken apart: by hand where it is plainly in order, else by the grammar."""

from drc.netlist.words import Statement, UnsureError, split_words, take_apart


def read_statement(text: str, start: int, end: int) -> Statement:
    """The statement of the logical line that runs from `start` to `end` of the file's text.

    Raises LineError where the grammar refuses it.
    """
    try:
        return take_apart(split_words(text, start, end))
    except UnsureError:
        from drc.netlist.grammar import grammar_statement

        return grammar_statement(text, start, end)
