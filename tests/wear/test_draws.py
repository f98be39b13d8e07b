"""Draws from the posterior: what moves together, what stays put."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.linalg import block_diag

from wearcast.wear.causes import LAWS
from wearcast.wear.covariates import OF_QUARTERS, OPERATOR_SD, RETURNS, STAYS
from wearcast.wear.draws import draw_wear, of_draws, of_slots
from wearcast.wear.records import Spread

SLOTWISE = ("rate", "shape", "pace", "damage", "off_rate", "off_shape", "site_lift", "machine_lift")


def draw(wear, history, draws=400, seed=3, running=None, exposure=None):
    return draw_wear(
        wear,
        history.running if running is None else running,
        history.running_exposure if exposure is None else exposure,
        seed,
        draws,
    )


@pytest.fixture(scope="module")
def drawn(wear, fleet):
    return draw(wear, fleet[0], draws=4000)


def test_rates_spread_around_the_estimate_as_the_interval_says(wear, fleet, drawn):
    slot = fleet[0].running.index[fleet[0].running["wears_as"].eq("nylon brush")][0]
    rows = wear.floor_table[wear.floor_table["wears_as"].eq("nylon brush")]
    from scipy.special import gamma

    lift = drawn.site_lift[slot] + drawn.machine_lift[slot]
    life = gamma(1 + 1 / drawn.shape[slot])[:, None] / drawn.rate[slot] * np.exp(lift)[:, None]
    low, high = np.quantile(life, [0.05, 0.95], axis=0)
    # 4000 draws: a 5 % point is known to about 3 % of a standard deviation of the log (0.1).
    assert low == pytest.approx(rows["low"].to_numpy(), rel=0.02)
    assert high == pytest.approx(rows["high"].to_numpy(), rel=0.02)


def test_one_pace_a_machine_and_class(fleet, drawn):
    running = fleet[0].running
    brushes = running.index[running["machine"].eq("M003") & running["wears_as"].eq("nylon brush")]
    assert (drawn.pace[brushes[0]] == drawn.pace[brushes[1]]).all()


def test_the_same_parameters_for_the_whole_fleet(fleet, drawn):
    blades = fleet[0].running.index[fleet[0].running["wears_as"].eq("gum blade")]
    lift = drawn.site_lift[blades] + drawn.machine_lift[blades]
    bare = np.log(drawn.rate[blades]) - lift[:, :, None]
    # Single precision.
    assert bare == pytest.approx(np.broadcast_to(bare[0], bare.shape), abs=1e-5)
    assert (drawn.shape[blades] == drawn.shape[blades[0]]).all()


def test_what_a_machine_does_it_does_to_all_its_classes(fleet, drawn):
    own = fleet[0].running.index[fleet[0].running["machine"].eq("M003")]
    assert (drawn.machine_lift[own] == drawn.machine_lift[own[0]]).all()
    assert drawn.machine_lift[own[0]].std() > 0


def test_what_a_site_does_to_a_class_it_does_there_on_all_machines(fleet, drawn):
    running = fleet[0].running
    there = running.index[running["site"].eq("S1") & running["wears_as"].eq("gum blade")]
    assert (drawn.site_lift[there] == drawn.site_lift[there[0]]).all()


def test_a_site_not_in_the_log_differs_as_sites_do(wear, fleet):
    history = fleet[0]
    elsewhere = history.running.assign(site="elsewhere")
    lift = draw(wear, history, running=elsewhere, draws=4000).site_lift[0]
    spreads = wear.worn.spreads
    variance = sum(
        np.dot(np.square(spreads[name].sds), spreads[name].chances) for name in ("site", "site own")
    )
    # 4,000 draws of normals whose sd is drawn, too: 4 % of the sd, three of them.
    assert lift.std() == pytest.approx(np.sqrt(variance), rel=0.12)


def test_somebody_elses_machines_differ_by_the_operator_too(wear, fleet):
    history = fleet[0]
    ours, theirs = (
        draw_wear(wear, history.running, history.running_exposure, 3, 2000, stranger=stranger)
        for stranger in (False, True)
    )
    extra = theirs.site_lift - ours.site_lift
    assert extra == pytest.approx(np.broadcast_to(extra[0], extra.shape), abs=1e-5)
    assert extra[0].std() == pytest.approx(OPERATOR_SD, rel=0.08)


def test_pace_has_the_posterior_mean_given_the_parameters(wear, fleet, drawn):
    running = fleet[0].running
    slot = running.index[running["machine"].eq("M004") & running["wears_as"].eq("gum blade")][0]
    row = wear.machine_table.set_index(["machine", "wears_as"]).loc["M004", "gum blade"]
    hazard = drawn.pace[slot] * np.exp(drawn.shape[slot] * drawn.machine_lift[slot])
    # The mean over the parameters differs a little from the mean at the estimate (second order).
    assert hazard.mean() == pytest.approx(row["hazard"], rel=0.05)


def test_a_machine_not_in_the_log_draws_from_the_fleet(wear, fleet):
    history = fleet[0]
    unknown = history.running.assign(machine="new " + history.running["machine"])
    pace = draw(wear, history, running=unknown, draws=2000).pace
    blades = unknown["wears_as"].eq("gum blade").to_numpy()
    spread = wear.floor_table.set_index("wears_as").loc["gum blade", "pace_spread"].iloc[0]
    assert pace[blades].mean() == pytest.approx(1, abs=0.02)
    # The spread is itself uncertain (sd of its log about 0.35), and its mean above its mode.
    assert pace[blades].var() == pytest.approx(spread, rel=0.5)


def test_adding_a_machine_leaves_the_others_draws_alone(wear, fleet):
    history = fleet[0]
    whole = draw(wear, history)
    keep = history.running["machine"].ne("M000").to_numpy()
    fewer = draw(
        wear,
        history,
        running=history.running[keep].reset_index(drop=True),
        exposure=history.running_exposure[keep].reset_index(drop=True),
    )
    for name in SLOTWISE:
        assert (getattr(whole, name)[keep] == getattr(fewer, name)).all(), name


def test_unseen_class_and_floor_draw_from_the_prior_given_the_siblings(wear, fleet):
    history = fleet[0]
    running = history.running.assign(wears_as="soft blade", kind="blade").iloc[:2]
    exposure = history.running_exposure.iloc[:2].assign(ice=0.0)
    got = draw(wear, history, draws=4000, running=running, exposure=exposure)
    middle = np.median(got.rate[0], axis=0)
    floors = dict(zip(exposure.columns, middle, strict=True))
    # The blades in the log wear more than twice as fast on tile as on vinyl.
    assert floors["tile"] / floors["vinyl"] > 1.4
    sd = np.log(got.rate[0]).std(axis=0)
    assert sd[list(exposure.columns).index("ice")] > sd[list(exposure.columns).index("tile")]


def test_usual_hours_of_the_catalogue_centre_an_unseen_class(wear, fleet):
    history = fleet[0]
    running = history.running.assign(wears_as="odd thing", kind="other").iloc[:1]
    parts = pd.DataFrame({"wears_as": ["odd thing"], "usual_hours": [40.0]})
    got = draw_wear(wear, running, history.running_exposure.iloc[:1], 1, 4000, parts)
    from scipy.special import gamma

    life = gamma(1 + 1 / got.shape[0]) / got.rate[0, :, 0]
    assert np.median(life) == pytest.approx(40, rel=0.05)


def test_one_habit_a_site_class_and_edge(fleet, drawn):
    running = fleet[0].running
    there = running.index[running["site"].eq("S1") & running["wears_as"].eq("gum blade")]
    assert len(set(drawn.habit_of[there])) == 1
    worn = drawn.habit[drawn.habit_of[there[0]], LAWS.index("worn")]
    # One in five is thrown away early in the simulated fleet; the least seen of its three edge
    # numbers ended some 30 times at the site: four standard errors of a share.
    assert worn[:3].mean(axis=1) == pytest.approx([0.2] * 3, abs=4 * np.sqrt(0.16 / 30))
    # The last edge always takes the part with it.
    assert (worn[3] == 1).all()


def test_quarters_without_a_calendar_in_the_log_wear_alike(drawn):
    assert (drawn.stress == 1).all()


def with_quarters(wear, fleet, sds):
    """Draws where the log showed quarters to differ by so much, and else by nothing."""
    sds = {**dict.fromkeys(OF_QUARTERS, 1e-9), **sds}
    spreads = {name: Spread((sd,), (1.0,)) for name, sd in sds.items()}
    worn = replace(wear.worn, spreads={**wear.worn.spreads, **spreads})
    return draw(replace(wear, worn=worn), fleet[0], draws=3000)


@pytest.fixture(scope="module")
def stressed(wear, fleet):
    """Draws where the log showed quarters to differ by a tenth, and a site's own by a twentieth."""
    return with_quarters(wear, fleet, {"quarter": 0.1, "site quarter": 0.05})


