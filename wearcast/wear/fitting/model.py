"""All wear classes as one likelihood model; `wearcast.wear.fitting.results` has statsmodels' look.

Each class brings its own parameters (log rates by floor, log shape, log spread); effects are shared
between classes by their names; what a machine does to all its parts is a *tip*. The likelihoods of
the classes add, only the prior and the effects tie them.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from wearcast.wear.arrow import Arrow
from wearcast.wear.covariates import STAYS, effect_of, quarter_of_term
from wearcast.wear.life import log_mean_factor, mean_factor_slopes
from wearcast.wear.likelihood import (
    ClassPart,
    Own,
    class_part,
    log_likelihood,
    machine_thirds,
)
from wearcast.wear.maximise import MOST_STEPS, Derivatives, Optimum, maximise
from wearcast.wear.spells import Spells


class Place(NamedTuple):
    """Where a class stands in the parameter vector."""

    rates: slice
    shape: int | None
    """None: held at 1."""
    spread: int | None
    """None: no pace."""
    whole: slice
    effects: np.ndarray
    """int array (effects,) where the effects that act on it stand"""


class Prior(NamedTuple):
    """Gaussian prior on the life scale."""

    mean: np.ndarray
    """array (body + tips,)"""
    weight: Arrow
    """Precision; no arms."""
    log_det: float
    """Of the precision."""


class WearModel:
    """Wear classes together; parameters of a class after those of the class before, then effects.

    Parameters
    ----------
    spells : mapping of str to Spells
        By wear class; a class may have no spell (arrays of length 0).
    floors : tuple of str
        Names of the columns of `Spells.hours`.
    effects : mapping of str to tuple of str
        Names of the columns of `Spells.effects`, by class; classes share effects of one name.
    machines : int
        How many machines have something in common to all their classes; 0: none.
    paced : bool
        Whether machines have a pace of their own (spread v > 0) in each class.
    shaped : bool
        Whether the shape is free; False holds it at 1 (constant hazard).
    """

    def __init__(
        self,
        spells: Mapping[str, Spells],
        floors: tuple[str, ...],
        effects: Mapping[str, tuple[str, ...]] | None = None,
        machines: int = 0,
        *,
        paced: bool = True,
        shaped: bool = True,
    ) -> None:
        self.spells = dict(spells)
        self.floors, self.machines = floors, machines
        self.paced, self.shaped = paced, shaped
        self.named = {name: tuple((effects or {}).get(name, ())) for name in spells}
        self.effects = tuple(dict.fromkeys(term for terms in self.named.values() for term in terms))
        self.places = self._places()
        self.terms = (*(t for name in spells for t in self._own_terms(name)), *self.effects)
        kinds = [effect_of(term) for term in self.effects]
        names = tuple(dict.fromkeys(kinds))
        self.effect_kinds = names, np.array([names.index(kind) for kind in kinds], dtype=int)
        """Names of the effects, and which of them each of `effects` is a level of."""
        self.quarters = self._quarters()
        """By effect of quarters: its blocks of levels that move together, each with the places of
        the terms and the quarter of each (0: the newest)."""
        self.tips = np.zeros(machines)
        self._last: tuple[tuple[bytes, bool] | None, dict[str, ClassPart]] = None, {}
        self.cells: dict[Any, Any] = {}
        """Prior precisions that were worked out already, see `wearcast.wear.fitting.prior_at`."""

    @property
    def size(self) -> int:
        """Parameters without the tips."""
        return len(self.terms)

    def loglike(self, params: np.ndarray) -> float:
        """Log-likelihood, paces integrated out; tips, if not given, as estimated last."""
        params = self._whole(params)
        return sum(
            log_likelihood(*self._split(params, name), self.spells[name], params[self.size :])
            for name in self.seen()
        )

    def _split(self, params: np.ndarray, name: str) -> tuple[Own, np.ndarray]:
        """Own parameters and effects of a class."""
        place = self.places[name]
        log_shape = 0.0 if place.shape is None else float(params[place.shape])
        spread = 0.0 if place.spread is None else float(np.exp(params[place.spread]))
        return Own(params[place.rates], log_shape, spread), params[place.effects]

    def score(self, params: np.ndarray) -> np.ndarray:
        """Gradient of the log-likelihood."""
        return self.derivatives(self._whole(params)).gradient[: len(params)]

    def hessian(self, params: np.ndarray) -> np.ndarray:
        """Hessian of the log-likelihood."""
        return self.derivatives(self._whole(params)).hessian.body

    def _whole(self, params: np.ndarray) -> np.ndarray:
        return params if len(params) != self.size else np.concatenate([params, self.tips])

    def derivatives(self, params: np.ndarray, *, life_scale: bool = False) -> Derivatives:
        """Log-likelihood, gradient and Hessian by (terms, machines); on the life scale if asked."""
        parts = self.parts(params, life_scale=life_scale)
        size = self.size
        gradient = np.zeros(size + self.machines)
        hessian = Arrow(
            np.zeros((size, size)), np.zeros((size, self.machines)), np.zeros(self.machines)
        )
        for name, part in parts.items():
            at = self.columns(name)
            gradient[at] += part.gradient
            hessian.body[np.ix_(at, at)] += part.hessian
            if self.machines:
                tip = self.spells[name].tip
                gradient[size + tip] += part.tips
                hessian.arms[np.ix_(at, tip)] += part.arms
                hessian.tips[tip] += part.tip_bend
        value = sum(part.value for part in parts.values())
        return Derivatives(value, gradient, hessian)

    def parts(self, params: np.ndarray, *, life_scale: bool = False) -> dict[str, ClassPart]:
        """Each class's part, by its `columns`; those of the point asked last are at hand."""
        asked = (params.tobytes(), life_scale)
        if self._last[0] != asked:
            parts = {name: self._class_part(params, name, life_scale) for name in self.seen()}
            self._last = asked, parts
        return self._last[1]

    def third_derivatives(self, params: np.ndarray, name: str) -> tuple[np.ndarray, np.ndarray]:
        """Of a class, machine by machine, on the life scale: see `machine_thirds`."""
        own, effects = self._split(params, name)
        own = own._replace(log_rates=own.log_rates + log_mean_factor(own.log_shape))
        return machine_thirds(own, effects, self.spells[name], params[self.size :])

    def columns(self, name: str) -> np.ndarray:
        """Places of the parameters that act on a class, its own first."""
        place = self.places[name]
        return np.concatenate([np.arange(self.size)[place.whole], place.effects])

    def _class_part(self, params: np.ndarray, name: str, life_scale: bool) -> ClassPart:
        """Derivatives of one class, by its own parameters and effects."""
        own, effects = self._split(params, name)
        if life_scale:
            own = own._replace(log_rates=own.log_rates + log_mean_factor(own.log_shape))
        part = class_part(own, effects, self.spells[name], params[self.size :])
        if life_scale:
            part = _on_life_scale(part, len(self.floors), own.log_shape)
        if self.shaped and self.paced:
            return part
        keep = np.ones(len(part.gradient), bool)
        keep[len(self.floors) : len(self.floors) + 2] = self.shaped, self.paced
        return part._replace(
            gradient=part.gradient[keep],
            hessian=part.hessian[np.ix_(keep, keep)],
            arms=part.arms[keep],
        )

    def to_rates(self, params: np.ndarray) -> np.ndarray:
        """Parameters on the life scale -> log rates."""
        out = params.copy()
        for place in self.places.values():
            if place.shape is not None:
                out[place.rates] += log_mean_factor(params[place.shape])
        return out

    def rates_jacobian(self, params: np.ndarray) -> np.ndarray:
        """Derivative of `to_rates` by the terms: array (terms, terms)."""
        jacobian = np.eye(self.size)
        for place in self.places.values():
            if place.shape is not None:
                jacobian[place.rates, place.shape] = mean_factor_slopes(params[place.shape])[0]
        return jacobian

    def optimum(
        self,
        start: np.ndarray,
        prior: Prior | None = None,
        held: np.ndarray | None = None,
        most_steps: int = MOST_STEPS,
    ) -> Optimum:
        """The estimate on the life scale: maximum of the likelihood, or of it times the prior.

        Parameters
        ----------
        start : array (terms + machines,)
            On the life scale, as are the parameters of what is returned.
        prior : Prior, optional
        held : bool array (terms,), optional
            Terms that stay as they are in `start`.
        most_steps : int
        """
        if held is None or not held.any():
            return maximise(lambda params: self.penalised(params, prior), start, most_steps)
        free = np.concatenate([~held, np.ones(self.machines, dtype=bool)])

        def whole(some: np.ndarray) -> np.ndarray:
            every = start.copy()
            every[free] = some
            return every

        def derivatives_at(some: np.ndarray) -> Derivatives:
            here = self.penalised(whole(some), prior)
            return Derivatives(here.value, here.gradient[free], here.hessian.without(held))

        best = maximise(derivatives_at, start[free], most_steps)
        return best._replace(params=whole(best.params))

    def penalised(self, params: np.ndarray, prior: Prior | None) -> Derivatives:
        """Log-posterior on the life scale with its derivatives; log-likelihood without a prior."""
        here = self.derivatives(params, life_scale=True)
        if prior is None:
            return here
        off = params - prior.mean
        pulled = prior.weight.times(off)
        return Derivatives(
            here.value - 0.5 * float(off @ pulled),
            here.gradient - pulled,
            here.hessian.plus(-prior.weight.body, -prior.weight.tips),
        )

    def only_seen(self) -> "WearModel":
        """The same model of the classes that have a spell; itself if all have."""
        seen = self.seen()
        if len(seen) == len(self.spells):
            return self
        return WearModel(
            {name: self.spells[name] for name in seen},
            self.floors,
            {name: self.named[name] for name in seen},
            self.machines,
            paced=self.paced,
            shaped=self.shaped,
        )

    def seen(self) -> list[str]:
        """Classes that have a spell."""
        return [name for name, group in self.spells.items() if len(group.ended)]

    def _places(self) -> dict[str, Place]:
        """Where each class stands in the vector."""
        floors, step = len(self.floors), len(self.floors) + self.shaped + self.paced
        behind = {term: step * len(self.named) + at for at, term in enumerate(self.effects)}
        places = {}
        for number, (name, terms) in enumerate(self.named.items()):
            start = number * step
            shape = start + floors
            places[name] = Place(
                slice(start, shape),
                shape if self.shaped else None,
                shape + self.shaped if self.paced else None,
                slice(start, start + step),
                np.array([behind[term] for term in terms], dtype=int),
            )
        return places

    def _quarters(self) -> dict[str, list[tuple[np.ndarray, np.ndarray]]]:
        """See `quarters`."""
        found: dict[str, dict[str, list[tuple[int, int]]]] = {}
        for at, term in enumerate(self.effects):
            effect = effect_of(term)
            if effect in STAYS:
                quarter, place = quarter_of_term(term)
                spot = self.size - len(self.effects) + at
                found.setdefault(effect, {}).setdefault(place, []).append((quarter, spot))
        return {
            effect: [
                (np.array([spot for _, spot in sorted(one)]), np.array([q for q, _ in sorted(one)]))
                for one in blocks.values()
            ]
            for effect, blocks in found.items()
        }

    def _own_terms(self, name: str) -> list[str]:
        """Parameter names of a class, in order."""
        return [
            *(f"log rate[{name}, {floor}]" for floor in self.floors),
            *([f"log shape[{name}]"] if self.shaped else []),
            *([f"log spread[{name}]"] if self.paced else []),
        ]


def _on_life_scale(part: ClassPart, floors: int, log_shape: float) -> ClassPart:
    """Derivatives by log rates turned into derivatives by -log(mean life)."""
    first, second = mean_factor_slopes(log_shape)
    bent = second * part.gradient[:floors].sum()
    gradient, hessian, arms = part.gradient.copy(), part.hessian.copy(), part.arms.copy()
    for held in (gradient, hessian, hessian.T, arms):
        held[floors] += first * held[:floors].sum(axis=0)
    hessian[floors, floors] += bent
    return part._replace(gradient=gradient, hessian=hessian, arms=arms)
