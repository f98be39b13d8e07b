"""Which tests run which lines, and how long each takes: taken once, then asked for every change.

``python -m tests.studies.mutation.covering tests/logbook`` runs these tests once (without a folder
the whole suite) and keeps both in ``.coverage.tests`` and ``.coverage.seconds`` of the checkout;
with ``--cov-append`` beside what is there.
"""

import json
import os
import sys
import time
from functools import lru_cache
from pathlib import Path

import coverage
import pytest

ROOT = Path(__file__).parents[3]
LINES, SECONDS = ROOT / ".coverage.tests", ROOT / ".coverage.seconds"

SLOW = 1.0
"""Processor seconds; slower tests are asked last."""


BEGAN = pytest.StashKey[float]()


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """In the process that runs the test, of which this module is a plug-in, too."""
    item.stash[BEGAN] = time.process_time()


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(item: pytest.Item) -> None:
    item.user_properties.append(("seconds", time.process_time() - item.stash[BEGAN]))


class Stopwatch:
    """Processor seconds of each test that passed: a busy machine makes none of them longer."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "teardown":
            self.seconds[report.nodeid] = dict(report.user_properties)["seconds"]
        if not report.passed:
            self.failed.add(report.nodeid)

    def passed(self) -> dict[str, float]:
        return {test: took for test, took in self.seconds.items() if test not in self.failed}


def judges(path: Path, lines: range, most_seconds: float) -> list[str]:
    """Tests that may notice a change in these lines of a module, in the order to be asked.

    First those in files named after the module, then the file that takes least, slow tests last;
    in a file first the tests that ran the lines, then the others (what a shared maker ran is in
    the record of the first alone), the quickest first. No lines: every test that ran any of the
    module. The list ends where the tests have taken `most_seconds`.
    """
    seconds = _seconds()
    ran = _tests_by_line(path)
    exact = {test for line in lines or ran for test in ran.get(line, ())} & set(seconds)
    files = {_file(test) for test in exact}
    took = {file: sum(min(seconds[test], SLOW) for test in exact if _file(test) == file)
            for file in files}  # fmt: skip
    own = {file: Path(file).stem.startswith(f"test_{path.stem}") for file in files}
    ordered = sorted(
        (test for test in seconds if _file(test) in files),
        key=lambda test: (
            not own[_file(test)], seconds[test] > SLOW, took[_file(test)], _file(test),
            test not in exact, seconds[test],
        ),
    )  # fmt: skip
    left, chosen = most_seconds, []
    for test in ordered:
        left -= seconds[test]
        if left < 0 and chosen:
            break
        chosen.append(test)
    return chosen


def _file(test: str) -> str:
    return test.partition("::")[0]


@lru_cache(1)
def _seconds() -> dict[str, float]:
    return json.loads(SECONDS.read_text(encoding="utf-8"))


@lru_cache(8)
def _tests_by_line(path: Path) -> dict[int, set[str]]:
    data = coverage.CoverageData(str(LINES))
    data.read()
    contexts = data.contexts_by_lineno(str(path))
    return {
        line: {context.rpartition("|")[0] for context in said if "|" in context}
        for line, said in contexts.items()
    }


def main() -> None:
    """Run the suite once under coverage."""
    os.environ["COVERAGE_FILE"] = str(LINES)
    watch = Stopwatch()
    asked = sys.argv[1:] or ["tests"]
    options = ["--cov=wearcast", "--cov-branch", "--cov-context=test", "--cov-report="]
    options += ["-n", "1", "-q", "-p", "tests.studies.mutation.covering"]
    code = pytest.main([*options, *asked], plugins=[watch])
    before = _seconds() if "--cov-append" in asked else {}
    SECONDS.write_text(json.dumps(before | watch.passed()), encoding="utf-8")
    raise SystemExit(code)


if __name__ == "__main__":
    main()
