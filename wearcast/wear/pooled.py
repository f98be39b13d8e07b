"""Several operators' fits as one: what they have in common, and how far they differ.

Two levels: an operator's cells (class x floor, log rates) are the usual ones, plus what the
operator does to all its parts, plus what it does to one class beyond that. Each log tells its own
cells with an error that its posterior states (a normal-normal hierarchy: Gelman and others,
Bayesian Data Analysis (2013), ch. 5; remembered). How far operators differ is averaged over a
grid; with two or three logs the prior still speaks, and the range is wide.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from wearcast.wear.covariates import OPERATOR, OPERATOR_OWN, OPERATOR_TYPICAL, OPERATOR_UNSURE
from wearcast.wear.priors import NEVER, CellPrior, Centre
from wearcast.wear.records import Block, EdgeHabit, OffLaw, Spread, Wear

SDS = OPERATOR_TYPICAL * np.exp(OPERATOR_UNSURE * np.linspace(-2.5, 2.5, 13))
"""Candidates of how far operators differ, sds of logs."""
_LOG_PRIOR = -0.5 * np.linspace(-2.5, 2.5, 13) ** 2


class _Report(NamedTuple):
    """What one operator's log tells of a block's terms."""

    at: np.ndarray
    """array (told,) places among all terms"""
    mean: np.ndarray
    """array (told,)"""
    cov: np.ndarray
    """array (told, told)"""


def pool_wear(wears: Sequence[Wear]) -> Wear:
    """The wear for a stranger, from several operators' logs.

    Parameters
    ----------
    wears : sequence of Wear
        Each of one operator, as `wearcast.wear.rates.for_strangers` leaves it: arrays (terms,).
    """
    if len(wears) == 1:
        return wears[0]
    kinds = {name: kind for one in wears for name, kind in zip(one.classes, one.kinds, strict=True)}
    classes = tuple(sorted(kinds))
    return Wear(
        classes=classes,
        kinds=tuple(kinds[name] for name in classes),
        floors=tuple(sorted({floor for one in wears for floor in one.floors})),
        worn=_pool_block([(one.worn, told_terms(one.worn, one)) for one in wears]),
        torn=_pool_block([(one.torn, told_terms(one.torn, one)) for one in wears]),
        off=_pool_off([one.off for one in wears]),
        habits={
            key: _pool_habit([one.habits[key] for one in wears if key in one.habits])
            for key in sorted({key for one in wears for key in one.habits})
        },
        spells={},
        machine_table=wears[0].machine_table,
        edge_table=wears[0].edge_table,
        fits={},
        floor_table=_pool_floors([one.floor_table for one in wears]),
        told=tuple(dict.fromkeys(problem for one in wears for problem in one.told)),
        effect_table=wears[0].effect_table.iloc[:0],
        place_effects=_by_key(
            [one.place_effects for one in wears],
            lambda rows: tuple(np.mean(rows, axis=0).tolist()),
        ),
        paired=_by_key([one.paired for one in wears], lambda rows: float(np.mean(rows))),
    )


def told_terms(block: Block, wear: Wear) -> list[str]:
    """Terms of a block of which the log holds something: cells measured, and what goes with them.

    What stands for an unmeasured cell is the prior, which pooling would count once a log.
    """
    table = wear.floor_table
    seen = table[table["hours"].gt(0) & table["basis"].ne("typical")]
    cells = set(zip(seen["wears_as"].astype(str), seen["floor"].astype(str), strict=True))
    names = {name for name, _ in cells}
    return [
        term
        for term, mean in zip(block.terms, block.mean, strict=True)
        if mean > NEVER and (_cell(term) in cells if _is_rate(term) else _inside(term) in names)
    ]


def _is_rate(term: str) -> bool:
    return term.startswith("log rate[")


def _inside(term: str) -> str:
    return term[term.index("[") + 1 : -1]


def _cell(term: str) -> tuple[str, str]:
    """Class and floor of a rate's term."""
    name, floor = _inside(term).rsplit(", ", 1)
    return name, floor


