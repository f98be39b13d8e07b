"""How every run ends: help, exit codes, one line for what stops it."""

import subprocess
import sys

import click
import pytest

from wearcast.cli import main
from wearcast.cli.main import run, wearcast

COMMANDS = ["new", "check", "report", "order", "floors", "due", "cost", "quote", "backtest"]


def test_the_commands_stand_in_reading_order():
    assert list(wearcast.commands) == COMMANDS


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_says_what_it_said(
    command: str, golden, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("COLUMNS", "90")
    assert run([*([command] if command else []), "--help"]) == 0
    golden(f"help_{command or 'wearcast'}.txt", capsys.readouterr().out)


def test_help_loads_nothing_heavy():
    script = (
        "import sys; from wearcast.cli.main import run; run(['--help']); "
        "heavy = {'pandas', 'numpy', 'scipy', 'statsmodels', 'matplotlib', 'jinja2'}; "
        "sys.exit(len(heavy & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", script], capture_output=True).returncode == 0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ([], "give a command; see wearcast --help"),
        (["brew"], "No such command 'brew'; see wearcast --help"),
        (["report"], "Missing argument 'LOGBOOK...'; see wearcast report --help"),
        (["report", "x"], "Missing option '-o' / '--output'; see wearcast report --help"),
        (
            ["due", "x", "--as-of", "31/10/2026"],
            "Invalid value for '--as-of': '31/10/2026' is not a date like 2026-10-31; "
            "see wearcast due --help",
        ),
        (["quote", "x"], "give either --rates FILE or --learn-from LOGBOOK"),
        (["new", "x.csv"], "x.csv: a blank logbook is a workbook; give a name ending in .xlsx"),
    ],
)
def test_what_stops_a_run_is_one_line_on_stderr(
    arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]
):
    assert run(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err == f"wearcast: {told}\n"


def fails_with(error: BaseException) -> object:
    @click.command()
    def command() -> int:
        raise error

    return command


@pytest.mark.parametrize(
    ("error", "code", "told"),
    [
        (KeyboardInterrupt(), 130, "stopped; nothing was written"),
        (MemoryError(), 2, "not enough memory; give fewer --draws or fewer logbooks at once"),
    ],
)
def test_an_interrupted_run_ends_in_one_line(
    error: BaseException,
    code: int,
    told: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
):
    monkeypatch.setattr(main, "wearcast", fails_with(error))
    assert run([]) == code
    assert capsys.readouterr().err.strip() == f"wearcast: {told}"


def test_a_reader_that_has_seen_enough_is_no_error():
    script = "from wearcast.cli.main import main; main()"
    command = [sys.executable, "-c", script, "report", "--help"]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(command, **pipes) as reader:
        assert reader.stdout is not None
        assert reader.stderr is not None
        reader.stdout.close()
        assert reader.stderr.read() == b""
    assert reader.returncode == 0
