"""Wear of machines that nobody has measured."""

import numpy as np
import pandas as pd
import pytest

from tests.decisions.makers import choices, filled
from wearcast.decisions.quoting.strangers import draw_strangers

PARTS = filled(
    "parts",
    """
    part  kind   wears_as  edges  usual_hours
    GUM   blade  gum       1      -
    NEW   other  felt      1      700
""",
)


def seats(machine, wears_as, kind, position="front blade"):
    columns = {"machine": machine, "site": "", "position": position, "wears_as": wears_as,
               "kind": kind, "edges": 1.0}  # fmt: skip
    return pd.DataFrame(columns, index=[0])


def drawn(fitted, seat, size=4000):
    wear = fitted.wear
    return draw_strangers(wear, seat, wear.floors, PARTS, choices(draws=size))


def test_a_measured_machines_name_does_not_bring_its_pace(fitted):
    wear = fitted.wear
    name, kind = wear.classes[0], wear.kinds[0]
    measured = wear.spells[name].machines
    table = wear.machine_table[wear.machine_table["wears_as"] == name].set_index("machine")
    fastest = str(table["hazard"].reindex(list(measured)).idxmax())
    pace = drawn(fitted, seats(fastest, name, kind)).pace
    fresh = drawn(fitted, seats("never seen", name, kind)).pace
    # Gamma(1/v, 1/v) has mean 1 for whatever v; v is drawn too, and is one for both.
    error = np.hypot(pace.std(), fresh.std()) / np.sqrt(4000)
    assert abs(pace.mean() - 1) < 5 * error
    assert abs(pace.var() / fresh.var() - 1) < 0.2


def test_a_class_that_nobody_logged_lasts_its_usual_hours(fitted):
    life = 1 / drawn(fitted, seats("N1", "felt", "other", "skirt")).rate.astype(float)
    # Mean life = usual hours at the middle of the prior; rate = Gamma(1 + 1/k) / life, which for
    # shapes of 1.5 to 4 is 0.89 to 0.91. The middle of 4,000 draws of a spread of 0.7 or so moves
    # by 1.4 %; its usual life without the catalogue's word would be another.
    assert np.median(life) == pytest.approx(700 / 0.89, rel=0.12)


def test_a_logged_sites_name_does_not_bring_its_wear(fitted):
    wear = fitted.wear
    name, kind = wear.classes[0], wear.kinds[0]
    logged = seats("N1", name, kind).assign(site=str(wear.spells[name].site[0]))
    there, fresh = (
        drawn(fitted, seat).site_lift[0].std() for seat in (logged, logged.assign(site="nowhere"))
    )
    # Both are drawn anew: 4,000 draws of normals of one sd.
    assert there == pytest.approx(fresh, rel=0.1)


def test_a_position_keeps_what_all_logged_ones_of_its_name_share(fitted):
    name, kind = fitted.wear.classes[0], fitted.wear.kinds[0]
    effect = f"front[{name}]"
    if effect not in fitted.wear.worn.terms:
        pytest.skip("the log of this fleet tells no front")
    front, rear = (
        drawn(fitted, seats("N1", name, kind, f"{side} blade")).rate for side in ("front", "rear")
    )
    at = fitted.wear.worn.terms.index(effect)
    ratio = np.median(front[0, :, 0] / rear[0, :, 0])
    assert np.log(ratio) == pytest.approx(fitted.wear.worn.mean[at], abs=0.02)