def _pool_block(reports: list[tuple[Block, list[str]]]) -> Block:
    blocks = [block for block, _ in reports]
    terms = tuple(sorted({term for _, told in reports for term in told}))
    seen = [_report(block, told, terms) for block, told in reports if told]
    rate = np.array([_is_rate(term) for term in terms], dtype=bool)
    owner = np.array([_cell(term)[0] if is_rate else term for term, is_rate in
                      zip(terms, rate, strict=True)], dtype=object)  # fmt: skip
    mean, cov, common, own = pool_reports(seen, rate, owner)
    own_variance = float(np.dot(own.chances, np.square(own.sds)))
    # A stranger's own shape is drawn with the terms; what it does to rates is drawn by itself.
    cov = cov + np.diag(np.where(rate, 0.0, own_variance))
    kinds = sorted({kind for block in blocks for kind in block.cells})
    return Block(
        blocks[0].name,
        terms,
        mean,
        cov,
        float(sum(block.llf for block in blocks)),
        any(block.shaped for block in blocks),
        any(block.paced for block in blocks),
        {kind: _pool_cells([b.cells[kind] for b in blocks if kind in b.cells]) for kind in kinds},
        _by_key([block.centres for block in blocks], _pool_centre),
        {**_pool_spreads(blocks), OPERATOR: common, OPERATOR_OWN: own},
    )


def _report(block: Block, told: list[str], terms: tuple[str, ...]) -> _Report:
    at = {term: place for place, term in enumerate(terms)}
    here = np.array([block.terms.index(term) for term in told], dtype=int)
    return _Report(
        np.array([at[term] for term in told], dtype=int),
        block.mean[here],
        block.cov[np.ix_(here, here)],
    )


def pool_reports(
    reports: Sequence[_Report], rate: np.ndarray, owner: np.ndarray
) -> tuple[np.ndarray, np.ndarray, Spread, Spread]:
    """The usual terms over operators, and how far operators differ.

    Parameters
    ----------
    reports : sequence of reports
        What each log tells: places of its terms, mean, covariance.
    rate : bool array (terms,)
        Terms that an operator moves all alike, beside moving each owner's.
    owner : array (terms,)
        Terms of one owner are moved alike by what an operator does to one class.

    Returns
    -------
    mean : array (terms,)
    cov : array (terms, terms)
    common, own : Spread
        Of what an operator does to all classes, and to one.
    """
    if not len(rate):
        prior = np.exp(_LOG_PRIOR) / np.exp(_LOG_PRIOR).sum()
        usual = Spread(tuple(SDS.tolist()), tuple(prior.tolist()))
        return np.zeros(0), np.zeros((0, 0)), usual, usual
    alike = np.outer(rate, rate).astype(float)
    same = (owner[:, None] == owner).astype(float)
    found = [[_usual(reports, common**2 * alike + own**2 * same) for own in SDS] for common in SDS]
    logs = np.array([[each[2] for each in row] for row in found])
    logs = logs + _LOG_PRIOR[:, None] + _LOG_PRIOR
    chance = np.exp(logs - logs.max())
    chance /= chance.sum()
    means = np.array([[each[0] for each in row] for row in found])
    covs = np.array([[each[1] for each in row] for row in found])
    mean = np.einsum("ab,abt->t", chance, means)
    off = means - mean
    cov = np.einsum("ab,abtu->tu", chance, covs) + np.einsum("ab,abt,abu->tu", chance, off, off)
    by_common, by_own = chance.sum(axis=1), chance.sum(axis=0)
    sds = tuple(SDS.tolist())
    return mean, cov, Spread(sds, tuple(by_common.tolist())), Spread(sds, tuple(by_own.tolist()))


def _usual(reports: Sequence[_Report], between: np.ndarray) -> tuple[np.ndarray, np.ndarray, float]:
    """Mean and covariance of the usual terms, and the log marginal likelihood.

    Generalised least squares with a flat prior: `between` (terms, terms) is how operators differ.
    """
    size = len(between)
    weight, pull, log = np.zeros((size, size)), np.zeros(size), 0.0
    for at, mean, cov in reports:
        place = np.ix_(at, at)
        total = cov + between[place]
        inverse = np.linalg.inv(total)
        weight[place] += inverse
        pull[at] += inverse @ mean
        log -= 0.5 * (np.linalg.slogdet(total)[1] + mean @ inverse @ mean)
    usual = np.linalg.inv(weight)
    mean = usual @ pull
    log += 0.5 * (pull @ mean - np.linalg.slogdet(weight)[1])
    return mean, (usual + usual.T) / 2, float(log)


