"""Shares of one set at the ends of what is scaled; arithmetic by hand."""

import numpy as np
import pytest

from tests.logbook.rules.test_names import drafts
from wearcast.logbook.findings.drafts import Finding, settle
from wearcast.logbook.rules.shares import check_shares, in_fractions


def floors(*shares, **more):
    """One machine's floors with these shares, checked: shares, states and what is told."""
    rows = [
        {"machine": "M1", "floor": f"f{at}", "share": share, **more}
        for at, share in enumerate(shares)
    ]
    return check_shares(drafts(floors=rows)["floors"])


def said(draft):
    return [(one.severity, one.wrong) for one in draft.told]


@pytest.mark.parametrize(
    ("shares", "read"),
    [
        ((0.5, 0.45), (0.5 / 0.95, 0.45 / 0.95)),
        ((0.55, 0.5), (0.55 / 1.05, 0.5 / 1.05)),
        ((50, 45), (0.5 / 0.95, 0.45 / 0.95)),
        ((55, 50), (0.55 / 1.05, 0.5 / 1.05)),
        ((1.0, np.nan), (1.0, 0.0)),
        ((100, np.nan), (1.0, 0.0)),
        ((0.25, np.nan, np.nan), (0.25, 0.375, 0.375)),
        ((40, np.nan, np.nan), (0.4, 0.3, 0.3)),
        ((1.04, np.nan), (1.0, 0.0)),
        ((np.nan, np.nan), (0.5, 0.5)),
        ((0.333, 0.333, 0.333), (1 / 3, 1 / 3, 1 / 3)),
    ],
    ids=str,
)
def test_a_sum_up_to_five_hundredths_off_is_scaled(shares, read):
    draft = floors(*shares)
    assert draft.frame["share"].tolist() == pytest.approx(list(read))
    assert draft.frame["state"].eq("used").all()


@pytest.mark.parametrize("shares", [(0.5, 0.449), (0.55, 0.501), (50, 44.9), (55, 50.1), (0.0,)])
def test_a_sum_further_off_is_set_aside_with_what_it_is(shares):
    draft = floors(*shares)
    assert draft.frame["state"].eq("set aside").all()
    (told,) = said(draft)
    assert told == (
        "set aside",
        f"the shares of M1 sum to {sum(shares):.4g}, which is neither 1 nor 100",
    )


@pytest.mark.parametrize(
    ("shares", "told"),
    [
        ((0.5, 0.5), []),
        ((0.333, 0.333, 0.333), []),
        ((0.5, 0.4986), []),
        ((0.5, 0.4984), [("repaired", "the shares of M1 sum to 0.9984; scaled to 1")]),
        ((50, 49), [("repaired", "the shares of M1 sum to 99; scaled to 1")]),
    ],
    ids=str,
)
def test_what_a_third_of_decimals_leaves_over_is_not_told(shares, told):
    assert said(floors(*shares)) == told


def test_limits_of_a_share_are_in_its_unit():
    draft = floors(100, share_low=80, share_high=100)
    assert draft.frame[["share", "share_low", "share_high"]].to_numpy().tolist() == [[1, 0.8, 1]]
    assert said(draft) == []
    plain = floors(1, share_low=0.8, share_high=1)
    assert plain.frame["share_low"].tolist() == [0.8]


@pytest.mark.parametrize(("low", "high"), [(0.7, 0.9), (0.2, 0.5)])
def test_limits_that_a_share_lies_outside_count_as_blank(low, high):
    draft = floors(0.6, 0.4, share_low=low, share_high=high)
    off = [not low <= share <= high for share in (0.6, 0.4)]
    assert draft.frame["share_low"].isna().tolist() == off
    assert draft.frame["share_high"].isna().tolist() == off
    assert [one.severity for one in draft.told] == ["set aside"]
    assert draft.frame["state"].eq("used").all()


def sets(*dated):
    rows = [
        {"machine": name, "floor": floor, "share": 1.0, "since": since}
        for name, floor, since in dated
    ]
    found = check_shares(drafts(floors=rows)["floors"]).frame
    return [f"{day:%d}" if day == day else "" for day in found["since"]]


def test_the_earliest_set_of_each_machine_holds_from_its_beginning():
    dated = [("A", "x", "2026-01-05"), ("A", "y", "2026-02-09"), ("B", "x", "2026-02-10")]
    assert sets(*dated) == ["", "09", ""]
    assert sets(("A", "x", None), ("A", "y", "2026-02-09")) == ["", "09"]


def test_the_rest_of_a_set_goes_with_a_row_that_was_set_aside():
    rows = [
        {"machine": "A", "floor": "x", "share": 0.6},
        {"machine": "A", "floor": "y", "share": 0.4, "state": "set aside"},
        {"machine": "A", "floor": "z", "share": 1.0, "state": "ignored"},
        {"machine": "A", "floor": "x", "share": 1.0, "since": "2026-02-09"},
        {"machine": "B", "floor": "x", "share": 1.0},
        {"machine": "", "floor": "y", "share": 0.4, "state": "set aside"},
    ]
    draft = check_shares(drafts(floors=rows)["floors"])
    assert draft.frame["state"].tolist() == [
        "set aside", "set aside", "ignored", "used", "used", "set aside",
    ]  # fmt: skip


def test_a_finding_on_several_rows_says_that_others_go_with_one_of_them():
    rows = [{"machine": name, "floor": floor, "share": 0.5} for name, floor in
            (("A", "x"), ("A", "y"), ("B", "x"), ("C", "x"), ("C", "y"))]  # fmt: skip
    found = [
        Finding([1, 2], "floor", "set aside", "row", "is odd"),
        Finding([2], "floor", "set aside", "row", "is odd"),
        Finding([0], "floor", "note", "kept", "is odd"),
    ]
    draft = check_shares(settle(drafts(floors=rows)["floors"], found))
    company = "is odd; the machine's other floors of that date go with it"
    assert [one.wrong for one in draft.told] == [company, "is odd", "is odd"]
    assert draft.frame["state"].tolist() == ["set aside"] * 3 + ["used"] * 2


def shares_of(*rows):
    """Shares of one machine's floors, each with the sheet it stands in, as fractions."""
    made = [{"machine": "M1", "floor": f"f{at}", "share": one} for at, (one, _) in enumerate(rows)]
    draft = drafts(floors=made)["floors"]
    draft.frame["origin"] = [origin for _, origin in rows]
    return in_fractions(draft).frame["share"].tolist()


def test_a_sheet_of_percentages_beside_one_of_fractions_is_read_as_fractions():
    assert shares_of((60.0, 0), (40.0, 0), (0.6, 1), (0.4, 1)) == [0.6, 0.4, 0.6, 0.4]
    # What does not sum to 100 in its sheet is left for the rule about sums.
    assert shares_of((60.0, 0), (30.0, 0)) == [60.0, 30.0]
    assert shares_of((60.0, 0), (40.0, 1)) == [60.0, 40.0]
