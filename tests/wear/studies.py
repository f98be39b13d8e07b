"""Many simulated fleets: coverage of intervals, and log scores of what is forecast."""

import numpy as np
import pandas as pd

from tests.wear.fleet import Truth, choices, history_of, simulate
from wearcast.wear.fit import fit_wear
from wearcast.wear.posterior import Drawn, class_params, draw_block
from wearcast.wear.records import Wear
from wearcast.wear.streams import machine_stream


def some_truth(rng: np.random.Generator) -> Truth:
    """A truth like the usual one: floors differ alike for all classes, and a little by class."""
    usual = Truth()
    middle = {"gum blade": 90.0, "hard blade": 170.0, "nylon brush": 350.0}
    of_class = {name: hours * np.exp(rng.normal(0, 0.35)) for name, hours in middle.items()}
    of_floor = {floor: np.exp(rng.normal(0, 0.45)) for floor in usual.floors}
    return Truth(
        life={
            (name, floor): of_class[name] * of_floor[floor] * np.exp(rng.normal(0, 0.12))
            for name, floor in usual.life
        },
        shape={name: float(np.exp(rng.normal(np.log(2.2), 0.25))) for name in usual.shape},
        spread={name: float(np.exp(rng.normal(np.log(0.12), 0.6))) for name in usual.spread},
    )


def coverage(seeds: range, machines: int, hours: float) -> pd.DataFrame:
    """One row a fleet: how many 90 % intervals of lives and of wear speeds held the truth.

    Columns ``lives``, ``lives_held``, ``paces``, ``paces_held``.
    """
    rows = []
    for seed in seeds:
        truth = some_truth(np.random.default_rng([seed, machines]))
        history, parts, paces = simulate(truth, seed, machines, hours)
        wear = fit_wear(history, parts, choices())
        lives = wear.floor_table
        true_life = [
            truth.life[cell] for cell in zip(lives["wears_as"], lives["floor"], strict=True)
        ]
        speeds = wear.machine_table
        true_speed = [
            paces[machine, name] ** (1 / truth.shape[name])
            for machine, name in zip(speeds["machine"], speeds["wears_as"], strict=True)
        ]
        rows.append((len(lives), _held(lives, true_life), len(speeds), _held(speeds, true_speed)))
    return pd.DataFrame(rows, columns=["lives", "lives_held", "paces", "paces_held"])


def _held(table: pd.DataFrame, truth: list[float]) -> int:
    return int(((table["low"] <= truth) & (truth <= table["high"])).sum())


def log_scores(seeds: range, machines: int, hours: float) -> pd.DataFrame:
    """Mean log density of new machines' lives, by fleet: together, apart, data only."""
    rows = []
    for seed in seeds:
        truth = some_truth(np.random.default_rng([seed, machines]))
        history, parts, _ = simulate(truth, seed, machines, hours)
        together = fit_wear(history, parts, choices())
        plain = fit_wear(history, parts, choices(fit="data only"))
        scores = {"together": [], "apart": [], "data only": []}
        for name in truth.kinds:
            own = history.spells["wears_as"].eq(name)
            alone = history_of(history.spells[own], history.exposure[own])
            apart = fit_wear(alone, parts[parts["wears_as"].eq(name)], choices())
            lives = _new_lives(truth, name, np.random.default_rng([seed, 9]))
            for way, wear in (("together", together), ("apart", apart), ("data only", plain)):
                scores[way].append(_score(wear, name, truth, lives))
        rows.append({way: np.mean(values) for way, values in scores.items()})
    return pd.DataFrame(rows)


def _new_lives(truth: Truth, name: str, rng: np.random.Generator) -> np.ndarray:
    """Array (floors, 300): lives of edges on machines that nobody has seen [h]."""
    v, k = truth.spread[name], truth.shape[name]
    z = rng.gamma(1 / v, v, (len(truth.floors), 300))
    return (rng.exponential(size=z.shape) / z) ** (1 / k) / truth.rate(name)[:, None]


def _score(wear: Wear, name: str, truth: Truth, lives: np.ndarray) -> float:
    """Mean log of the posterior predictive density, over floors and lives."""
    block = wear.worn
    draws = draw_block(block, machine_stream(1, "", f"score {name}"), 300)
    params = class_params(Drawn(block.terms, draws), name, wear.floors)
    k, v = np.exp(params.log_shape), np.maximum(params.spread, 1e-9)
    total = 0.0
    for floor, row in enumerate(lives):
        log_wear = np.log(row[:, None]) + params.log_rates[:, floor]
        load = np.exp(np.minimum(k * log_wear, 300))
        logs = (
            params.log_shape
            + (k - 1) * log_wear
            + params.log_rates[:, floor]
            - (1 / v + 1) * np.log1p(v * load)
        )
        total += float(np.mean(np.logaddexp.reduce(logs, axis=1) - np.log(len(k))))
    return total / len(lives)