def test_a_quarter_ahead_is_felt_at_all_sites(stressed):
    first, second = np.log(stressed.stress[:2])
    # Variances .01 shared and .0025 own; a correlation of .8 from 72,000 numbers.
    assert first.std() == pytest.approx(np.sqrt(0.0125), rel=0.02)
    assert np.corrcoef(first.ravel(), second.ravel())[0, 1] == pytest.approx(0.8, abs=0.02)


def test_quarters_ahead_do_not_follow_each_other(stressed):
    log = np.log(stressed.stress[0])
    assert abs(np.corrcoef(log[:, 0], log[:, 1])[0, 1]) < 4 / np.sqrt(3000)


def test_what_stays_goes_on_from_quarter_to_quarter(wear, fleet):
    sds = {"quarter": 0.1, "quarter stays": 4.0}
    log = np.log(with_quarters(wear, fleet, sds).stress[0])
    # A walk of variance .008 a quarter, and .002 of each quarter's own.
    assert log.var(axis=0)[[0, 3, 7]] == pytest.approx([0.010, 0.034, 0.066], rel=0.12)
    assert np.corrcoef(log[:, 6], log[:, 7])[0, 1] == pytest.approx(
        0.056 / np.sqrt(0.058 * 0.066), abs=0.02
    )


@pytest.mark.parametrize("effect", STAYS)
def test_what_returns_is_alike_a_year_apart(wear, fleet, effect):
    log = np.log(with_quarters(wear, fleet, {effect: 0.1, RETURNS[effect]: 3.0}).stress[0])
    apart = np.corrcoef(log.T)[0, [1, 4, 8]]
    assert apart == pytest.approx([0, 0.75, 0.75], abs=4 / np.sqrt(3000))