def _pool_spreads(blocks: Sequence[Block]) -> dict[str, Spread]:
    """Each effect's spread as one log or another has it."""
    return _by_key([block.spreads for block in blocks], _mix_spreads)


def _mix_spreads(spreads: list[Spread]) -> Spread:
    sds = tuple(sd for one in spreads for sd in one.sds)
    return Spread(sds, tuple(chance / len(spreads) for one in spreads for chance in one.chances))


def _pool_cells(cells: list[CellPrior]) -> CellPrior:
    names = ("kind_sd", "class_sd", "floor_sd", "sharing")
    return CellPrior(*(float(np.mean([getattr(one, name) for one in cells])) for name in names))


def _pool_centre(centres: list[Centre]) -> Centre:
    hours = float(np.exp(np.mean([np.log(one.hours) for one in centres])))
    return Centre(centres[0].kind, hours, max(one.class_sd for one in centres))


def _pool_off(laws: list[OffLaw]) -> OffLaw:
    """The usual hazard by class; operators that differ make sites less alike.

    The variance of a site's log hazard about the usual is 1/alpha: what differs between logs adds.
    """
    usual = _by_key([law.usual for law in laws], lambda rows: float(np.mean(rows)))
    logs = _by_key(
        [law.usual for law in laws],
        lambda rows: (
            float(np.var(np.log(np.maximum(rows, 1e-9)), ddof=1)) if len(rows) > 1 else 0.0
        ),
    )
    between = float(np.mean(list(logs.values()))) if logs else 0.0
    within = float(np.mean([1 / law.alpha for law in laws]))
    return OffLaw(1 / (within + between), usual, {}, {}, {})


def _pool_habit(habits: list[EdgeHabit]) -> EdgeHabit:
    """The usual chances; a beta distribution as wide as sites and operators together."""
    width = max(len(one.usual) for one in habits)
    chance = np.array(
        [(*one.usual, *one.usual[-1:] * (width - len(one.usual))) for one in habits if one.usual]
    ).reshape(-1, width)
    usual = chance.mean(axis=0)
    none = np.zeros((0, width))
    weights = np.array([one.weight for one in habits if one.usual])
    binomial = np.clip(chance * (1 - chance), 1e-9, None)
    within = (binomial / (weights[:, None] + 1)).mean(axis=0)
    between = chance.var(axis=0, ddof=1) if len(chance) > 1 else np.zeros(width)
    ratio = np.clip(usual * (1 - usual), 1e-9, None) / (within + between)
    weight = float(np.clip(np.min(ratio, initial=np.inf) - 1, 0.5, 300.0)) if width else 10.0
    return EdgeHabit(tuple(usual.tolist()), weight, (), none, none)


def _pool_floors(tables: list[pd.DataFrame]) -> pd.DataFrame:
    """What was seen on each floor, all logs together; ``basis`` the best that one of them has."""
    rank = {"typical": 0, "": 0, "bounds": 1, "blended": 2, "measured": 3}
    both = pd.concat(tables, ignore_index=True)
    best = both.assign(rank=both["basis"].map(rank).fillna(0)).sort_values("rank", kind="stable")
    last = best.drop_duplicates(["wears_as", "floor"], keep="last").drop(columns="rank")
    counts = ["spells", "worn", "damaged", "running", "hours"]
    summed = both.groupby(["wears_as", "floor"], as_index=False)[counts].sum()
    return last.drop(columns=counts).merge(summed, on=["wears_as", "floor"])[list(both.columns)]


def _by_key(maps: Iterable[dict[Any, Any]], pooled: Callable[[list[Any]], Any]) -> dict[Any, Any]:
    """What each key has in the maps that hold it, pooled; in the order of the keys."""
    rows: dict[Any, list[Any]] = {}
    for each in maps:
        for key, value in each.items():
            rows.setdefault(key, []).append(value)
    return {key: pooled(rows[key]) for key in sorted(rows, key=str)}
