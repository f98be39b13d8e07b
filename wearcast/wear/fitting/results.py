"""An estimate as statsmodels shows it: params, bse, covariance, intervals, llf, summary.

Made when somebody asks: most runs never do, and statsmodels takes half a second to import.
"""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from wearcast.wear.fitting.model import WearModel

if TYPE_CHECKING:
    from statsmodels.base.model import GenericLikelihoodModelResults


class Estimate(NamedTuple):
    """What a fit found."""

    model: WearModel
    params: np.ndarray
    """array (terms + machines,): log rates, tips behind"""
    cov: np.ndarray
    """array (terms, terms)"""

    def results(self) -> "GenericLikelihoodModelResults":
        """The same as statsmodels' results."""
        from statsmodels.base.model import (
            GenericLikelihoodModel,
            GenericLikelihoodModelResults,
            LikelihoodModelResults,
        )

        model, size = self.model, self.model.size
        model.tips = self.params[size:]
        hours = [group.hours.sum(axis=1) for group in model.spells.values()]
        shown = GenericLikelihoodModel(
            np.concatenate([*hours, np.empty(0)]),
            loglike=model.loglike,
            score=model.score,
            hessian=model.hessian,
            extra_params_names=list(model.terms),
        )
        plain = LikelihoodModelResults(
            shown, self.params[:size], normalized_cov_params=self.cov, scale=1.0
        )
        shown.df_resid, shown.df_model = float(shown.endog.shape[0] - size), 0.0
        return GenericLikelihoodModelResults(shown, plain)


class LazyResults(Mapping[str, "GenericLikelihoodModelResults"]):
    """Statsmodels' results by wear class, each made when it is looked up."""

    def __init__(self, estimates: Mapping[str, Estimate]) -> None:
        self._estimates = dict(estimates)

    def __getitem__(self, name: str) -> "GenericLikelihoodModelResults":
        """The results of a class."""
        return self._estimates[name].results()

    def __iter__(self) -> Iterator[str]:
        """The classes."""
        return iter(self._estimates)

    def __len__(self) -> int:
        """How many classes were fitted."""
        return len(self._estimates)
