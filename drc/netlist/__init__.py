"""Text to Circuit: files and includes, grammar, expressions, hierarchy; one reader a format.

Text behind `*@` is handed on untouched. Nothing here knows a part, an intent or a rule.
"""
