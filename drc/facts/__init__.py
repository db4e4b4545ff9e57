"""The Book of one circuit: facts by subject and name, computed once, when asked.

Blocks, a Circuit and an Intent come in; Facts go out. Nothing is judged here. One file a pin role, one a
timing function; laws are plain array functions, a fact is a region plus a law.
"""
