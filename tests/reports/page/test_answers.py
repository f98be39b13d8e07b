"""The sentences before the tables say what the tables hold."""

from dataclasses import replace

from tests.conftest import table
from tests.reports import makers
from wearcast.reports.page.answers import answers, dearest, edge_words, floor_words, site_words


def test_the_dearest_floor_is_named_with_its_range_and_the_cheapest():
    # concrete: 50 in 100 h at a mean of 500, P10 430 and P90 580: 43 to 58; 50 / 31 = 1.6.
    assert dearest(makers.cost(), "floor", "EUR") == [
        "100 machine hours cost most on concrete: 50.00 EUR (in 8 of 10 futures 43.00 to 58.00), "
        "1.6 times as much as on vinyl (31.00). That counts what the machines there carry."
    ]


def test_one_floor_alone_is_not_compared():
    cost = makers.cost()
    assert dearest(cost[cost["where"].ne("vinyl")], "floor", "") == []


def test_a_class_is_compared_like_for_like_with_its_range():
    # Life is the inverse of the rate: 1 / 0.5177, and 1 / 0.7 to 1 / 0.4. Nothing is said of
    # nylon, which has one floor and a typical life alone.
    assert floor_words(makers.floors()) == [
        "gum: an edge lasts about 62 h on concrete (90 % range 55 to 70); on vinyl 1.93 times as "
        "long (1.43 to 2.50)."
    ]


def test_a_difference_that_may_be_none_is_not_claimed():
    unsure = makers.floors().assign(relative_high=1.2)
    assert floor_words(unsure) == [
        "gum: an edge lasts about 62 h on concrete (90 % range 55 to 70); the log cannot tell its "
        "other floors from that."
    ]


def test_edges_thrown_away_are_summed_up_and_the_worst_place_is_named():
    # 21 of 812.5 are 3 %.
    assert edge_words(makers.edges(), makers.cost(), "EUR") == [
        "Using every edge would save about 21 EUR a year, 3 % of the cost. Most of it: Hall A, "
        "gum, 21 (90 % range 10 to 35); a part there gave 3.4 of its 4 edges."
    ]


def test_of_a_site_the_edges_are_a_share_of_its_own_cost():
    here = makers.edges()[makers.edges()["site"].eq("Hall A")]
    # 21 of 600 are 3.5 %, of the fleet's 812.5 they would be 3.
    assert "would save about 21 a year, 4 % of" in edge_words(here, makers.cost(), "", "Hall A")[0]


def test_where_no_edge_is_lost_nothing_is_said():
    assert edge_words(makers.edges().assign(lost_per_year=0.0), makers.cost(), "") == []


def test_sites_are_compared_with_the_causes_of_what_they_cost():
    causes = table("""
        site    cause   per_100h  low   high
        Hall A  floors  5.00      3.0   7.0
        Hall A  wear    -0.80     -2.0  0.5
        Hall A  damage  0.05      0.0   0.1
        Hall A  rest    0.15      -     -
    """)
    choices = makers.forecast().choices
    words = site_words(makers.cost(), causes, choices)
    assert words[0].startswith("100 machine hours cost most at Hall A: 45.00 EUR")
    assert words[1:] == [
        "Hall A costs 4.40 EUR more in 100 machine hours than the fleet (45.00 against 40.60; in "
        "1,000 m2 0.70 against 0.61): +5.00 harder floors (+3.00 to +7.00), -0.80 slower wear on "
        "like floors (-2.00 to +0.50, so perhaps none), +0.20 all else."
    ]
    assert site_words(makers.cost(), None, choices) == words[:1]
    of_b = site_words(makers.cost(), causes, replace(choices, site="Hall B"))
    assert of_b == words[:1]


def test_an_empty_forecast_has_no_answers():
    made = makers.forecast()
    empty = {name: getattr(made, name).iloc[:0] for name in ("floors", "edges", "cost")}
    assert answers(makers.forecast(**empty)) == {"floors": [], "edges": [], "cost": []}