def test_a_season_of_the_log_comes_again(wear, fleet):
    # Three quarters back by .3, as is the one ahead; half of what a quarter does returns.
    terms = tuple(f"quarter[{number}]" for number in range(4))
    worn = replace(
        wear.worn,
        terms=(*wear.worn.terms, *terms),
        mean=np.append(wear.worn.mean, [0, 0, 0, 0.3]),
        cov=block_diag(wear.worn.cov, 1e-12 * np.eye(4)),
    )
    drawn = with_quarters(replace(wear, worn=worn), fleet, {"quarter": 0.2, "quarter returns": 1.0})
    log = np.log(drawn.stress[0][:, :4])
    assert log.mean(axis=0) == pytest.approx([0.15, 0, 0, 0], abs=0.015)
    assert log.var(axis=0) == pytest.approx([0.02 + 0.01] * 4, rel=0.1)


def pairs(wear, fleet, share):
    running = fleet[0].running
    drawn = draw(replace(wear, paired={"nylon brush": share}), fleet[0], draws=2)
    return running, drawn.twin


def test_both_edges_of_a_machine_are_twins_where_most_ends_were_handled_together(wear, fleet):
    running, twin = pairs(wear, fleet, 0.8)
    own = running.index[running["machine"].eq("M003") & running["wears_as"].eq("nylon brush")]
    assert twin[own].tolist() == [-1, own[0]]
    assert (twin[running["wears_as"].ne("nylon brush")] == -1).all()


def test_edges_handled_one_by_one_are_no_twins(wear, fleet):
    assert (pairs(wear, fleet, 0.3)[1] == -1).all()


def test_some_draws_or_slots_are_those_of_the_whole(stressed):
    some = of_slots(of_draws(stressed, np.array([5, 2])), np.array([3, 0]))
    assert (some.rate == stressed.rate[[3, 0]][:, [5, 2]]).all()
    assert (some.habit == stressed.habit[..., [5, 2]]).all()
    assert some.habit_of.tolist() == stressed.habit_of[[3, 0]].tolist()
    assert (some.stress == stressed.stress[:, [5, 2]]).all()
