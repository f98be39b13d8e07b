"""``wearcast quote``: what it prices, what it refuses, what it tells."""

import json
from pathlib import Path

import pytest

from tests.cli.logbooks import write_logbook
from wearcast.cli.main import run

FEW = ["--draws", "60"]


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
    assert run(["quote", proposal, "--learn-from", str(logbook), *FEW]) == 0
    out, err = capsys.readouterr()
    assert "Where the spread of the whole contract comes from" in out
    assert "Did you mean vinyl?" in " ".join(err.split())


def test_a_proposal_can_be_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    proposal = proposal_of(tmp_path / "proposal", "A1,2027-01-01,twenty\n")
    assert run(["check", proposal, "--proposal"]) == 1
    assert 'hours_per_week "twenty": not a number' in capsys.readouterr().out


def test_saved_rates_price_a_proposal_as_the_logbook_does(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    rates = tmp_path / "rates.json"
    assert run(["floors", str(logbook), "--save-rates", str(rates), "-q", *FEW]) == 0
    plans = "".join(f"{machine},2027-01-01,20\n" for machine in ("A1", "A2", "B1"))
    proposal = proposal_of(tmp_path / "proposal", plans)
    capsys.readouterr()
    quoted = []
    for source in (["--rates", str(rates)], ["--learn-from", str(logbook)]):
        assert run(["quote", proposal, *source, "--years", "2", "--json", *FEW]) == 0
        quoted.append(json.loads(capsys.readouterr().out)["quote"])
    assert quoted[0] == quoted[1]
    assert [row["year"] for row in quoted[0]] == ["1", "2", "1 to 2"]
    place = tmp_path / "quote"
    assert run(["quote", proposal, "--rates", str(rates), "-o", str(place), *FEW]) == 0
    assert {path.name for path in place.iterdir()} == {
        "quote.csv",
        "quote.xlsx",
        "quote.html",
        "run.json",
    }
