"""``wearcast quote``: what it prices, what it refuses, what it tells."""

import json
import os
from pathlib import Path

import pytest

from tests.cli.logbooks import write_logbook
from wearcast.cli.main import run
from wearcast.decisions.quoting.saved_rates import signed

FEW = ["--draws", "60"]
ALL = "".join(f"{machine},2027-01-01,20\n" for machine in ("A1", "A2", "B1"))


@pytest.fixture(scope="module")
def logbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_logbook(tmp_path_factory.mktemp("log") / "logbook")


def proposal_of(place: Path, plans: str = "", **tables: str) -> str:
    """A proposed fleet like the logbook's, with the plans given."""
    return str(
        write_logbook(
            place,
            readings="machine,date,hours\n",
            changes="machine,date,position,action\n",
            plans=f"machine,start,hours_per_week\n{plans}",
            **tables,
        )
    )


@pytest.mark.parametrize(
    ("plans", "tables", "told"),
    [
        (
            "",
            {},
            "no hours are planned for any machine of the proposal, so there is nothing to price; "
            "add a table plans with machine, start and hours_per_week",
        ),
        (
            "A1,2027-01-01,20\n",
            {"positions": "machine,position,part,pieces\n"},
            "the proposal has no positions, so nothing would wear; add a table positions with "
            "machine, position and part",
        ),
    ],
    ids=["hours", "positions"],
)
def test_a_proposal_with_nothing_to_price_is_refused(
    logbook: Path,
    tmp_path: Path,
    plans: str,
    tables: dict[str, str],
    told: str,
    capsys: pytest.CaptureFixture[str],
):
    proposal = proposal_of(tmp_path / "proposal", plans, **tables)
    asked = ["quote", proposal, "--learn-from", str(logbook), "-o", str(tmp_path / "quote"), *FEW]
    assert run(asked) == 2
    assert capsys.readouterr() == ("", f"wearcast: {told}\n")
    assert not (tmp_path / "quote").exists()


