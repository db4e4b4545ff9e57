"""What stands beside a circuit and shares nothing with it but ground changes nothing that is said of it."""

from functools import cache

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tests.metamorphic.account import Account, Told, account, differences, entries
from tests.metamorphic.boards import BOARDS, Board, Card, board, cards, text_of

PIECES = {
    "a ladder of RC": "RA1 zza zzb 4k7\nCA1 zzb 0 10n\nRA2 zzb zzc 4k7\nCA2 zzc 0 10n\nRA3 zzc 0 1meg",
    "a lamp on a source": "VA1 zzd 0 12\nRA4 zzd zze 1k\nDA1 zze 0 LED_RED",
    "a switch with a coil": (
        "VA2 zzf 0 5\nRA5 zzg 0 100k\nMA1 zzh zzg 0 0 N_PWR\nLA1 zzf zzh 1m\nDA2 zzh zzf D_PWR"
    ),
    "a bridge": "VA3 zzi 0 1\nRA6 zzi zzj 1k\nRA7 zzi zzk 1k\nRA8 zzj 0 1k\nRA9 zzk 0 1k\nRA10 zzj zzk 1k",
    "a sheet with a filter": (
        ".subckt zzsheet zzp zzq\nRp zzp zzq 1k\nCp zzq 0 1n\n.ends\nXA1 zzl zzm zzsheet\nRA11 zzm 0 10k"
    ),
    "a plug and a test point": "JA1 zzn 0 ZZ_PLUG\nRA12 zzn 0 10k\nTP901 zzn ZZ_PAD",
    "another timing block": (
        "*@ supply zzvdd 3.2V .. 3.4V\n*@ expect XA2 frequency 1kHz +/- 8%\nVA4 zzvdd 0 3.3\n"
        "CA3 zzvdd 0 100n\nRA13 zzvdd zzcfg 37.4k 1%\nRA14 zzcfg 0 162k 1%\nRA15 zzrt 0 73.2k 1%\n"
        "XA2 zzout 0 zzcfg zzvdd zzvdd zzrt BR10\nRA16 zzout 0 10k"
    ),
}
"""Circuits of their own, on nets that no board here has."""

COUNTED = frozenset({"elements", "nets", "counts", "line"})
"""What grows with a board, and where things stand."""


@cache
def before(name: str) -> Account:
    """What is said of the board alone."""
    return account(with_models(board(name)), Told(without=COUNTED))


def with_models(of: Board) -> Board:
    """The board with the models that the pieces speak of, where it has none."""
    return of if ".include" in of.text else beside(of, [".include models.inc"])


def beside(of: Board, pieces: list[str]) -> Board:
    """The board with more beside it."""
    found = cards(of.text)
    end = [card for card in found if card.kind == "end"]
    more = [Card("element", piece, 0) for piece in pieces]
    return of._replace(text=text_of([*(card for card in found if card.kind != "end"), *more, *end]))


@pytest.mark.parametrize("name", BOARDS)
@settings(max_examples=2, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(pieces=st.lists(st.sampled_from(sorted(PIECES)), unique=True, min_size=1))
def test_what_stands_beside_a_circuit_changes_nothing(name: str, pieces: list[str]) -> None:
    """All values, facts, findings and verdicts stay; what is new is about the new alone."""
    added = beside(with_models(board(name)), [PIECES[piece] for piece in pieces])
    old, new = before(name), account(added, Told(without=COUNTED))
    assert set(entries(old)) <= set(entries(new))
    new["board"]["blocks"] = [block for block in new["board"]["blocks"] if block["path"] != "XA2"]
    new["board"]["findings"] = [found for found in new["board"]["findings"] if found["block"] != "XA2"]
    new["board"]["tally"] = old["board"]["tally"]
    new["facts"].pop("XA2", None)
    assert differences(old, new) == [], added.text
