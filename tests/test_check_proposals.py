"""``wearcast check`` on a proposal that was not said to be one, and on limits that cannot be."""

from pathlib import Path

import pytest

from tests.logbook.makers import SOUND, read_tables, told_of, write_folder
from wearcast.cli.main import run

PROPOSED = ("machines", "floors", "positions", "parts")


@pytest.mark.parametrize("plans", [(), ("plans",)], ids=["without plans", "with plans"])
def test_a_proposal_is_told_the_option_that_checks_it(
    plans: tuple[str, ...],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
):
    write_folder(tmp_path / "ours", {name: SOUND[name] for name in PROPOSED + plans})
    monkeypatch.chdir(tmp_path)
    assert run(["check", "ours"]) == 2
    assert capsys.readouterr().err == (
        "wearcast: ours: there is no table readings and no table changes; add sheets or files of"
        " these names, readings with the columns machine, date, hours and changes with the columns"
        " machine, date, position, action; if this is a proposal for wearcast quote, check it with"
        " --proposal.\n"
    )
    assert run(["check", "ours", "--proposal"]) == 0


@pytest.mark.parametrize("kept", ["readings", "changes"])
def test_a_logbook_that_lacks_a_table_is_no_proposal(
    kept: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    folder = write_folder(tmp_path, {name: SOUND[name] for name in (*PROPOSED, kept)})
    assert run(["check", str(folder)]) == 2
    assert "--proposal" not in capsys.readouterr().err


def test_limits_beside_which_a_share_lies_count_as_blank(tmp_path: Path):
    floors = (
        "machine,floor,share,share_low,share_high\n"
        "M-014,vinyl,60,70,80\nM-014,oak,40,30,50\nM-015,vinyl,1,,\nM-022,oak,1,,\n"
    )
    book = read_tables(tmp_path, {**SOUND, "floors": floors})
    assert told_of(book) == [
        'floors.csv, row 2, share_low "70": the share does not lie between share_low and'
        " share_high; both count as blank. Correct the limits. Set aside for now."
    ]
    limits = book.floors[["share_low", "share_high"]]
    assert limits.dropna().to_numpy().tolist() == [[0.3, 0.5]]
