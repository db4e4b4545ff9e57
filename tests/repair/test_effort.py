"""What a search for remedies may cost on one board: it ends, and says where it did not go on."""

from drc.judge.model import Finding
from drc.repair.remedies import EFFORT, UNSEARCHED, search, with_remedies
from tests.contract.running import WRONG_RATE
from tests.repair.bench import bench, judged


def _wrong_time(board: str) -> Finding:
    return next(finding for finding in judged(board).findings if finding.rule == "timing-outside-intent")


def test_without_effort_left_nothing_is_searched() -> None:
    """A finding that a search could serve is told as not searched; one that none could is done with."""
    tried, before = bench(WRONG_RATE), judged(WRONG_RATE)
    finding = _wrong_time(WRONG_RATE)
    found = search(tried.book(), finding, before, tried)
    assert found.remedies
    assert found.complete
    assert found.spent > 0
    none = search(tried.book(), finding, before, tried, effort=0.0)
    assert (none.remedies, none.spoilers, none.spent, none.complete) == ((), (), 0.0, False)
    beside = finding._replace(rule="block-without-intent")
    assert search(tried.book(), beside, before, tried, effort=0.0).complete


def test_one_effort_serves_all_findings_of_a_board() -> None:
    """Where there is more to mend than it reaches, the last findings carry no remedy and say so."""
    tried, before = bench(WRONG_RATE), judged(WRONG_RATE)
    finding = _wrong_time(WRONG_RATE)
    once = search(tried.book(), finding, before, tried).spent
    many = before._replace(findings=(finding,) * (round(EFFORT / once) + 20))
    told = with_remedies(tried.book(), many, tried).findings
    assert told[0].remedies
    assert not told[-1].remedies
    assert told[-1].advice.endswith(UNSEARCHED)
