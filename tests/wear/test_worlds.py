"""Worlds that are not the model's, small: what is said of each against what is true of it.

The simulator, its worlds, the full studies and their results are in ``tests/studies/worlds``. A
year's mean is held against the mean of many true years from the same state, so what is left is the
luck of the log: an estimate from n ends errs by about an end's own relative spread over the square
root of n. Three such errors are allowed beside what is asked for.
"""

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.studies.worlds import asked
from tests.studies.worlds.cases import Case, case_of
from tests.studies.worlds.days import endurances
from tests.studies.worlds.fleet import make_fleet
from tests.studies.worlds.judge import use_rows
from tests.studies.worlds.settings import WORLDS
from tests.studies.worlds.written import live


@cache
def small(name: str, seed: int = 1) -> Case:
    """A fleet of fourteen machines of a world, where that world does not say otherwise."""
    world = WORLDS[name]
    if name not in ("low-hours", "thin-log"):
        world = replace(world, machines=(14, 14), weeks=(91,))
    return case_of(name, seed, draws=200, replications=60, world=world)


def ratio(rows: Iterable[tuple[str, float, float]], measure: str) -> float:
    """Sum of what a measure has above over the sum below."""
    kept = [(above, below) for name, above, below in rows if name.startswith(measure)]
    assert kept, measure
    above, below = np.sum(kept, axis=0)
    return float(above / below)


def year(case: Case, kind: str) -> float:
    """The fleet's year, said over true."""
    return ratio(use_rows(case), f"mean over truth, year, {kind}")


def luck(case: Case, kind: str) -> float:
    """Three standard errors of a rate learnt from so many ends."""
    fleet = case.lived.fleet
    ends = (fleet.column("kind")[case.lived.ends.place] == kind).sum()
    return 3 * float(fleet.column("unevenness")[fleet.column("kind") == kind][0] / np.sqrt(ends))


def test_hours_of_edges_add_up_to_the_hours_run():
    lived = live(make_fleet(replace(WORLDS["thin-log"], quiet_days=0), 3))
    ran = (lived.meters[-1] - lived.begin.meter[0])[lived.fleet.column("machine")].sum()
    spells = sum(hours.sum() for _, hours, _ in asked.true_spells(lived))
    assert spells == pytest.approx(ran, abs=0.1 * len(lived.fleet.places))  # meters show tenths


@pytest.mark.parametrize("law", ["weibull", "gamma", "log-normal", "wear path"])
def test_every_law_of_life_has_mean_one_and_its_unevenness(law):
    fleet = make_fleet(WORLDS["plain"], 1)
    fleet.lives["soft lip"] = law
    blade = int(np.flatnonzero(fleet.column("kind") == "blade")[0])
    drawn = endurances(fleet, np.full(40_000, blade), np.random.default_rng(2))
    assert drawn.mean() == pytest.approx(1, abs=3 * 0.4 / 200)
    assert drawn.std() == pytest.approx(0.4, rel=0.04)  # Weibull's shape is a fit to within 2 %


def test_a_true_year_starts_with_edges_that_outlast_what_they_have_taken():
    case = small("plain")
    state = case.lived.state
    assert (state.endurance > state.wear).all()


def test_the_year_of_a_plain_fleet_is_the_true_one():
    case = small("plain")
    for kind in ("blade", "pad"):
        # Three per cent for laws of life that are not the model's, and for the hours.
        assert year(case, kind) == pytest.approx(1, abs=0.03 + luck(case, kind))


def test_the_hours_ahead_are_those_of_a_fleet_whose_hours_stay_as_they_were():
    case = small("plain")
    cost = case.said.cost.query("level == 'fleet' and kind == 'all'").iloc[0]
    said = 100 * cost["mean"] / cost["per_100h"]
    machines = case.lived.fleet.machines
    weeks = 52 * len(machines)
    # A week varies by a sixth, and a year of them was logged.
    assert said == pytest.approx(machines["hours"].sum() * 365 / 7, rel=3 * 0.17 / np.sqrt(weeks))


def test_edges_turned_by_schedule_cost_as_much_as_edges_turned_when_worn():
    rows = list(asked.as_if_worn(small("every-60-hours")))
    same = ratio(rows, "mean over that of the log with worn, year, blade")
    assert same == pytest.approx(1, abs=0.03)


def test_an_edge_that_is_not_the_last_is_due_a_turn_where_all_edges_are_used():
    assert ratio(asked.due_says_turn(small("every-60-hours")), "blades") > 0.9


def test_blades_handled_together_are_forecast_as_they_are_used():
    case = small("blades-together")
    assert year(case, "blade") == pytest.approx(1, abs=0.05 + luck(case, "blade"))


@pytest.mark.parametrize("who", ["the one site", "the others"])
def test_one_site_that_replaces_early_is_told_from_the_others(who):
    case = small("site-at-60-percent")
    said = ratio(asked.odd_site(case), f"mean over truth, year, {who}")
    assert said == pytest.approx(1, abs=0.1 + luck(case, "blade"))


def test_lives_that_nobody_saw_to_their_end_are_not_called_measured():
    rows = list(asked.what_lives_rest_on(small("at-85-percent")))
    assert ratio(rows, "lives called measured") == 0


def test_lives_that_nobody_saw_to_their_end_are_given_a_range_that_holds_them():
    rows = list(asked.what_lives_rest_on(small("at-85-percent")))
    assert ratio(rows, "lives within low and high") > 0.8


