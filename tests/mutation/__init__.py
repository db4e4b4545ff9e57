"""Mutation testing: small mistakes planted in the code, each of which some test must notice.

`python -m tests.mutation --sample 400 --seed 2` draws mutants at random and says which share the tests kill.
No part of the tests themselves: it takes minutes.
"""
