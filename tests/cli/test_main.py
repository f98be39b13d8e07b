"""How every run ends: help, exit codes, one line for what stops it."""

import errno
import os
import shlex
import subprocess
import sys
from pathlib import Path

import click
import pytest

from tests.cli.logbooks import write_logbook
from wearcast.cli import main
from wearcast.cli.main import run

HERE = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}


@pytest.mark.parametrize("command", ["", *main.COMMANDS])
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


def test_a_closed_pipe_of_windows_is_no_error(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(main, "wearcast", fails_with(OSError(errno.EINVAL, "Invalid argument")))
    monkeypatch.setattr(main, "_forget_output", lambda: None)
    monkeypatch.setattr(sys, "platform", "win32")
    assert run([]) == 0
    assert capsys.readouterr().err == ""


SCRIPT = "import sys; from wearcast.cli.main import main; main()"


def ended(arguments: list[str], redirected: str, folder: Path) -> tuple[int, str]:
    """Exit code and stderr of a run with its streams redirected by the shell."""
    command = shlex.join([sys.executable, "-c", SCRIPT, *arguments])
    done = subprocess.run(
        ["bash", "-c", f"{command} {redirected}"],
        cwd=folder,
        env=HERE,
        capture_output=True,
        text=True,
    )
    return done.returncode, done.stderr


def test_an_answer_that_finds_no_room_is_told(tmp_path: Path):
    code, told = ended(["report", "--help"], ">/dev/full", tmp_path)
    assert code == 2
    assert told.startswith("wearcast: the system refused (No space left on device")
    assert len(told.splitlines()) == 1


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-", "<&- >&- 2>&-"])
def test_streams_that_are_closed_stop_nothing(closed: str, tmp_path: Path):
    assert ended(["report", "--help"], closed, tmp_path) == (0, "")
    assert ended(["brew"], closed, tmp_path)[0] == 2


def test_a_check_needs_no_stderr(tmp_path: Path):
    write_logbook(tmp_path / "log")
    assert ended(["check", "log"], "2>&-", tmp_path)[0] == 0


def test_a_folder_that_is_gone_is_told(tmp_path: Path):
    command = shlex.join([sys.executable, "-c", SCRIPT, "check", "log"])
    done = subprocess.run(
        ["bash", "-c", f"mkdir gone; cd gone; rmdir ../gone; {command}"],
        cwd=tmp_path, env=HERE, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.splitlines()[-1].startswith("wearcast: the system refused (No such file")


def test_what_stops_a_run_cannot_steer_the_terminal(capsys: pytest.CaptureFixture[str]):
    assert run(["check", "\x1b[2Jx\u202e"]) == 2
    assert capsys.readouterr().err.startswith("wearcast: ?[2Jx?: there is no such file")


def test_another_programs_wish_for_windows_stops_no_report(tmp_path: Path):
    write_logbook(tmp_path / "log")
    arguments = ["report", "log", "-o", "out", "--draws", "20", "--backtest-dates", "0", "-q"]
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, *arguments], cwd=tmp_path, capture_output=True, text=True,
        env={**HERE, "MPLBACKEND": "nonsense", "MPLCONFIGDIR": "/proc/none", "HOME": "/proc/none"},
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert (tmp_path / "out" / "report.html").exists()


def test_a_letter_that_the_terminal_lacks_stops_nothing(tmp_path: Path):
    """A console of Windows has one alphabet."""
    write_logbook(tmp_path / "log")
    with (tmp_path / "log" / "settings.csv").open("w", encoding="utf-8") as file:
        file.write("setting,value\n\u0141\u00f3d\u017a,1\n")
    done = subprocess.run(
        [sys.executable, "-m", "wearcast", "check", tmp_path / "log"],
        env={**HERE, "PYTHONIOENCODING": "cp1252:strict"}, capture_output=True, timeout=60,
    )  # fmt: skip
    assert done.returncode == 1
    assert b"?\xf3d?" in done.stdout
