"""The circuit: columns of elements and nets, seen through views, and its resistive arithmetic.

netlist/ builds a Circuit; every later stage reads it. Nothing here reads text, knows a part or judges.
"""
