"""Laws from some sites, and the other sites given them, against all sites at once."""

import numpy as np
import pytest

from tests.wear.fleet import choices, history_of, simulate
from tests.wear.makers import class_spells
from wearcast.wear.arrow import raised
from wearcast.wear.class_spells import joined, rows_by, some_spells, spells_for
from wearcast.wear.fit import fit_wear
from wearcast.wear.fitting import by_site
from wearcast.wear.fitting.by_site import at_sites, telling_sites
from wearcast.wear.fitting.model import WearModel
from wearcast.wear.fitting.prior_at import prior_of
from wearcast.wear.posterior import draw_block
from wearcast.wear.priors import WEAR, centre_of

FAST = ("S4", "S2")
"""Sites where everything wears 1.6 times as fast; one of them tells the laws."""


@pytest.fixture(scope="module")
def ten_sites(truth):
    """History and catalogue of 50 machines at ten sites."""
    history, parts, _ = simulate(truth, seed=5, machines=50, hours=1200)
    spells = history.spells
    spells = spells.assign(site="S" + (spells["machine"].str[1:].astype(int) % 10).astype(str))
    slower = np.where(spells["site"].isin(FAST), 1 / 1.6, 1.0)
    return (
        history_of(spells.assign(hours=spells["hours"] * slower), history.exposure.mul(slower, 0)),
        parts,
    )


@pytest.fixture(scope="module")
def both(ten_sites):
    """The wear of all sites at once, and the laws from six of them."""
    whole = fit_wear(*ten_sites, choices())
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(by_site, "MANY_SITES", 5)
        patched.setattr(by_site, "SOME_SITES", 6)
        patched.setattr(by_site, "ENOUGH_SPELLS", 50)
        patched.setattr(by_site, "AT_ONCE", 2)
        some = fit_wear(*ten_sites, choices())
    return whole, some


def levels(block, draws):
    """Mean and sd of every term, by name."""
    return {
        term: (drawn.mean(), drawn.std())
        for term, drawn in zip(block.terms, draws.T, strict=True)
        if term.startswith("site[")
    }


def test_a_site_that_told_no_law_has_its_own_level(both):
    whole, some = both
    told = set(some.worn.terms[: len(some.worn.cov)])
    assert set(some.worn.terms) == set(whole.worn.terms)
    assert [f"site[{name}]" in told for name in FAST] == [False, True]
    rng = np.random.default_rng
    at_once = levels(whole.worn, draw_block(whole.worn, rng(1), 4000))
    given = levels(some.worn, draw_block(some.worn, rng(2), 4000))
    for term, (mean, sd) in given.items():
        assert mean == pytest.approx(at_once[term][0], abs=at_once[term][1]), term
        assert 0.5 < sd / at_once[term][1] < 2, term
    assert given[f"site[{FAST[0]}]"][0] > 0.25


def test_a_law_from_some_sites_is_less_sure_and_agrees(both):
    whole, some = both
    for left, right in zip(
        whole.floor_table.itertuples(), some.floor_table.itertuples(), strict=True
    ):
        assert max(left.low, right.low) < min(left.high, right.high)
    width = [np.log(one.floor_table["high"] / one.floor_table["low"]).mean() for one in both]
    assert width[0] < width[1] < 2 * width[0]


