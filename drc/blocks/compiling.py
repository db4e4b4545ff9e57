"""The text of part files to checked Parts: the slow way, taken when the cache does not know the text."""

from collections.abc import Mapping, Sequence

from drc.blocks.merge import Raw, merged, owner_of, read_raw, refuse_ties
from drc.blocks.model import Part
from drc.blocks.refusal import At, Source, key_place
from drc.blocks.schema import build_part
from drc.trouble import InputError, Trouble


def compile_parts(sources: Sequence[Source]) -> tuple[Part, ...]:
    """Every part in force, in the order of first definition. Raises InputError with every refusal."""
    sink: list[Trouble] = []
    raws = read_raw(sources, sink)
    refuse_ties(raws.values(), sink)
    parts = tuple(_part(raw, raws, sink) for raw in raws.values())
    if sink:
        order = {source.path: i for i, source in enumerate(sources)}
        unique = dict.fromkeys(sink)
        raise InputError(*sorted(unique, key=lambda t: (order[t.place.path], t.place.line, t.place.column)))
    return parts


def _part(raw: Raw, raws: Mapping[str, Raw], sink: list[Trouble]) -> Part:
    """One part of a merged table; a refusal is told of the definition that wrote the refused value."""
    table, chain = merged(raw, raws, sink)
    whole = "like" not in chain[-1].table
    place = key_place(raw.source, ("part", raw.name))
    return build_part(raw.name, place, table, At(lambda keys: owner_of(chain, keys), sink), whole)
