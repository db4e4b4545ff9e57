"""How a text that a grammar refuses is reported: found, expected, did you mean; shared by both languages."""

from collections.abc import Iterable


def nearest(word: str, choices: Iterable[str]) -> str | None:
    """The known word that a wrong one most likely stands for, None where nothing is close."""
    from difflib import get_close_matches

    known = sorted(set(choices))
    folded = {choice.casefold(): choice for choice in reversed(known)}
    close = get_close_matches(word.casefold(), list(folded), n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def did_you_mean(word: str, choices: Iterable[str]) -> str:
    """`; did you mean "X"?`, or nothing where nothing is close."""
    close = nearest(word, choices)
    return f'; did you mean "{close}"?' if close else ""


def one_of(words: Iterable[str]) -> str:
    """`a, b or c`."""
    listed = list(dict.fromkeys(words))
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} or {listed[-1]}"


def refusal(found: str, expected: Iterable[str], hint: str = "") -> str:
    """`found "X", expected A or B; did you mean "A"?`, the one form that refusals of a text take."""
    listed = list(expected)
    shown = one_of(listed) if listed else "something else"
    what = f'"{found}"' if found else "the end"
    return f"found {what}, expected {shown}{hint or (did_you_mean(found, _bare(listed)) if found else '')}"


def _bare(words: Iterable[str]) -> list[str]:
    """The words among descriptions that can be typed as they stand."""
    return [word.strip('"') for word in words if " " not in word]
