"""Voltages that drawings write into the names of rails: `+5V`, `3V3`, `VCC_1V8`."""

import re

_NAME = re.compile(
    r"(?P<sign>[+-]?)(?:P|A|D|V(?:CC|DD|SS|IN|SYS|AA|PP)?|[AD]V(?:CC|DD))?_?"
    r"(?:(?P<whole>\d{1,2})V(?P<tenths>\d{1,2})?|(?P<decimal>\d{1,2}\.\d{1,2})V?)"
    r"(?:_?(?:A|D|AUX|SB|MAIN|ANA|DIG))?",
    re.IGNORECASE,
)


def voltage_in_name(net: str) -> float | None:
    """The voltage that a net's name states, V, None if it is no rail's name (`EN_3V3`, `FB_5V`, `V1`).

    Common practice, no source: the letter V stands for the decimal point.
    """
    parts = net.split(".")
    local = (".".join(parts[start:]) for start in range(len(parts)))  # `X1.3V3`, and `+3.3V` whole
    match = next((found for found in map(_NAME.fullmatch, local) if found is not None), None)
    if match is None:
        return None
    number = match["decimal"] or f"{match['whole']}.{match['tenths'] or 0}"
    value = float(number)
    return -value if match["sign"] == "-" else value
