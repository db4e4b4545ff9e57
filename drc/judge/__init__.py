"""The rule language and judging: rules as text and a Book of facts come in, an Assessment goes out.

A rule is parsed, its names, units and remedies are checked, and it is compiled to closures before any
board is read. Nothing here computes a fact.
"""
