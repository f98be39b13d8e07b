"""What acts on wear: the columns of each effect, one row of the table each."""

import numpy as np
import pandas as pd
import pytest
from scipy.sparse import csr_array

from tests.conftest import table
from wearcast.wear import covariates
from wearcast.wear.covariates import (
    EFFECTS,
    Effect,
    Levels,
    Rows,
    class_design,
    effect_of,
    place_values,
)

NO_QUARTERS = pd.DataFrame({"spell": [], "quarter": [], "share": [], "last": []})


def rows(spells, quarters=NO_QUARTERS, name="gum"):
    usual = {"machine": "M1", "site": "Hall", "position": "deck", "kind": "blade", "edges": 4.0,
             "hours": 50.0, "cause": "worn", "end_turns": 0}  # fmt: skip
    return Rows(name, pd.DataFrame({**usual, **spells}), quarters)


def columns(given, effect):
    """The columns of one effect by the names of their terms: wear, and at the end."""
    design = class_design(given)
    at = [place for place, term in enumerate(design.terms) if effect_of(term) == effect]
    names = [design.terms[place] for place in at]
    wear, end = (pd.DataFrame(part.toarray()[:, at], columns=names) for part in design[1:])
    return wear, end


def both_sides(front=6, rear=6, cause="worn"):
    places = ["front blade"] * front + ["rear blade"] * rear
    return rows({"position": places, "cause": cause})


def test_front_is_half_up_and_rear_half_down():
    wear, end = columns(both_sides(), "front")
    assert wear["front[gum]"].tolist() == [0.5] * 6 + [-0.5] * 6
    assert end.equals(wear)


@pytest.mark.parametrize(
    "given",
    [both_sides(front=4), both_sides(rear=4), both_sides(cause="planned")],
    ids=["few in front", "few at the rear", "none worn"],
)
def test_without_five_worn_ends_on_either_side_there_is_no_front(given):
    assert columns(given, "front")[0].empty


@pytest.mark.parametrize(
    ("position", "side"),
    [("Front blade", 0.5), ("rear", -0.5), ("fore-blade", 0.5), ("back brush", -0.5),
     ("frontier", 0.0), ("front and rear", 0.0)],
)  # fmt: skip
def test_a_side_is_a_word_of_the_position(position, side):
    given = rows({"position": [*["front blade", "rear blade"] * 5, position], "cause": "worn"})
    assert columns(given, "front")[0]["front[gum]"].iloc[-1] == side


def turned(share):
    """Brushes of 20 machines, 10 lives each; machines turn at a share of the chances each."""
    turns = np.repeat(np.asarray(share) * 5, 10)
    return rows(
        {"machine": np.repeat([f"M{n:02d}" for n in range(20)], 10), "position": "brush",
         "edges": 1.0, "hours": 300.0, "end_turns": turns}
    )  # fmt: skip


def test_turning_is_a_habit_of_the_place_less_the_mean():
    column = columns(turned([1] * 10 + [0] * 10), "turning")[0]["turning[gum]"]
    assert column.mean() == pytest.approx(0, abs=1e-12)
    # Regular places against those that never turned: one chance of the fleet's habit short of 1.
    assert np.ptp(column) == pytest.approx(1.0, abs=0.05)
    assert column.groupby(np.repeat(np.arange(20), 10)).nunique().eq(1).all()


def test_long_life_alone_does_not_look_like_turning():
    # Everybody turns every 60 h, so long spells have more turns; none is more regular.
    hours = np.random.default_rng(5).weibull(2.5, 200) * 300
    given = turned([1] * 20)
    spells = given.spells.assign(hours=hours, end_turns=hours // 60)
    assert columns(given._replace(spells=spells), "turning")[0].empty


def test_a_part_with_edges_is_not_turned_end_for_end():
    given = turned([1] * 10 + [0] * 10)
    assert columns(given._replace(spells=given.spells.assign(edges=2.0)), "turning")[0].empty


def test_a_site_acts_on_its_own_spells():
    wear, _ = columns(rows({"site": ["North", "South", "North"]}), "site")
    assert wear.to_dict("list") == {"site[North]": [1, 0, 1], "site[South]": [0, 1, 0]}


def test_a_sites_own_part_is_of_one_class():
    assert list(columns(rows({"site": ["North"]}, name="pad"), "site own")[0]) == [
        "site own[North, pad]"
    ]


QUARTERS = table("""
    spell  quarter  share  last
    0      1        .25    False
    0      0        .75    True
    1      1        1      True
""")


def test_a_spell_takes_each_quarter_by_its_share_of_the_hours():
    wear, end = columns(rows({"site": ["North", "South"]}, QUARTERS), "quarter")
    assert wear.to_dict("list") == {"quarter[0]": [0.75, 0], "quarter[1]": [0.25, 1]}
    assert end.to_dict("list") == {"quarter[0]": [1, 0], "quarter[1]": [0, 1]}


def test_a_spell_of_which_nobody_knows_when_it_ran_takes_every_quarter_alike():
    # Else the quarters' common level and the rate would be told apart by such spells alone.
    spells = {"site": ["North", "South", "North", "West"]}
    for effect, left in (("quarter", 1.0), ("site quarter", 0.0)):
        for columns_ in columns(rows(spells, QUARTERS), effect):
            assert columns_.sum(axis=1).tolist() == [1.0, 1.0, 1.0, left]
    wear, _ = columns(rows(spells, QUARTERS), "quarter")
    assert wear.iloc[2].tolist() == [0.5, 0.5]


def test_a_sites_quarter_is_not_another_sites():
    wear, _ = columns(rows({"site": ["North", "South"]}, QUARTERS), "site quarter")
    assert wear.to_dict("list") == {
        "site quarter[0, North]": [0.75, 0],
        "site quarter[1, North]": [0.25, 0],
        "site quarter[1, South]": [0, 1],
    }


def test_without_a_calendar_there_are_no_quarters():
    assert columns(rows({"site": ["North"]}), "quarter")[0].empty


def test_what_a_machine_does_is_no_column():
    assert columns(rows({"machine": ["M1", "M2"]}), "machine")[0].empty


def test_a_new_effect_is_one_row(monkeypatch):
    def by_night(given):
        night = csr_array(given.spells[["night"]].to_numpy(float))
        return Levels((f"night[{given.name}]",), night, night)

    row = Effect("night", by_night, 0.1, 0.8, "run at night")
    monkeypatch.setattr(covariates, "EFFECTS", (*EFFECTS, row))
    wear, _ = columns(rows({"night": [1.0, 0.0]}), "night")
    assert wear.to_dict("list") == {"night[gum]": [1, 0]}


def test_no_two_effects_have_one_name():
    assert len({effect.name for effect in EFFECTS}) == len(EFFECTS)


def test_a_place_keeps_what_stands_for_it_from_now_on():
    given = both_sides().spells.assign(machine=["M1"] * 11 + ["M2"])
    assert place_values("gum", given) == {
        ("gum", "M1", "front blade"): (0.5, 0.0),
        ("gum", "M1", "rear blade"): (-0.5, 0.0),
        ("gum", "M2", "rear blade"): (-0.5, 0.0),
    }
