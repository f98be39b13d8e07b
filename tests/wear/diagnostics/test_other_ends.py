"""Edges damaged or taken off more often than before are told."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from wearcast.told import GRAVE
from wearcast.wear.diagnostics.other_ends import tell_other_ends

AS_OF = pd.Timestamp("2026-06-30")


def log(cause, since, share, before=0.1):
    """Ten machines, a life of ten days each over two years; a share ends so, newly another."""
    day = np.tile(np.arange(0, 720, 10), 10)
    rng = np.random.default_rng(1)
    other = rng.random(len(day)) < np.where(day < since, share, before)
    spells = pd.DataFrame({"machine": np.repeat([f"M{n}" for n in range(10)], 72)}).assign(
        end=AS_OF - pd.to_timedelta(day, "D"), start=AS_OF - pd.to_timedelta(day + 10, "D"),
        hours=20.0, site="Hall", wears_as="gum", in_fit=True, ended="fit",
        cause=np.where(other, cause, "worn"),
    )  # fmt: skip
    return SimpleNamespace(spells=spells, as_of=AS_OF), SimpleNamespace(spells={"gum": None})


@pytest.mark.parametrize(
    ("cause", "words"),
    [("damaged", "damaged"), ("planned", "taken off before they are worn")],
)
def test_ends_that_became_more_are_told_with_what_they_come_to(cause, words):
    (told,) = tell_other_ends(*log(cause, since=90, share=0.6))
    assert told.wrong.startswith(f"gum edges are {words} ")
    assert "parts are too few" in told.wrong
    assert told.weight >= GRAVE


@pytest.mark.parametrize(
    "known",
    [
        pytest.param(log("damaged", since=90, share=0.1), id="as ever"),
        pytest.param(log("damaged", since=300, share=0.05, before=0.01), id="few of all ends"),
        pytest.param(log("worn", since=90, share=0.5), id="none"),
    ],
)
def test_ends_as_ever_or_of_no_account_are_not(known):
    assert tell_other_ends(*known) == []


def test_ends_that_became_more_at_one_site_are_told_of_it():
    history, wear = log("damaged", since=60, share=0.5)
    calm, _ = log("damaged", since=60, share=0.1)
    other = [calm.spells.assign(site=name, machine=calm.spells["machine"] + name) for name in "BCD"]
    history.spells = pd.concat([history.spells, *other], ignore_index=True)
    history.spells["wears_as"] = history.spells["machine"].str[:2].map(lambda one: f"gum {one}")
    wear.spells = dict.fromkeys(history.spells["wears_as"])
    (told,) = tell_other_ends(history, wear)
    assert told.wrong.startswith("edges at Hall are damaged ")