def test_a_site_that_uses_three_of_four_edges_is_forecast_so():
    case = small("three-edges")
    assert year(case, "blade") == pytest.approx(1, abs=0.04 + luck(case, "blade"))


def test_lives_are_as_unsure_as_a_handful_of_unlike_sites_leaves_them():
    widths = [
        np.log(floors["high"] / floors["low"]).min()
        for case in (small("site-wear-30", 2), small("site-wear-30", 4))
        for floors in [case.said.floors.query("worn > 0")]
    ]
    # The mean of four sites errs by .30 / 2; how much sites differ is itself learnt from four, so
    # three quarters of that are asked for.
    assert np.mean(widths) > 0.75 * 2 * 1.645 * 0.30 / 2


def test_a_quote_for_a_stranger_is_as_wide_as_sites_differ():
    rows = [row for seed in (2, 3) for row in asked.strangers_quote(small("site-wear-30", seed))]
    assert ratio(rows, "quote: P10 to P90 over the truth's") > 0.7


def test_a_quote_where_sites_are_alike_is_not_much_wider_for_their_sake():
    rows = [row for seed in (1, 2, 3) for row in asked.strangers_quote(small("plain", seed))]
    # Four to six sites of fourteen machines cannot show that sites are alike: some doubt is due.
    assert ratio(rows, "quote: P10 to P90 over the truth's") < 2.2


def test_the_site_with_most_damage_is_told_from_the_one_with_least():
    case = small("site-damage-80")
    fleet, said = case.lived.fleet, case.said.forecast
    blades = fleet.column("kind") == "blade"
    bad = [fleet.damage[blades & (fleet.column("site") == s)][0] for s in range(len(fleet.sites))]
    off = {}
    for extreme in (int(np.argmin(bad)), int(np.argmax(bad))):
        mine = blades & (fleet.column("site") == extreme)
        rows = said[(said["where"] == fleet.sites[extreme]) & said["part"].str.startswith("LIP")]
        mean = rows.loc[rows["period"] == "year", "mean"].sum()
        off[extreme] = np.log(mean / case.truth.pieces["year"][:, mine].sum(axis=1).mean())
    assert abs(np.subtract(*off.values())) < 0.1 + luck(case, "blade") * np.sqrt(len(bad))


def test_a_quarter_is_as_unsure_as_quarters_have_been():
    rows = [row for seed in (1, 2) for row in use_rows(small("shock-20", seed))]
    # Seven quarters tell how far quarters differ to within a third or so.
    assert ratio(rows, "width over the truth's, fleet, quarter") > 0.7


def test_a_winter_is_forecast_to_come_again():
    # As quarters that differ by chance the next one's wear is 1.3 times or .8 times the truth's.
    rows = [row for seed in (1, 2) for row in use_rows(small("winter-30", seed))]
    for kind in ("blade", "pad"):
        assert ratio(rows, f"mean over truth, quarter, {kind}") == pytest.approx(1, abs=0.1)


def test_a_year_whose_quarters_were_alike_is_not_less_sure_for_their_sake():
    rows = list(use_rows(small("plain")))
    assert ratio(rows, "width over the truth's, fleet, year") < 1.5


@pytest.mark.parametrize(("world", "kind"), [("other-make", "blade"), ("other-cleaner", "pad")])
def test_what_has_changed_for_good_is_forecast_to_stay(world, kind):
    # Taken for two or one of eight quarters that differ by chance it would be .75 and 1.3.
    said = np.mean([year(small(world, seed), kind) for seed in (1, 2)])
    assert 0.85 < said < 1.25


def test_what_makes_a_machine_fast_is_learnt_from_all_its_parts():
    rows = [row for seed in (1, 2) for row in asked.paces(small("fast-machines", seed))]
    assert ratio(rows, "unknown share of the machines' pace, roller") < 0.4


def test_positions_without_a_line_in_a_year_are_forecast_for_what_they_have_run():
    rows = [row for seed in (1, 2) for row in asked.without_a_line(small("low-hours", seed))]
    places = len(rows)
    said = ratio(rows, "mean over truth, year, positions without a line")
    assert said == pytest.approx(1, abs=0.1 + 0.4 / np.sqrt(places))


def test_data_only_is_the_maximum_of_the_likelihood_where_a_log_falls_silent():
    gaps = [above for _, above, _ in asked.plain_likelihood(small("thin-log", 4))]
    assert gaps
    assert max(gaps) < 1e-4


def test_machines_that_start_at_as_of_carry_new_parts():
    kin = [small("five-newcomers", seed) for seed in (1, 2, 3)]
    rows = [row for case in kin for row in asked.newcomers(case)]
    said = ratio(rows, "mean over truth, quarter, newcomers")
    assert said == pytest.approx(1, abs=0.1 + luck(kin[0], "blade"))


@pytest.mark.parametrize("seed", [0, 1], ids=["a foreign word", "leaving water"])
def test_a_cause_in_other_words_is_still_an_end(seed):
    case = small("other-words", seed)
    assert ratio(asked.other_words(case), "year's mean over that") == pytest.approx(1, abs=0.1)


def test_a_word_that_decides_no_cause_is_set_aside():
    assert ratio(asked.other_words(small("other-words", 0)), "fleets where rows are set") == 1


def test_changes_written_at_the_end_of_the_month_are_as_many_ends():
    case = small("month-end")
    for kind in ("blade", "pad"):
        # Dates off by half a month make the hours of each life uncertain, their number not.
        assert year(case, kind) == pytest.approx(1, abs=0.03 + luck(case, kind))
