"""``python -m tests.studies.reading.fuzz --mutants 20000``: spoilt logbooks through ``check``.

Every mutant of `tests.studies.reading.mutants` goes through the command; for all but one in forty
(``--whole 40``) the forecast behind it, which takes most of the time, is left out. Blocks of
mutants are checked in forks of one warm process, so that not even a crash of the interpreter ends
the study.
"""

import argparse
import contextlib
import io
import os
import signal
import tempfile
import time
import traceback
import warnings
from collections import Counter
from pathlib import Path
from unittest import mock

from tests.studies.reading.mutants import mutant
from wearcast.cli import check
from wearcast.cli.main import run

BLOCK, WHOLE = 100, 40
LONGEST = 30
"""Processor seconds that one mutant may take; the logbooks have a few dozen rows."""


def outcome(number: int, whole: bool) -> str:
    """How checking one mutant ended: ``0``, ``1``, ``2``, or what should not have happened."""
    said, complained = io.StringIO(), io.StringIO()
    with tempfile.TemporaryDirectory() as folder, contextlib.ExitStack() as around:
        path = mutant(number, Path(folder))
        around.enter_context(contextlib.redirect_stdout(said))
        around.enter_context(contextlib.redirect_stderr(complained))
        if not whole:
            around.enter_context(mock.patch.object(check, "_all_told", lambda book, *_: book.told))
        try:
            code = run(["check", str(path)])
        except Exception as error:
            place = traceback.extract_tb(error.__traceback__)[-1]
            return f"{type(error).__name__}: {error} ({Path(place.filename).name}:{place.lineno})"
    if code not in (0, 1, 2) or "Traceback" in said.getvalue() + complained.getvalue():
        return f"exit {code}: {complained.getvalue()[:200]}"
    if code == 2 and len(complained.getvalue().splitlines()) != 1:
        return f"more than one line: {complained.getvalue()[:200]}"
    return str(code)


def _too_long(*_: object) -> None:
    raise TimeoutError(f"more than {LONGEST} s")


def _check_in_fork(numbers: range, book: Path, every: int) -> None:
    """Check some mutants in a process of its own, which writes their outcomes into a file."""
    child = os.fork()
    if child:
        os.waitpid(child, 0)
        return
    with book.open("w") as out, contextlib.suppress(BaseException):
        warnings.simplefilter("error")
        signal.signal(signal.SIGVTALRM, _too_long)
        for number in numbers:
            signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST)
            print(outcome(number, number % every == 0).replace("\n", " "), file=out, flush=True)
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    os._exit(0)


def outcomes(numbers: range, every: int = WHOLE) -> dict[int, str]:
    """How each mutant of a block ended; one in so many went through the forecast, too."""
    found: dict[int, str] = {}
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "outcomes"
        while len(found) < len(numbers):
            rest = numbers[len(found) :]
            _check_in_fork(rest, book, every)
            lines = book.read_text().splitlines()
            found |= dict(zip(rest, lines, strict=False))
            if len(lines) < len(rest):
                found[rest[len(lines)]] = "the process died"
    return found


def main() -> None:
    """Print how many mutants ended in which way, and each that should not have."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--mutants", type=int, default=20_000)
    parser.add_argument("--first", type=int, default=10_000)
    parser.add_argument("--minutes", type=float, default=1e9, help="begin no block after these")
    parser.add_argument("--whole", type=int, default=WHOLE, help="one in so many is forecast")
    asked = parser.parse_args()
    count: Counter[str] = Counter()
    until = time.monotonic() + 60 * asked.minutes
    for start in range(asked.first, asked.first + asked.mutants, BLOCK):
        if time.monotonic() > until:
            break
        found = outcomes(range(start, min(start + BLOCK, asked.first + asked.mutants)), asked.whole)
        count.update(code if len(code) == 1 else "crash" for code in found.values())
        for number, code in found.items():
            if len(code) > 1:
                print(f"{number}: {code}", flush=True)  # noqa: T201
        print(f"{count.total()}: {dict(sorted(count.items()))}", flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
