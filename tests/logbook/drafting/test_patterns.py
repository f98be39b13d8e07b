import pytest

from wearcast.logbook.drafting.patterns import pattern_of


@pytest.mark.parametrize(
    ("names", "others", "pattern"),
    [
        (["Log"], ["Cover"], "Log"),
        (["GX-01", "GX-02", "GX-13"], ["Cover"], "GX-*"),
        (["Jan 2026", "Feb 2026"], [], "* 2026"),
        (["January", "February"], [], "*"),
        (["January 2026", "February 2026"], [], "* 2026"),
        (["Meter Jan", "Meter Feb"], [], "Meter *"),
        (["GX-01", "GX-02"], ["GX-notes"], ""),
        (["Otter", "Oriole"], [], ""),
        (["A*", "A*2"], [], ""),
    ],
)
def test_a_pattern_means_these_sheets_and_no_others(names: list[str], others: list[str], pattern):
    assert pattern_of(names, [*names, *others]) == pattern
