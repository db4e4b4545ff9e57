"""Numbers with units: text such as `4.7kohm` or `2.7V .. 4.2V` comes in, quantities and spans go out.

Nothing here knows of netlists, parts or rules. All values inside are SI base units, as floats.
"""
