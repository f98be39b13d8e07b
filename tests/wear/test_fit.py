"""The fit through its own door: what comes out of a history."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from tests.conftest import table
from tests.wear.fleet import AS_OF, Truth, catalogue, choices, history_of, simulate
from tests.wear.published import NIST, lives
from wearcast.wear.fit import fit_wear


def spells_of(hours, ended, machines=None, floor="vinyl", part="gum blade", kind="blade"):
    """A history of spells of one part on one floor, a machine each unless told."""
    size = len(hours)
    names = [f"M{n:03d}" for n in range(size)] if machines is None else machines
    spells = pd.DataFrame(
        {
            "machine": names,
            "site": "Hall",
            "position": "front blade",
            "part": part,
            "wears_as": part,
            "kind": kind,
            "edge": 1.0,
            "edges": 4.0,
            "start": AS_OF - pd.to_timedelta(np.arange(size)[::-1] + 30, unit="D"),
            "end": AS_OF,
            "hours": hours,
            "cause": np.where(ended, "worn", "running"),
            "ended": np.where(ended, "turn", "running"),
            "replaced": False,
            "pieces": 1.0,
            "end_turns": 0,
            "in_fit": True,
        }
    )
    return history_of(spells, pd.DataFrame({floor: hours}))


def parts_of(*rows):
    """A catalogue: (wears_as, kind, edges, usual_hours)."""
    frame = pd.DataFrame(rows, columns=["wears_as", "kind", "edges", "usual_hours"])
    return frame.assign(part=frame["wears_as"])


BLADE = parts_of(("gum blade", "blade", 4.0, np.nan))


@pytest.mark.parametrize("alone", [True, False], ids=["a machine each", "one machine"])
def test_data_only_gives_nist_8_4_1_3(alone):
    hours, ended = lives(NIST)
    history = spells_of(hours, ended == 1, None if alone else ["M1"] * len(hours))
    wear = fit_wear(history, BLADE, choices(fit="data only", pace="off"))
    # NIST 8.4.1.3 (seen, reproduced): mean 540.737, beta 1.7208, log-likelihood -75.135.
    row = wear.floor_table.iloc[0]
    assert (row["hours_per_edge"], row["shape"]) == pytest.approx((540.73703, 1.720797), rel=1e-6)
    results = wear.fits["gum blade"]
    assert results.llf == pytest.approx(-75.13462, abs=1e-5)
    assert results.params == pytest.approx([-np.log(606.52756), np.log(1.720797)], abs=2e-6)
    assert results.bse == pytest.approx([124.911 / 606.52756, 0.50215 / 1.720797], rel=1e-4)
    assert results.conf_int().shape == (2, 2)
    assert "log shape[gum blade]" in str(results.summary())


def test_data_only_without_a_difference_between_machines_says_so():
    hours, ended = lives(NIST)
    wear = fit_wear(
        spells_of(hours, ended == 1, ["M1"] * len(hours)), BLADE, choices(fit="data only")
    )
    assert wear.floor_table["pace_spread"].tolist() == [0.0]
    assert "gum blade: the data show no difference between machines" in words_of(wear)


def words_of(wear):
    return [problem.wrong for problem in wear.told]


def test_without_a_spell_the_usual_hours_are_forecast_and_called_typical():
    history = spells_of(np.array([10.0]), np.array([False]))
    parts = parts_of(("gum blade", "blade", 4.0, 80.0), ("felt", "other", 1.0, np.nan))
    wear = fit_wear(history, parts, choices())
    rows = wear.floor_table.set_index("wears_as")
    assert rows.loc["gum blade", "basis"] == "typical"
    # An edge that ran 10 h and still runs moves a prior of 80 h, sd of log 0.78, to 83.3 h: the
    # posterior mean of log life, by summing over a grid of rate, shape and spread (computed here).
    # The machine of mean hazard wears 2.5 % faster than the middle one: half of k, 2.2, times the
    # prior's mean variance of machines, 0.08^2 exp(2 x 0.8^2).
    assert rows.loc["gum blade", "hours_per_edge"] == pytest.approx(83.3 / 1.025, rel=0.03)
    assert rows.loc["felt", "basis"] == "typical"
    assert rows.loc["felt", "high"] / rows.loc["felt", "low"] > 100
    assert any(text.startswith("felt has no spell in the log") for text in words_of(wear))
    assert any(text.startswith("gum blade has no worn end") for text in words_of(wear))


def test_without_a_worn_end_data_only_gives_no_number():
    history = spells_of(np.array([10.0, 20.0]), np.array([False, False]))
    wear = fit_wear(history, BLADE, choices(fit="data only"))
    row = wear.floor_table.iloc[0]
    assert np.isnan([row[name] for name in ("hours_per_edge", "low", "high", "shape")]).all()
    assert row["basis"] == ""
    assert (
        "gum blade: the data alone give no hours on vinyl; the forecast takes a typical life there"
        in words_of(wear)
    )


@pytest.fixture(scope="module")
def halves():
    """Every machine half on vinyl, half on tile."""
    truth = Truth(positions={"front blade": "gum blade"})
    history, parts, _ = simulate(truth, 3, machines=12, hours=1500)
    total = history.exposure.sum(axis=1)
    exposure = pd.DataFrame({"tile": total / 2, "vinyl": total / 2})
    return history_of(history.spells, exposure), parts


def test_floors_always_mixed_alike_stay_wide_and_are_told(halves):
    wear = fit_wear(*halves, choices())
    rows = wear.floor_table[wear.floor_table["wears_as"].eq("gum blade")]
    # Only the sum of two rates is known; each alone keeps most of its prior, sd of log 0.5 or so.
    assert (rows["high"] / rows["low"] > 3).all()
    assert (rows["basis"] != "measured").all()
    assert any("tile and vinyl in nearly the same shares" in text for text in words_of(wear))


def test_floors_always_mixed_alike_have_no_plain_estimate(halves):
    wear = fit_wear(*halves, choices(fit="data only"))
    rows = wear.floor_table[wear.floor_table["wears_as"].eq("gum blade")]
    assert rows["hours_per_edge"].isna().all()
    assert np.isfinite(rows["shape"]).all()


def test_a_class_learns_a_floor_from_its_siblings(truth):
    history, parts, _ = simulate(truth, 5, machines=30)
    blades = history.spells["wears_as"].eq("hard blade")
    off_tile = history.exposure["tile"].eq(0)
    keep = ~blades | off_tile
    spells, exposure = history.spells[keep], history.exposure[keep]
    wear = fit_wear(history_of(spells, exposure), parts, choices())
    rows = wear.floor_table.set_index(["wears_as", "floor"]).loc["hard blade"]
    row = rows.loc["tile"]
    # The gum blade wears 2.5 times faster on tile than on vinyl; the hard one is thought alike.
    assert rows.loc["vinyl", "hours_per_edge"] > 1.6 * row["hours_per_edge"]
    assert row["basis"] == "blended"
    assert row["spells"] == 0


def test_an_edge_that_lasts_too_long_is_told_and_left_out(fleet):
    history, parts, _ = fleet
    exposure, spells = history.exposure.copy(), history.spells.copy()
    label = spells.index[spells["ended"].eq("running") & spells["wears_as"].eq("gum blade")][0]
    exposure.loc[label] *= 900 / exposure.loc[label].sum()
    spells.loc[label, "hours"] = 900.0
    wear = fit_wear(history_of(spells, exposure), parts, choices())
    place = f"{spells.loc[label, 'machine']}, {spells.loc[label, 'position']}"
    told = [problem for problem in wear.told if problem.value == place]
    assert [problem.wrong for problem in told] == [
        "this edge would be at work for 900 h by now, which hardly any would last; it is left out "
        "of the fit"
    ]
    assert label not in wear.spells["gum blade"].spell


def test_row_order_does_not_matter(fleet, wear):
    history, parts, _ = fleet
    shuffled = history.spells.sample(frac=1, random_state=4).index
    other = replace(
        history,
        spells=history.spells.loc[shuffled],
        exposure=history.exposure.loc[shuffled],
        until_silence=history.until_silence.loc[shuffled],
        end_mix=history.end_mix.loc[shuffled],
    )
    again = fit_wear(other, parts.iloc[::-1], choices())
    pd.testing.assert_frame_equal(again.floor_table, wear.floor_table, check_exact=True)


def test_pace_off_makes_all_machines_alike(fleet):
    history, parts, _ = fleet
    wear = fit_wear(history, parts, choices(pace="off"))
    assert wear.machine_table["pace"].eq(1).all()
    assert wear.floor_table["pace_spread"].eq(0).all()


def test_planned_ends_that_cluster_are_told_by_name(fleet):
    history, parts, _ = fleet
    spells = history.spells.copy()
    chosen = spells.index[spells["site"].eq("S1") & spells["cause"].eq("worn")][:8]
    spells.loc[chosen, "cause"] = "planned"
    spells.loc[chosen, ["wears_as", "part"]] = "gum blade"
    spells.loc[chosen, "hours"] = np.linspace(95, 105, 8)
    spells = spells[~(spells["cause"].eq("planned") & ~spells.index.isin(chosen))]
    history = history_of(spells, history.exposure.loc[spells.index])
    told = words_of(fit_wear(history, parts, choices()))
    assert (
        "8 planned ends of gum blade at S1 lie close around 100 h: they look like a schedule, "
        "and the forecast goes on with it" in told
    )


def test_counts_of_mixed_spells_are_shared_by_wear(fleet, wear):
    history, _, _ = fleet
    rows = wear.floor_table.groupby("wears_as")[["spells", "worn", "running"]].sum()
    used = history.spells[history.spells.index.isin(wear.spells["gum blade"].spell)]
    assert rows.loc["gum blade"].tolist() == pytest.approx(
        [len(used), used["cause"].eq("worn").sum(), used["cause"].eq("running").sum()]
    )


def test_the_busiest_floor_is_the_measure_of_the_others(wear):
    for _, rows in wear.floor_table.groupby("wears_as"):
        assert rows.loc[rows["hours"].idxmax(), "relative"] == 1.0
        assert rows.loc[rows["hours"].idxmax(), "relative_low"] == 1.0


def test_an_empty_history_still_gives_typical_lives():
    spells = table("""
        machine  site  position  part  wears_as  kind  edge  edges  hours  cause  ended
        M1       A     front     x     x         pad   1     2      1      worn   turn
    """).assign(start=AS_OF, end=AS_OF, replaced=False, pieces=1.0, end_turns=0, in_fit=False)
    wear = fit_wear(
        history_of(spells, pd.DataFrame({"vinyl": [1.0]})), catalogue(Truth()), choices()
    )
    assert wear.floor_table["basis"].eq("typical").all()
    assert len(wear.machine_table) == 0


def test_no_spell_at_all_still_gives_typical_lives(fleet):
    history, parts, _ = fleet
    wear = fit_wear(
        history_of(history.spells.iloc[:0], history.exposure.iloc[:0]), parts, choices()
    )
    assert wear.floor_table["basis"].eq("typical").all()
    assert wear.machine_table.empty


def test_classes_without_a_spell_change_nothing_for_the_others(fleet, wear):
    history, parts, _ = fleet
    unused = pd.DataFrame(
        {
            "part": [f"spare {number}" for number in range(30)],
            "wears_as": [f"spare {number}" for number in range(30)],
            "kind": "blade",
            "edges": 4.0,
            "usual_hours": np.nan,
        }
    )
    more = fit_wear(history, pd.concat([parts, unused]), choices())
    seen = more.floor_table[more.floor_table["wears_as"].isin(wear.classes)]
    pd.testing.assert_frame_equal(seen.reset_index(drop=True), wear.floor_table, rtol=1e-9)


def test_data_only_with_too_few_ends_for_a_shape_gives_no_number():
    # Two equal lives: the likelihood grows without end as the shape does.
    history = spells_of(np.array([50.0, 50.0, 50.0]), np.array([True, True, True]))
    wear = fit_wear(history, BLADE, choices(fit="data only"))
    assert wear.floor_table["hours_per_edge"].isna().all()
    assert wear.floor_table["shape"].isna().all()
    assert "the fit of gum blade did not settle" in words_of(wear)


def test_quarters_in_which_everything_wears_fast_are_seen(truth):
    # Every second quarter everything wears half as fast again.
    history, parts, _ = simulate(truth, 4, machines=12, hours=1200)
    spells = history.spells.reset_index(drop=True)
    quarter = np.arange(len(spells)) % 8
    exposure = history.exposure.reset_index(drop=True).div(np.where(quarter % 2, 1.5, 1.0), axis=0)
    quarters = pd.DataFrame({"spell": spells.index, "quarter": quarter, "hours": 1.0})
    asked = replace(history_of(spells, exposure), spell_quarters=quarters)
    wear = fit_wear(asked, parts, choices())
    effects = dict(zip(wear.worn.terms, wear.worn.mean, strict=True))
    slow, fast = (
        np.mean([effects[f"quarter[{number}]"] for number in range(first, 8, 2)])
        for first in (0, 1)
    )
    # Shrunk: eight quarters tell their sd, .2, against a usual one of .03.
    assert 0.5 * np.log(1.5) < fast - slow < 1.2 * np.log(1.5)
    assert wear.worn.spreads["quarter"].mean > 0.1
