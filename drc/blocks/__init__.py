"""Part files, and the timing blocks of a circuit with the roles of their pins.

A Circuit and the text of part files come in; Parts and Blocks go out. No value is computed here.
"""
