"""The commands from end to end, on a small logbook."""

import csv
import json
import re
import shlex
from pathlib import Path

import pandas as pd
import pytest

from tests.cli.logbooks import readings, write_logbook
from wearcast.cli.main import run
from wearcast.reports.fields import OUTPUTS

ROOT = Path(__file__).parent.parent
FEW = ["--draws", "60"]
FILES = {
    "order", "forecast", "quantiles", "floors", "machines", "edges", "due", "cost", "spells",
    "problems",
}  # fmt: skip


@pytest.fixture(scope="module")
def logbook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_logbook(tmp_path_factory.mktemp("log") / "logbook")


@pytest.fixture(scope="module")
def reported(logbook: Path) -> Path:
    place = logbook.parent / "reports"
    assert run(["report", str(logbook), "-o", str(place), "-q", *FEW]) == 0
    return place


def contents(place: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(place.iterdir())}


def test_a_report_holds_every_file_of_the_contract(reported: Path):
    names = {path.name for path in reported.iterdir()}
    assert {f"{name}.csv" for name in FILES} <= names
    assert {"order.xlsx", "report.html", "order-by.ics", "run.json"} <= names
    assert "order-hill-sons.csv" in names
    assert not [name for name in names if name.startswith(".")]


CONTRACT = [
    "depot", "part", "name", "supplier", "on_hand", "on_order", "expected_use", "use_p05",
    "use_p50", "use_p95", "order_up_to", "order_pieces", "order_packs", "unit_price",
    "line_total", "order_by", "runs_out_p05", "runs_out_p50", "status", "why",
]  # fmt: skip
"""The columns that readers of order.csv count on, in their order; others come after them."""


def test_the_order_begins_with_the_columns_promised(reported: Path):
    with (reported / "order.csv").open(encoding="utf-8", newline="") as file:
        heading = next(csv.reader(file))
    assert heading[: len(CONTRACT)] == CONTRACT
    assert {"from", "to", "order_on"} <= set(heading[len(CONTRACT) :])


