"""Would a test notice? A room's code with one thing changed at a time.

``python -m tests.studies.mutation.covering tests/logbook``, once, then
``python -m tests.studies.mutation.noticed --room logbook --sample 150 --seed 7 --jobs 2`` flips
comparisons, signs, minima, conditions, loops and numbers anywhere in the room (what is left out
stands in `changes`), runs against each change the tests that run its lines, for
`--seconds` at most, and prints the share that was noticed and the changes that were not. A change
that no test could ever notice counts as not noticed. ``--unchanged`` runs the same tests against
the code as it is: none may be noticed. Every run is a fork of one process that has already loaded
the libraries (so not on Windows).
"""

import argparse
import importlib.machinery
import os
import random
import resource
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import defusedxml.ElementTree  # noqa: F401 - loaded once, before the forks
import hypothesis
import numpy as np  # noqa: F401
import openpyxl  # noqa: F401
import pandas as pd  # noqa: F401
import pytest
import statsmodels.base.model  # noqa: F401
from scipy import stats  # noqa: F401

from tests.studies.mutation.changes import changed, lines_run, sites_of
from tests.studies.mutation.covering import ROOT, judges

OPTIONS = ["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-p", "no:benchmark", "-p", "no:cov"]
# The forks share one load of the library, whose own assertions need no rewriting.
OPTIONS += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]
_OUTCOMES, _FAULT = (0, 1, 2), 3
"""What pytest ends with: passed, failed, could not be collected; and something else."""
_BYTES = 8 * 1024**3
"""Memory; a change that asks for more has been noticed."""


class Swapped(importlib.machinery.SourceFileLoader):
    """Loads a changed source in the place of a module, whoever imports it first."""

    def __init__(self, path: Path, source: str) -> None:
        super().__init__(".".join(path.relative_to(ROOT).with_suffix("").parts), str(path))
        self.source = source

    def find_spec(self, name: str, *_: object) -> importlib.machinery.ModuleSpec | None:
        if name != self.name:
            return None
        return importlib.machinery.ModuleSpec(name, self, origin=self.path)

    def get_code(self, _: str) -> object:
        return compile(self.source, self.path, "exec")


class Chosen:
    """Runs the tests asked for and no other, in their order, with few examples of each law."""

    def __init__(self, tests: list[str]) -> None:
        self.place = {test: at for at, test in enumerate(tests)}
        self.files = list(dict.fromkeys(test.partition("::")[0] for test in tests))

    def pytest_sessionstart(self) -> None:
        # A failing example is enough; making it small takes long.
        phases = [hypothesis.Phase.explicit, hypothesis.Phase.generate]
        hypothesis.settings.register_profile(
            "quick", phases=phases, database=None, deadline=None, max_examples=20
        )
        hypothesis.settings.load_profile("quick")

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        asked = [item for item in items if item.nodeid in self.place]
        items[:] = sorted(asked, key=lambda item: self.place[item.nodeid])


def run(path: Path, source: str, tests: list[str], most_seconds: float) -> None:
    """Run the tests against a changed source and end the process with their outcome."""
    code = _FAULT
    try:
        processor = int(20 + most_seconds)  # one that hangs has been noticed
        resource.setrlimit(resource.RLIMIT_CPU, (processor, processor))
        resource.setrlimit(resource.RLIMIT_AS, (_BYTES, _BYTES))
        for stream in (1, 2):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
        sys.meta_path.insert(0, Swapped(path, source))
        code = _staged(tests)
    finally:
        os._exit(code)


def _staged(tests: list[str]) -> int:
    """The first file alone, as it notices most, then all others."""
    first = Chosen(tests).files[0]
    for stage in (True, False):
        chosen = Chosen([test for test in tests if test.startswith(first + "::") == stage])
        if chosen.files and (code := int(pytest.main([*OPTIONS, *chosen.files], [chosen]))):
            return code
    return 0


def outcomes(chosen: list, asked: argparse.Namespace) -> Iterator[tuple[bool, str]]:
    """Whether each change was noticed, and the change in words, as the runs end."""
    running: dict[int, str] = {}
    until = time.monotonic() + 60 * asked.minutes
    for path, place, how in chosen:
        if time.monotonic() > until:
            break
        words, source = changed(path, place, how)
        tests = judges(path, lines_run(path, place), asked.seconds)
        if not tests:
            yield False, f"{words} (no test runs it)"
            continue
        child = os.fork()
        if child == 0:
            source = path.read_text(encoding="utf-8") if asked.unchanged else source
            run(path, source, tests, asked.seconds)
        running[child] = words
        if len(running) == asked.jobs:
            yield _next_to_end(running)
    while running:
        yield _next_to_end(running)


def _next_to_end(running: dict[int, str]) -> tuple[bool, str]:
    child, status = os.wait()
    words, code = running.pop(child), os.WEXITSTATUS(status)
    if os.WIFEXITED(status) and code not in _OUTCOMES:
        raise RuntimeError(f"the tests of {words} could not be run (exit {code})")
    return code != 0 or os.WIFSIGNALED(status), words


def main() -> None:
    """Print the share of changes that the tests notice, and those that they do not."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--room", default="decisions")
    parser.add_argument("--sample", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--modules", nargs="*", default=["**/*.py"])
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=40, help="of tests a change, as recorded")
    parser.add_argument("--minutes", type=float, default=1e9, help="begin no change after these")
    parser.add_argument("--unchanged", action="store_true", help="none may be noticed")
    asked = parser.parse_args()
    room = ROOT / "wearcast" / asked.room
    paths = sorted({path for pattern in asked.modules for path in room.glob(pattern)})
    every = [(path, *site) for path in paths for site in sites_of(path)]
    chosen = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))
    noticed, number, began = 0, 0, time.monotonic()
    for number, (found, words) in enumerate(outcomes(chosen, asked), start=1):
        noticed += found
        said = "" if found else f"; not noticed: {words}"
        print(f"{time.monotonic() - began:5.0f} s  {noticed} of {number}{said}", flush=True)  # noqa: T201
    share = noticed / number
    error = (share * (1 - share) / number) ** 0.5
    print(f"{share:.3f} +- {error:.3f} of {len(every)} possible changes")  # noqa: T201


if __name__ == "__main__":
    main()
