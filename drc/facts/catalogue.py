"""The catalogue: every fact by name, with its subject, kind and meaning, and the function behind it."""

from collections.abc import Mapping

from drc.blocks.model import Board
from drc.facts.behind_output import behind_output_entries
from drc.facts.block_facts import block_entries
from drc.facts.board import board_entries
from drc.facts.book import Book, Catalogue
from drc.facts.bypass import bypass_entries
from drc.facts.charging_load import charging_entries
from drc.facts.consumption import consumption_entries
from drc.facts.expect_facts import expect_entries
from drc.facts.feeding import feeding_entries
from drc.facts.input_levels import input_level_entries
from drc.facts.inputs import input_entries
from drc.facts.intended import intended_entries
from drc.facts.model import Entry
from drc.facts.modulate_range import modulate_range_entries
from drc.facts.net_facts import net_entries
from drc.facts.options import FactOptions
from drc.facts.output import output_entries
from drc.facts.output_net import output_net_entries
from drc.facts.pair_facts import pair_entries
from drc.facts.part_choice import part_choice_entries
from drc.facts.rate_facts import rate_entries
from drc.facts.rate_neighbours import rate_neighbour_entries
from drc.facts.rc_care import rc_care_entries
from drc.facts.strap_facts import strap_entries
from drc.facts.strap_readers import strap_reader_entries
from drc.facts.stress import stress_entries
from drc.facts.subjects import subjects
from drc.facts.supplies import supply_entries
from drc.facts.timing import timing_entries
from drc.intent.model import Intent

ENTRIES: tuple[Entry, ...] = (
    *block_entries(),
    *supply_entries(),
    *strap_entries(),
    *strap_reader_entries(),
    *rate_entries(),
    *timing_entries(),
    *rc_care_entries(),
    *modulate_range_entries(),
    *part_choice_entries(),
    *rate_neighbour_entries(),
    *behind_output_entries(),
    *output_entries(),
    *output_net_entries(),
    *charging_entries(),
    *input_entries(),
    *input_level_entries(),
    *consumption_entries(),
    *bypass_entries(),
    *feeding_entries(),
    *expect_entries(),
    *intended_entries(),
    *pair_entries(),
    *net_entries(),
    *stress_entries(),
    *board_entries(),
)
"""All of them, grouped by what they are about."""

BY_NAME: Mapping[str, Entry] = {line.name: line for line in ENTRIES}
"""Their lines by name."""

STANDARD = FactOptions()
"""The options of a review without settings."""

_CATALOGUE = Catalogue({name: line.compute for name, line in BY_NAME.items()}, subjects)


def open_book(board: Board, intent: Intent, options: FactOptions = STANDARD) -> Book:
    """The Book of a board under its statements, with every fact of the catalogue."""
    return Book(board, intent, options, _CATALOGUE)
