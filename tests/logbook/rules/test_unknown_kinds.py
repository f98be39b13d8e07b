"""A turn of something that nothing says has edges is told before any figure."""

import pandas as pd
import pytest

from wearcast.logbook.rules.unknown_kinds import tell_unknown_kinds
from wearcast.logbook.schema.names import kind_of


def told(position, kind, catalogued=False, turns=3):
    parts = pd.DataFrame({"part": [position], "kind": [kind], "catalogued": [catalogued]})
    row = {"part": "", "position": position, "action": "turn", "source": "a.csv"}
    return list(
        tell_unknown_kinds(parts, pd.DataFrame([row] * turns).assign(row=range(2, 2 + turns)))
    )


def test_turns_of_a_code_are_told():
    (found,) = told("SQF", "other")
    assert "SQF, and the name says neither" in found.wrong
    assert found.weight >= 100
    assert found.rows == (2, 3, 4)


@pytest.mark.parametrize(
    "case", [("SQF", "other", True), ("SQF", "blade"), ("skirt", "other", False, 2)]
)
def test_others_are_not(case):
    assert told(*case) == []


@pytest.mark.parametrize(
    ("name", "kind"),
    [("Lippe vorn", "blade"), ("lame avant", "blade"), ("goma trasera", "blade"),
     ("Bürste links", "brush"), ("linker borstel", "brush"), ("flame guard", "other")],
)  # fmt: skip
def test_a_position_in_another_language_has_its_kind(name, kind):
    assert kind_of(name) == kind
