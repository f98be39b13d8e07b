"""Effects on life, in figures and words."""

from types import SimpleNamespace

import pandas as pd

from tests.conftest import assert_table, table
from wearcast.reports.effects import effects_shown


def shown(effects: pd.DataFrame) -> pd.DataFrame:
    classes, kinds = ("gum", "nylon", "pu", "scrub"), ("blade", "brush", "blade", "pad")
    return effects_shown(SimpleNamespace(classes=classes, kinds=kinds, effect_table=effects))


def test_an_effect_says_what_its_range_allows():
    effects = table("""
        wears_as  effect   life_ratio  low   high
        gum       front    0.85        0.80  0.90
        nylon     turning  1.20        1.10  1.31
        pu        front    0.97        0.90  1.05
    """)
    assert_table(
        shown(effects),
        """
        wears_as  against                           life_ratio  low   high  meaning
        gum       front against rear                0.85        0.80  0.90  front ones last 15 % shorter
        pu        front against rear                0.97        0.90  1.05  the log cannot tell: the range holds 1
        nylon     turned end for end against never  1.20        1.10  1.31  regularly turned ones last 20 % longer
        """,  # noqa: E501
    )


def test_what_the_log_cannot_tell_is_said_plainly():
    unknown = "the log cannot tell: too few worn ends on one side or the other"
    frame = shown(pd.DataFrame())
    assert list(frame["wears_as"]) == ["gum", "pu", "nylon"]
    assert set(frame["meaning"]) == {unknown}
    assert frame["life_ratio"].isna().all()


def test_a_fleet_without_blades_and_brushes_has_nothing_to_compare():
    pads = SimpleNamespace(classes=("scrub",), kinds=("pad",), effect_table=pd.DataFrame())
    assert effects_shown(pads).empty
