"""``python -m tests.studies.reading.measure FILE...``: what ``check`` makes of each, and its cost.

Each file is given together with a sound logbook, so that its rows are judged too, and checked
in a fork of one warm process, so that its time and memory are its own and not those of loading
the libraries. One JSON line a file.
"""

import contextlib
import io
import json
import os
import resource
import sys
import tempfile
from pathlib import Path

from wearcast.cli.main import run

READINGS = "machine,date,hours\nM-1,2026-01-05,1\nM-1,2026-02-05,9\n"
CHANGES = (
    "machine,date,position,action,cause\nM-1,2026-01-05,front blade,fit,\n"
    "M-1,2026-01-20,front blade,turn,odd\n"
)

LONGEST = 20
"""Processor seconds, after which a file that hangs is given up."""


def checked(path: str, sound: Path) -> tuple[int, str]:
    """Exit code and words for a file, read together with the tables of a sound logbook."""
    words = io.StringIO()
    with contextlib.redirect_stdout(words), contextlib.redirect_stderr(words):
        code = run(["check", path, str(sound)])
    return code, words.getvalue()


def measure(path: str, sound: Path) -> None:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    try:
        code, words = checked(path, sound)
    except BaseException as error:
        code, words = -1, f"{type(error).__name__}: {error}"
    after = resource.getrusage(resource.RUSAGE_SELF)
    found = {
        "path": path,
        "code": code,
        "seconds": after.ru_utime + after.ru_stime,
        "megabytes": (after.ru_maxrss - before) / 1024,
        "words": words[:2000],
    }
    print(json.dumps(found), flush=True)  # noqa: T201


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        sound = Path(folder)
        (sound / "readings.csv").write_text(READINGS)
        (sound / "changes.csv").write_text(CHANGES)
        checked(folder, sound)
        for path in sys.argv[1:]:
            child = os.fork()
            if child == 0:
                resource.setrlimit(resource.RLIMIT_CPU, (LONGEST, LONGEST))
                measure(path, sound)
                os._exit(0)
            if os.waitpid(child, 0)[1]:
                died = {"path": path, "code": -1, "seconds": LONGEST, "megabytes": 0, "words": ""}
                print(json.dumps(died), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