def three_sites():
    """Pads of 24 machines at three sites, with what each site does."""
    machine = np.repeat(np.arange(24), 6)
    site = np.array(["A", "B", "C"])[machine // 8]
    hours = np.random.default_rng(3).weibull(2.0, (144, 2)) * [60.0, 25.0]
    marks = {f"site[{name}]": (site == name).astype(float) for name in "ABC"}
    group = class_spells(hours, machine=machine, site=site, effects=marks)
    return {"pad": (group, some_spells(group, np.zeros(144, dtype=bool)))}


def build(groups):
    names = {name for group, _ in groups.values() for name in group.machines}
    machines = {name: at for at, name in enumerate(sorted(names))}
    return WearModel(
        {name: spells_for(group, "worn", machines, first) for name, (group, first) in
         groups.items()},
        ("tile", "vinyl"),
        {name: group.effect_names for name, (group, _) in groups.items()},
        len(machines),
    )  # fmt: skip


def test_what_a_site_does_is_what_the_joint_posterior_says_given_the_law(monkeypatch):
    # Sites touch each other through the law only: at one point a site's part of the joint
    # precision, machines eliminated, is what the site alone gives.
    for name, value in {"MANY_SITES": 1, "SOME_SITES": 1, "ENOUGH_SPELLS": 1, "AT_ONCE": 1}.items():
        monkeypatch.setattr(by_site, name, value)
    every = three_sites()
    centres = {"pad": centre_of("worn", "pad", 50.0)}
    fitted = by_site.fit_by_sites("worn", every, build, WEAR, centres, rough=True)
    model = build({"pad": joined(*every["pad"])})
    prior = prior_of(model, centres, fitted.settings)
    point = prior.mean.copy()
    point[: model.size] = [fitted.settled[term] for term in model.terms]
    own = np.array([by_site.is_own(term) for term in model.terms])
    point = model.optimum(point, prior, np.ones(model.size, dtype=bool), 30).params
    solved = raised(model.derivatives(point, life_scale=True).hessian.minus(), prior.weight)
    joint = solved.body_cov()
    to_rates = model.rates_jacobian(point)
    joint = to_rates @ joint @ to_rates.T
    follow = joint[np.ix_(own, ~own)] @ np.linalg.inv(joint[np.ix_(~own, ~own)])
    left = joint[np.ix_(own, own)] - follow @ joint[np.ix_(~own, own)]
    behind = fitted.block.terms[len(fitted.block.cov) :]
    terms = np.array(model.terms)[own].tolist()
    shared = np.array(model.terms)[~own].tolist()
    for term, given in zip(behind, fitted.block.given, strict=True):
        at = terms.index(term)
        assert given.cov[0, 0] == pytest.approx(left[at, at], rel=1e-6)
        assert [fitted.block.terms[place] for place in given.on] == shared
        assert given.follow[0] == pytest.approx(follow[at], rel=1e-5, abs=1e-8)


def test_it_is_told_that_some_sites_told_the_law(both):
    told = [[problem.wrong for problem in one.told if "was learnt at" in problem.wrong] for one in
            both]  # fmt: skip
    assert told[0] == []
    assert told[1] == [
        "how long things last on each floor was learnt at 6 of 10 sites; what each other site does "
        "to wear was learnt from its own changes"
    ]


def test_sites_are_added_for_a_class_that_few_have(monkeypatch):
    monkeypatch.setattr(by_site, "MANY_SITES", 3)
    monkeypatch.setattr(by_site, "SOME_SITES", 2)
    sites = np.repeat([f"S{number}" for number in range(6)], 5)
    monkeypatch.setattr(by_site, "ENOUGH_SPELLS", 20)
    both = (rows_by(sites), rows_by(sites))  # first spells count as well
    chosen, others = telling_sites({"pad": both})
    assert (len(chosen), sorted([*chosen, *others])) == (2, sorted(set(sites)))
    rare = {others[0]: np.arange(3)}
    assert telling_sites({"pad": both, "brush": (rare,)})[0] == [*chosen, others[0]]


def test_the_spells_of_some_sites_keep_the_levels_that_are_theirs():
    effects = {"front[pad]": [1.0, 0, 1], "site[A]": [1.0, 0, 0], "site[B]": [0, 1.0, 1.0]}
    group = class_spells([10.0, 20, 30], site=["A", "B", "B"], effects=effects)
    both = tuple(some_spells(group, np.array(rows)) for rows in ([0, 2], [1]))
    where = tuple(rows_by(one.site) for one in both)
    some, first = at_sites({"pad": both}, {"pad": where}, ["B"])["pad"]
    assert some.effect_names == ("front[pad]", "site[B]")
    assert first.tolist() == [True, False]
    assert some.hours[:, 0].tolist() == [20, 30]
    assert some.effects.toarray().tolist() == [[0, 1], [1, 1]]