def test_a_quote_tells_what_it_leans_on(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    floors = "machine,floor,share\nA1,vynil,100\n"
    proposal = proposal_of(tmp_path / "proposal", "A1,2027-01-01,20\n", floors=floors)
    assert run(["quote", proposal, "--learn-from", str(logbook), *FEW]) == 1
    out, err = capsys.readouterr()
    assert out.startswith("Not in the price: no planned hours for ")
    assert "Less sure: 100 % of the money is for wear that nobody measured" in " ".join(out.split())
    assert "Where the spread of the whole contract comes from" in out
    assert "Did you mean vinyl?" in " ".join(err.split())


def test_a_proposal_can_be_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    proposal = proposal_of(tmp_path / "proposal", "A1,2027-01-01,twenty\n")
    assert run(["check", proposal, "--proposal"]) == 1
    assert 'hours_per_week "twenty": not a number' in capsys.readouterr().out


def test_a_proposal_is_checked_against_rates_before_it_is_priced(
    saved: dict[str, object], tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    rates = tmp_path / "rates.json"
    rates.write_text(json.dumps(saved))
    parts = "part,name,kind,edges,price\nBL-1,gum blade,blade,4,\n"
    floors = "machine,floor,share\nA1,moss,100\nA2,vinyl,100\nB1,vinyl,100\n"
    plans = "A1,2027-01-01,20\nA2,2027-01-01,20\n"
    proposal = proposal_of(tmp_path / "proposal", plans, floors=floors, parts=parts)
    assert run(["check", proposal, "--proposal", "--rates", str(rates)]) == 1
    out = " ".join(capsys.readouterr().out.split())
    for told in (
        "no price for BL-1",
        "no planned hours for B1",
        "Less sure, as nobody measured the wear there: BL-1 on moss",
        'floor "moss": nobody has measured wear on this floor',
        "Hours a week as priced",
        "the rates are of one operator",
    ):
        assert told in out
    assert run(["check", proposal, "--rates", str(rates)]) == 2
    assert "--rates goes with --proposal" in capsys.readouterr().err


def test_saved_rates_price_a_proposal_as_the_logbook_does(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    rates = tmp_path / "rates.json"
    assert run(["floors", str(logbook), "--save-rates", str(rates), "-q", *FEW]) == 0
    proposal = proposal_of(tmp_path / "proposal", ALL)
    capsys.readouterr()
    quoted = []
    for source in (["--rates", str(rates)], ["--learn-from", str(logbook)]):
        assert run(["quote", proposal, *source, "--years", "2", "--json", *FEW]) == 0
        said = json.loads(capsys.readouterr().out)
        quoted.append(said["quote"])
        assert (said["as_of"], said["start"]) == ("2026-12-31", "2027-01-01")
    assert quoted[0] == quoted[1]
    assert [row["year"] for row in quoted[0]] == ["1", "2", "1 to 2"]
    place = tmp_path / "quote"
    assert run(["quote", proposal, "--rates", str(rates), "-o", str(place), *FEW]) == 0
    assert {path.name for path in place.iterdir()} == {
        "quote.csv",
        "quote.xlsx",
        "quote.html",
        "working.xlsx",
        "working.html",
        "sensitivity.csv",
        "missing.csv",
        "priced_hours.csv",
        "run.json",
    }


@pytest.fixture(scope="module")
def saved(logbook: Path) -> dict[str, object]:
    place = logbook.parent / "rates.json"
    assert run(["floors", str(logbook), "--save-rates", str(place), *FEW]) == 0
    return json.loads(place.read_text(encoding="utf-8"))


def told_of(rates: str | bytes, place: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """What a quote by these rates says, which must be one line."""
    (place / "rates.json").write_bytes(rates if isinstance(rates, bytes) else rates.encode())
    proposal = proposal_of(place / "proposal", "A1,2027-01-01,20\n")
    assert run(["quote", proposal, "--rates", str(place / "rates.json"), "-q", *FEW]) == 2
    (told,) = capsys.readouterr().err.splitlines()
    return told.replace(str(place), "")


FOREIGN = {
    "nested without end": b"[" * 200_000,
    "objects nested without end": b'{"a":' * 200_000,
    "no text": b"\xff\xfe",
    "a number beyond numbers": b'{"format": ' + b"9" * 10_000 + b"}",
    "no finite number": b'{"format": NaN}',
    "a list": b"[]",
    "half a letter": b'{"blocks": "\\ud800"}',
    "nothing": b"",
}


@pytest.mark.parametrize("content", FOREIGN.values(), ids=FOREIGN)
def test_a_file_of_another_kind_is_no_rates_file(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    told = told_of(content, tmp_path, capsys)
    assert told == "wearcast: /rates.json is not a rates file; save one with wearcast floors"


def test_a_rates_file_larger_than_any_is_not_even_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    (tmp_path / "rates.json").touch()
    os.truncate(tmp_path / "rates.json", 10**12)
    proposal = proposal_of(tmp_path / "proposal", "A1,2027-01-01,20\n")
    assert run(["quote", proposal, "--rates", str(tmp_path / "rates.json"), *FEW]) == 2
    assert "is not a rates file" in capsys.readouterr().err


def test_a_file_that_was_edited_is_told_as_such(
    saved: dict[str, object], tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    told = told_of(json.dumps(saved | {"floors": ["vinyl"]}), tmp_path, capsys)
    assert told.startswith("wearcast: /rates.json: The file of saved rates was changed after")


def test_rates_without_prices_price_nothing_and_say_how_to_save_them(
    saved: dict[str, object], tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    rates = tmp_path / "rates.json"
    rates.write_text(json.dumps(saved))
    proposal = proposal_of(
        tmp_path / "proposal", "A1,2027-01-01,20\n", parts="part,kind\nBL-1,blade\n"
    )
    assert run(["quote", proposal, "--rates", str(rates), "-q", *FEW]) == 2
    assert "--save-rates FILE --with-prices" in capsys.readouterr().err


CHANGES = {
    "a table that is a number": {"floor_table": 1e308},
    "a table that is a list": {"effect_table": [[]]},
    "a date that is none": {"learnt_from": {"to": "x"}},
    "no settings": {"settings": None},
    "parts that are numbers": {"parts": [1, 2]},
    "a price that is a list": {"parts": [{"part": "BL-1", "price": [[]]}]},
    "blocks of another shape": {"worn": {"name": "x", "terms": [True], "mean": [[1]]}},
    "habits beyond sense": {"habits": [{"wears_as": "BL-1", "cause": "worn", "alpha": "x"}]},
    "a format of the future": {"format": 99},
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_rates_that_were_changed_are_told_as_such(
    change: dict[str, object],
    saved: dict[str, object],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
):
    told = told_of(json.dumps(signed(saved | change)), tmp_path, capsys)
    assert "save the rates anew" in told


def test_the_cheapest_parts_are_told_with_what_they_save(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    proposal = proposal_of(tmp_path / "proposal", ALL)
    assert run(["quote", proposal, "--learn-from", str(logbook), "--cheapest", *FEW]) == 0
    said = capsys.readouterr().out
    assert "Parts that cost less, in place of the proposal's" in said
    assert "cheapest part of its use at every position" in said or "chance that they save" in said


def test_two_quotes_stand_side_by_side(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    command = ["quote", proposal_of(tmp_path / "proposal", ALL), "--learn-from", str(logbook)]
    other = str(tmp_path / "other")
    assert run([*command, "-o", other, *FEW]) == 0
    capsys.readouterr()
    assert run([*command, "--hours", "2", "--compare", other, *FEW]) == 0
    said = capsys.readouterr().out.partition("Side by side with")[2]
    figures = said.splitlines()[-2].replace(",", "").split()
    # 1 to 3: expected now and then; two shifts cost about twice as much.
    assert 1.8 < float(figures[3]) / float(figures[4]) < 2.3


def test_a_folder_without_a_quote_is_refused_by_name(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    plans = "A1,2027-01-01,20\n"
    command = ["quote", proposal_of(tmp_path / "proposal", plans), "--learn-from", str(logbook)]
    assert run([*command, "--compare", str(tmp_path), *FEW]) == 2
    assert "holds no quote.csv to compare with" in capsys.readouterr().err
