"""The command line: which commands there are, and how every run ends.

Exit codes: 0 done, 1 done but rows of the logbook were set aside, 2 not done. Whatever stops a
run is one line on stderr: what is wrong and what to do.
"""

import errno
import io
import logging
import os
import sys
import warnings
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from pathlib import Path

import click

from wearcast import __version__
from wearcast.errors import WearcastError

CANNOT = 2
INTERRUPTED = 130


COMMANDS = {
    "new": "Make a blank logbook to fill in.",
    "import": "Draft how the records you keep are read.",
    "help": "Say what a table or a file of the report holds.",
    "check": "Read a logbook and list what is wrong.",
    "report": "Write everything: order, due list, cost, page.",
    "order": "What to order, from whom and by when.",
    "floors": "How long edges last on each floor.",
    "machines": "Which machines wear faster, or than before.",
    "due": "What is due for a turn or a change.",
    "cost": "The coming year's cost, and by what.",
    "quote": "Price a site that nobody has cleaned yet.",
    "backtest": "How well it would have done.",
}
"""In the order in which a newcomer meets them; each is a module here of the same name."""
MODULES = {"import": "import_records"}
"""But for a name that the language keeps for itself."""


class Commands(click.Group):
    """A command's module is imported when the command is run, so that help comes at once."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 (click's signature)
        """Names of the commands, in reading order."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The command of that name; None if there is none."""
        if cmd_name not in COMMANDS:
            return None
        name = MODULES.get(cmd_name, cmd_name)
        command: click.Command = getattr(import_module(f"wearcast.cli.{name}"), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """The commands in a line each, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, message="wearcast %(version)s")
def wearcast() -> None:
    """Forecast how fast floor scrubbers wear out blades, brushes and pads.

    A logbook is an .xlsx workbook, a folder of .csv files or a .sqlite file; `wearcast new`
    makes a blank one. The forecast plans purchasing; it does not replace looking at the part.

    Exit codes: 0 done; 1 done, but rows were set aside (see `wearcast check`); 2 not done.
    """


def main() -> None:
    """Run the command line and leave with its exit code."""
    # Charts go into files: another program's wish for a window must not stop them.
    os.environ["MPLBACKEND"] = "agg"
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    if not sys.warnoptions:
        # Warnings of libraries are for those who work on the program (python -W shows them).
        warnings.simplefilter("ignore")
    if sys.stderr is None:  # closed by the caller; older libraries write there as they are imported
        sys.stderr = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 (to its end)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a letter that the terminal lacks stops nothing
    try:
        code = run(sys.argv[1:])
    except Exception as error:
        if sys.flags.dev_mode:
            raise
        code = _stopped(
            f"this should not have happened ({type(error).__name__}: {error}); please report it "
            "with what python -X dev -m wearcast shows for the same command"
        )
    sys.exit(code)


def run(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit code."""
    try:
        code = _ended(arguments)
        if sys.stdout is not None:  # closed by the caller
            sys.stdout.flush()
    except (BrokenPipeError, SystemExit):
        # The reader (head, less) has seen enough: click then leaves by SystemExit, and only then.
        _forget_output()
        return 0
    except OSError as error:
        _forget_output()
        return 0 if _nobody_reads(error) else _stopped(_refused(error))
    return code


def _nobody_reads(error: OSError) -> bool:
    """Windows says of a closed pipe only that the argument is none."""
    return sys.platform == "win32" and error.errno == errno.EINVAL and error.filename is None


def _forget_output() -> None:
    """What is still in the buffer goes nowhere, or Python would complain once more at exit."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _refused(error: OSError) -> str:
    """What the system would not do, where nothing more can be said of it."""
    where = f" for {error.filename}" if error.filename else ""
    return (
        f"the system refused ({error.strerror or error}{where}); see that the folder you stand in"
        " is there, that the disk has room and that you may use the files"
    )


def _ended(arguments: Sequence[str]) -> int:
    """The command's exit code, with whatever stopped it told in one line."""
    try:
        result = wearcast.main(list(arguments), prog_name="wearcast", standalone_mode=False)
    except WearcastError as error:
        return _stopped(str(error))
    except click.UsageError as error:
        return _stopped(_usage(error))
    except click.ClickException as error:
        return _stopped(error.format_message())
    except (KeyboardInterrupt, click.Abort):
        _stopped("stopped; nothing was written")
        return INTERRUPTED
    except MemoryError:
        return _stopped("not enough memory; give fewer --draws or fewer logbooks at once")
    return result if isinstance(result, int) else 0


def _usage(error: click.UsageError) -> str:
    """What is wrong with the command line, and where help is."""
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        return "give a command; see wearcast --help"
    path = error.ctx.command_path if error.ctx else "wearcast"
    return f"{error.format_message().rstrip('.')}; see {path} --help"


def _stopped(message: str) -> int:
    """Tell in one line why the run stops."""
    line = "".join(each if each.isprintable() else "?" for each in " ".join(message.split()))
    with suppress(OSError):  # nobody listens
        click.echo(f"wearcast: {line}", err=True)
    return CANNOT