@pytest.mark.parametrize("name", sorted(FILES))
def test_a_file_bears_the_columns_of_the_contract_in_their_order(reported: Path, name: str):
    with (reported / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        heading = next(csv.reader(file))
    wanted = [field.name for field in OUTPUTS[name]]
    assert [column for column in heading if column in wanted] == wanted


def test_every_file_but_the_csvs_carries_the_run_id(reported: Path):
    listing = json.loads((reported / "run.json").read_text())
    assert listing["run"].encode() in (reported / "report.html").read_bytes()
    assert listing["run"].encode() in (reported / "order-by.ics").read_bytes()
    assert set(listing["files"]) == {path.name for path in reported.iterdir()} - {"run.json"}


def test_a_second_run_writes_the_same_bytes_over_the_first(logbook: Path, reported: Path):
    before = contents(reported)
    assert run(["report", str(logbook), "-o", str(reported), "-q", *FEW]) == 0
    assert contents(reported) == before


def test_a_report_is_never_written_into_its_logbook(
    logbook: Path, capsys: pytest.CaptureFixture[str]
):
    before = contents(logbook)
    assert run(["report", str(logbook), "-o", str(logbook), *FEW]) == 2
    assert "is the logbook itself" in capsys.readouterr().err
    assert contents(logbook) == before


def test_rows_set_aside_end_in_exit_code_1_and_stand_in_every_list(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    broken = write_logbook(
        tmp_path / "log", readings=readings() + "A1,2026-10-31,many\nC9,2026-10-30,5\n"
    )
    place = tmp_path / "reports"
    assert run(["report", str(broken), "-o", str(place), *FEW]) == 1
    assert "1 set aside" in capsys.readouterr().err
    problems = pd.read_csv(place / "problems.csv", keep_default_na=False)
    assert "many" in set(problems["value"])
    # A finding of the hours ahead, whose maker knows the table alone, names the table's file.
    still = problems[problems["value"].eq("C9") & problems["what"].str.contains("no hours are")]
    assert [Path(each).name for each in still["file"]] == ["readings.csv"]
    assert b"many" in (place / "report.html").read_bytes()
    assert run(["check", str(broken)]) == 1
    assert '"many"' in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments",
    [["order"], ["floors"], ["due", "--due-weeks", "8"], ["cost", "--by", "machine"], ["check"]],
    ids=lambda arguments: arguments[0],
)
def test_json_is_one_document_without_nan(
    logbook: Path, arguments: list[str], capsys: pytest.CaptureFixture[str]
):
    name, *more = arguments
    few = [] if name == "check" else FEW
    assert run([name, str(logbook), "--json", *more, *few]) == 0
    answer = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    assert answer["command"] == name
    assert answer["as_of"] == "2026-10-30"


def test_the_order_on_the_screen_is_that_of_the_file(
    logbook: Path, reported: Path, capsys: pytest.CaptureFixture[str]
):
    assert run(["order", str(logbook), "--json", *FEW]) == 0
    rows = json.loads(capsys.readouterr().out)["order"]
    written = pd.read_csv(reported / "order.csv")
    assert [row["order_pieces"] for row in rows] == list(written["order_pieces"])
    assert [row["order_by"] for row in rows] == list(written["order_by"])


def test_an_order_alone_lies_beside_the_report_it_was_not_made_by(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    place = str(tmp_path / "r")
    assert run(["report", str(logbook), "-o", place, "-q", *FEW]) == 0
    assert run(["order", str(logbook), "-o", place, "-q", "--quarter", "2027Q2", *FEW]) == 0
    assert "lasts until 30 June 2027" in capsys.readouterr().out
    listing = json.loads((tmp_path / "r" / "run.json").read_text())
    assert "report.html" in listing["earlier"]
    assert "order.xlsx" in listing["files"]


def test_what_changed_since_the_last_report_is_told(
    logbook: Path,
    reported: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
):
    monkeypatch.setenv("COLUMNS", "300")
    richer = write_logbook(tmp_path / "log", stock="part,on_hand,depot\nBL-1,500,north\n")
    assert run(["order", str(richer), "--compare", str(reported), *FEW]) == 0
    out = capsys.readouterr().out
    assert f"News since {reported}" in out
    assert "delivered or counted more (-499.0 pieces)" in out


def test_a_site_asked_for_is_the_only_one_listed(logbook: Path, capsys: pytest.CaptureFixture[str]):
    assert run(["due", str(logbook), "--site", "hall b", "--due-weeks", "52", *FEW]) == 0
    out = capsys.readouterr().out
    assert "B1" in out
    assert "A1" not in out


def test_a_handling_job_comes_with_its_cautions(logbook: Path, capsys: pytest.CaptureFixture[str]):
    assert run(["due", str(logbook), "-q", *FEW]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert run(["due", str(logbook), "--json", *FEW]) == 0
    for words in json.loads(capsys.readouterr().out)["cautions"]:
        assert words in shown
    assert "disconnect the battery where the manual says so" in shown


def test_a_sites_cost_is_split_by_what_is_asked_for(
    logbook: Path, capsys: pytest.CaptureFixture[str]
):
    cost: dict[str, list[dict[str, object]]] = {}
    for by in ("site", "floor"):
        assert run(["cost", str(logbook), "--by", by, "--site", "Hall B", "--json", *FEW]) == 0
        cost[by] = json.loads(capsys.readouterr().out)["cost"]
    assert {row["where"] for row in cost["site"]} == {"Hall B"}
    assert {row["where"] for row in cost["floor"]} == {"Hall B", "vinyl"}


def test_what_is_left_out_for_want_of_a_price_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    bare = "part,kind,edges\nBL-1,blade,4\n"
    folder = write_logbook(tmp_path / "log", parts=bare)
    assert run(["cost", str(folder), "-q", *FEW]) == 0
    assert "Not in these figures, as no price is known: BL-1." in capsys.readouterr().out
    assert run(["order", str(folder), "-q", *FEW]) == 0
    assert "Total 0.00, without 1 line of no price" in capsys.readouterr().out


@pytest.mark.parametrize("command", ["order", "report"])
def test_a_folder_to_compare_with_is_looked_at_before_anything_is_done(
    logbook: Path, tmp_path: Path, command: str, capsys: pytest.CaptureFixture[str]
):
    place = tmp_path / "out"
    assert run([command, str(logbook), "-o", str(place), "--compare", str(tmp_path), *FEW]) == 2
    assert capsys.readouterr() == (
        "", f"wearcast: {tmp_path} holds no order.csv to compare with; give a folder that wearcast "
        "wrote\n",
    )  # fmt: skip
    assert not place.exists()


def test_a_blank_logbook_is_never_written_over_another(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    place = tmp_path / "log.xlsx"
    assert run(["new", str(place)]) == 0
    assert place.read_bytes().startswith(b"PK")
    assert run(["new", str(place)]) == 2
    assert "is not ours to replace" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["nowhere.xlsx", "empty"])
def test_a_logbook_that_cannot_be_read_ends_in_one_line(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
):
    (tmp_path / "empty").mkdir()
    assert run(["report", str(tmp_path / name), "-o", str(tmp_path / "r")]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("wearcast: ")
    assert err.count("\n") == 1
    assert not (tmp_path / "r").exists()


def test_a_marked_copy_is_written_and_the_logbook_left_alone(
    logbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    before = contents(logbook)
    copy = tmp_path / "copy.xlsx"
    assert run(["check", str(logbook), "--marked", str(copy)]) == 0
    assert copy.read_bytes().startswith(b"PK")
    assert contents(logbook) == before


def readme_commands() -> list[list[str]]:
    """The examples of README as they are typed, but for the report, which Start's line makes."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    examples = text.split("## Three people")[1].split("## The logbook")[0]
    blocks = re.findall(r"```sh\n(.*?)```", examples, re.DOTALL)
    lines = [shlex.split(line) for block in blocks for line in block.splitlines()]
    assert all(line[0] == "wearcast" for line in lines)
    return [line[1:] for line in lines if line[1] != "report"]


def test_the_examples_of_the_readme_run_as_they_are_typed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    (tmp_path / "sample_logs").symlink_to(ROOT / "sample_logs")
    monkeypatch.chdir(tmp_path)
    commands = readme_commands()
    told = {"order", "due", "floors", "machines", "quote"}
    assert {command[0] for command in commands} == told
    said = {}
    for command in commands:
        assert run([*command, "--draws", "40"]) == 0, command
        said[command[0]] = said.get(command[0], "") + capsys.readouterr().out
    assert "overdue" in said["order"]
    assert "TB-01" in said["due"]
    assert "SL-05" not in said["due"]
    assert "quarry tile" in said["floors"]
    assert "front against rear" in said["floors"]
    assert "1 to 3" in said["quote"]
    made = {f"{path.parent.name}/{path.name}" for path in tmp_path.glob("*/*")}
    assert {"order/order.xlsx", "order/order-by.ics", "quote/quote.html"} <= made
    assert (tmp_path / "rates.json").exists()
