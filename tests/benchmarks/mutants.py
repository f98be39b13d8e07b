"""Would a test notice? A room's code with one thing changed at a time.

``python -m tests.benchmarks.mutants --room logbook --sample 150`` flips comparisons, signs, minima,
conditions, loops and numbers of any module of the room, runs the room's tests against each, the
nearest first, and prints the share that was noticed and the changes that were not. Every run is a
fork of one process that has already loaded the libraries (so not on Windows).
"""

import argparse
import importlib.util
import os
import random
import resource
import sys
import time
from pathlib import Path

import defusedxml.ElementTree  # noqa: F401 - loaded once, before the forks
import hypothesis
import numpy as np  # noqa: F401
import openpyxl  # noqa: F401
import pandas as pd  # noqa: F401
import pytest
import statsmodels.base.model  # noqa: F401
from scipy import stats  # noqa: F401

from tests.benchmarks.changes import changed, sites_of

ROOT = Path(__file__).parents[2]
TESTS = sorted(
    path for path in (ROOT / "tests").rglob("test_*.py") if path.parent.name != "benchmarks"
)
LONGEST = 300
"""Processor seconds; a change that makes the tests hang has been noticed."""
ELSEWHERE = ("test_hostile", "test_single_faults", "test_mutants", "test_template")
"""Tests that work in processes of their own, where no change reaches, or for long."""


OPTIONS = ["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-p", "no:benchmark"]
# The forks share one load of the library, whose own assertions need no rewriting.
OPTIONS += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]
_OUTCOMES, _FAULT = (0, 1, 2), 3
"""What pytest ends with: passed, failed, could not be collected; and something else."""


def tests_of(path: Path, near: bool) -> list[str]:
    """The tests that may notice a change of a module: its own, those that name it, the room's.

    With `near` the room's are asked only where there are no others.
    """
    below = path.relative_to(ROOT / "wearcast")
    every = [one for one in TESTS if one.stem not in ELSEWHERE]
    own = ROOT / "tests" / below.with_name(f"test_{path.name}")
    named = [test for test in every if dotted(path) in test.read_text(encoding="utf-8")]
    room = [test for test in every if below.parts[0] in test.relative_to(ROOT).parts]
    judges = [test for test in dict.fromkeys([own, *named]) if test.exists()]
    if not (near and judges):
        judges += [test for test in room if test not in judges]
    return [str(test) for test in judges]


def dotted(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def is_noticed(path: Path, source: str, near: bool) -> bool:
    """Run the tests against a changed source in a process of its own."""
    child = os.fork()
    if child == 0:
        _run(path, source, near)
    _, status = os.waitpid(child, 0)
    code = os.WEXITSTATUS(status)
    if os.WIFEXITED(status) and code not in _OUTCOMES:
        raise RuntimeError(f"the tests of {path} could not be run (exit {code})")
    return code != 0 or os.WIFSIGNALED(status)


def _run(path: Path, source: str, near: bool) -> None:
    code = _FAULT
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (LONGEST, LONGEST))
        for stream in (1, 2):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
        # A failing example is enough; making it small takes long.
        quick = [hypothesis.Phase.explicit, hypothesis.Phase.generate]
        hypothesis.settings.register_profile(
            "quick", phases=quick, database=None, deadline=None, max_examples=20
        )
        hypothesis.settings.load_profile("quick")
        code = int(pytest.main([*OPTIONS, *tests_of(path, near)])) if _puts(path, source) else 1
    finally:
        os._exit(code)


def _puts(path: Path, source: str) -> bool:
    """Put the changed module in the place of the real one; False if it cannot even be loaded."""
    module = importlib.util.module_from_spec(importlib.util.find_spec(dotted(path)))
    sys.modules[module.__name__] = module
    parent, _, name = module.__name__.rpartition(".")
    setattr(sys.modules[parent], name, module)
    try:
        exec(compile(source, str(path), "exec"), module.__dict__)
    except Exception:
        return False
    return True


def main() -> None:
    """Print the share of changes that the tests notice, and those that they do not."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--room", default="decisions")
    parser.add_argument("--sample", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--modules", nargs="*", default=["**/*.py"])
    parser.add_argument("--minutes", type=float, default=1e9, help="begin no change after these")
    parser.add_argument("--near", action="store_true", help="leave out the room's other tests")
    asked = parser.parse_args()
    room = ROOT / "wearcast" / asked.room
    paths = sorted({path for pattern in asked.modules for path in room.glob(pattern)})
    every = [(path, *site) for path in paths for site in sites_of(path)]
    chosen = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))
    noticed, number, until = 0, 0, time.monotonic() + 60 * asked.minutes
    for number, (path, place, how) in enumerate(chosen, start=1):
        words, source = changed(path, place, how)
        found = is_noticed(path, source, asked.near)
        noticed += found
        said = "" if found else f"; not noticed: {words}"
        print(f"{noticed} of {number}{said}", flush=True)  # noqa: T201
        if time.monotonic() > until:
            break
    share = noticed / number
    error = (share * (1 - share) / number) ** 0.5
    print(f"{share:.3f} +- {error:.3f} of {len(every)} possible changes")  # noqa: T201


if __name__ == "__main__":
    main()
