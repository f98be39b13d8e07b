"""The rates file: what it holds and hides, that it was not changed, and its declared form."""

import json
from pathlib import Path

import jsonschema
import numpy as np
import pandas as pd
import pytest

import wearcast
from wearcast.decisions.quoting import saved_rates as room
from wearcast.decisions.quoting.learnt import learnt_of_documents
from wearcast.decisions.quoting.saved_rates import catalogue_of, date_of, inherited, signed
from wearcast.errors import UnreadableFile


@pytest.fixture(scope="module")
def priced(fitted):
    """As another program would read it."""
    return json.loads(json.dumps(wearcast.rates(fitted, with_prices=True), allow_nan=False))


def test_the_file_is_what_its_schema_declares(fitted, priced):
    schema = json.loads((Path(room.__file__).parent / "rates.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    for document in (priced, json.loads(json.dumps(wearcast.rates(fitted)))):
        jsonschema.validate(document, schema)


def test_it_tells_what_it_was_learnt_from_and_no_names(fitted, priced):
    learnt = priced["learnt_from"]
    history = fitted.history
    assert (learnt["machines"], learnt["sites"], learnt["operators"]) == (8, 2, 1)
    assert learnt["to"] == f"{fitted.book.as_of:%Y-%m-%d}"
    assert date_of(priced) == fitted.book.as_of
    assert 0 < learnt["edges"] <= len(history.spells)
    names = {*history.spells["machine"], *history.spells["site"], *fitted.book.parts["supplier"]}
    text = json.dumps(priced)
    assert [name for name in names - {""} if f'"{name}"' in text or f" {name} " in text] == []


def test_prices_are_saved_only_if_asked(fitted, priced):
    plain = wearcast.rates(fitted)
    assert "price" not in plain["parts"][0]
    assert not plain["price_breaks"]
    assert catalogue_of(plain)["price"].isna().all()
    wanted = fitted.book.parts.set_index("part")["price"].astype(float)
    kept = catalogue_of(priced).set_index("part")["price"]
    pd.testing.assert_series_equal(kept, wanted, check_names=False)
    assert catalogue_of(priced)["usual_hours"].dtype == np.float64


@pytest.mark.parametrize(
    "edit",
    [
        lambda one: one["worn"]["mean"].__setitem__(0, one["worn"]["mean"][0] + 1e-9),
        lambda one: one["learnt_from"].update(edges=10**6),
        lambda one: one["parts"][0].update(price=0.01),
        lambda one: one.pop("sha256"),
    ],
    ids=["rate", "edges", "price", "digest"],
)
def test_a_number_that_was_changed_is_refused(priced, edit):
    document = json.loads(json.dumps(priced))
    edit(document)
    with pytest.raises(UnreadableFile, match="changed after it was saved"):
        learnt_of_documents([document])


def _negative(one):
    one["worn"]["cov"][0][0] *= -1


def _lopsided(one):
    one["worn"]["cov"][0][1] += 1.0


@pytest.mark.parametrize(
    ("edit", "wrong"),
    [
        (_negative, "cov is no covariance"),
        (_lopsided, "cov is no covariance"),
        (lambda one: one["off"].update(alpha=-1.0), "alpha"),
        (lambda one: one["habits"][0].update(usual=[1.5]), "chance outside"),
        (lambda one: one["kinds"].__setitem__(0, "blode"), "a kind that is none"),
        (lambda one: one["worn"]["terms"].__setitem__(0, one["worn"]["terms"][1]), "twice"),
    ],
    ids=["negative", "lopsided", "off", "habit", "kind", "terms"],
)
def test_what_cannot_be_is_refused_even_if_it_is_signed(priced, edit, wrong):
    document = json.loads(json.dumps(priced))
    edit(document)
    with pytest.raises(UnreadableFile, match=wrong):
        learnt_of_documents([signed(document)])


def test_of_several_files_the_first_ones_prices_hold_and_that_is_told(priced):
    dearer = json.loads(json.dumps(priced))
    dearer["parts"][0]["price"] = 99.0
    learnt = learnt_of_documents([priced, signed(dearer)])
    assert learnt.parts["price"].iloc[0] == priced["parts"][0]["price"]
    assert len(learnt.sources) == 2
    assert [each.wrong for each in learnt.told] == [
        f"the rates files price {priced['parts'][0]['part']} differently; the first one's price "
        "holds"
    ]
    (alone,) = learnt_of_documents([priced]).told
    assert alone.wrong.startswith("the rates are of one operator")


def test_a_part_of_another_log_wears_as_the_class_that_is_spelled_otherwise_here(priced):
    name = priced["classes"][0]
    other = json.loads(json.dumps(priced).replace(f'"{name}"', f'"{name.upper()}"'))
    other = json.loads(json.dumps(other).replace(f"[{name}", f"[{name.upper()}"))
    for line in other["parts"]:
        line["part"] += " (other)"
    learnt = learnt_of_documents([priced, signed(other)])
    assert set(learnt.parts["wears_as"]) == set(learnt.wear.classes) == set(priced["classes"])
    assert len(learnt.parts) == 2 * len(priced["parts"])


def test_the_same_rates_twice_are_not_two_operators(priced):
    with pytest.raises(UnreadableFile, match="given twice"):
        learnt_of_documents([priced, json.loads(json.dumps(priced))])


def test_a_whole_number_may_be_written_without_its_point(priced):
    text = json.dumps(priced).replace(".0,", ",").replace(".0]", "]").replace(".0}", "}")
    assert text != json.dumps(priced)
    assert len(learnt_of_documents([json.loads(text)]).sources) == 1


def test_a_proposal_takes_over_what_is_not_the_logbooks_own():
    own = {"as_of": "2026-12-31", "buyer": "Tram Barn", "labour_rate": "30", "currency": "EUR"}
    assert inherited(own) == {"currency": "EUR"}


def test_a_document_without_a_catalogue_or_a_date_has_none():
    assert catalogue_of({}) is None
    assert pd.isna(date_of({}))
