"""Would a test notice? The order's code with one thing changed at a time.

``python -m tests.benchmarks.mutants --sample 100`` flips comparisons, signs, minima, conditions and
numbers of `wearcast.decisions.orders` and `wearcast.decisions.ordering`, runs the tests of the
order against each, and prints the share that was noticed and the changes that were not. Every run
is a fork of one process that has already loaded the libraries (so not on Windows).
"""

import argparse
import ast
import copy
import importlib.util
import os
import random
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np  # noqa: F401 - loaded once, before the forks
import pandas as pd  # noqa: F401
import pytest
from scipy import stats  # noqa: F401

import wearcast.outlook.records  # noqa: F401

ROOT = Path(__file__).parents[2]
ROOM = ROOT / "wearcast" / "decisions"
TESTS = ROOT / "tests" / "decisions"
LONGEST = 120
"""Seconds; a change that makes the tests hang has been noticed."""

_PAIRS = [(ast.Lt, ast.LtE), (ast.Gt, ast.GtE), (ast.Eq, ast.NotEq), (ast.In, ast.NotIn)]
_COMPARISONS = {one: other for pair in _PAIRS for one, other in (pair, pair[::-1])}
_OPPOSITES = [(ast.Add, ast.Sub), (ast.Mult, ast.Div), (ast.BitAnd, ast.BitOr)]
_SIGNS = {one: other for pair in _OPPOSITES for one, other in (pair, pair[::-1])}
_NAMES = {"max": "min", "min": "max", "maximum": "minimum", "minimum": "maximum", "ceil": "floor",
          "all": "any", "any": "all", "argmax": "argmin", "argmin": "argmax"}  # fmt: skip


def changes_of(node: ast.AST) -> Iterator[str]:
    """The changes that can be made to one node, by name."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _COMPARISONS:
        yield "comparison"
    if isinstance(node, ast.BinOp) and type(node.op) in _SIGNS:
        yield "sign"
    if isinstance(node, ast.BoolOp):
        yield "and/or"
    if isinstance(node, ast.IfExp | ast.If):
        yield "condition"
    if isinstance(node, ast.Constant) and isinstance(node.value, bool | int | float):
        yield "constant"
    if isinstance(node, ast.Call) and _name(node.func) in _NAMES:
        yield "extreme"


def _name(function: ast.expr) -> str:
    return getattr(function, "attr", getattr(function, "id", ""))


def change(node: ast.AST, how: str) -> None:
    """Make one change to a node, in place."""
    if how == "comparison":
        node.ops[0] = _COMPARISONS[type(node.ops[0])]()
    elif how == "sign":
        node.op = _SIGNS[type(node.op)]()
    elif how == "and/or":
        node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    elif how == "condition":
        node.test = ast.UnaryOp(ast.Not(), node.test)
    elif how == "constant":
        node.value = not node.value if isinstance(node.value, bool) else node.value + 1
    else:
        name = "attr" if isinstance(node.func, ast.Attribute) else "id"
        setattr(node.func, name, _NAMES[getattr(node.func, name)])


def mutants_of(path: Path) -> Iterator[tuple[str, str]]:
    """Each changed source of a module, with the words for its change."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for number, node in enumerate(ast.walk(tree)):
        for how in changes_of(node):
            other = copy.deepcopy(tree)
            changed = next(one for at, one in enumerate(ast.walk(other)) if at == number)
            before = ast.unparse(changed).splitlines()[0]
            change(changed, how)
            after = ast.unparse(changed).splitlines()[0]
            words = f"{path.name}:{node.lineno} {how}: {before} -> {after}"
            yield words, ast.unparse(ast.fix_missing_locations(other))


def tests_of(path: Path) -> list[str]:
    """The tests that may notice a change of a module, the nearest first."""
    near = TESTS / path.parent.relative_to(ROOM) / f"test_{path.name}"
    return [str(one) for one in [near, *sorted(TESTS.glob("test_orders*.py"))] if one.exists()]


def is_noticed(path: Path, source: str) -> bool:
    """Run the tests against a changed source in a process of its own."""
    child = os.fork()
    if child == 0:
        _run(path, source)
    _, status = os.waitpid(child, 0)
    return status != 0


def _run(path: Path, source: str) -> None:
    signal.alarm(LONGEST)
    for stream in (1, 2):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    module = importlib.util.module_from_spec(importlib.util.find_spec(name))
    sys.modules[name] = module
    try:
        exec(compile(source, str(path), "exec"), module.__dict__)
        options = ["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-p", "no:randomly"]
        os._exit(int(pytest.main([*options, *dict.fromkeys(tests_of(path))])))
    except BaseException:
        os._exit(1)


def main() -> None:
    """Print the share of changes that the tests notice, and those that they do not."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--modules", nargs="*", default=["orders.py", "ordering/*.py"])
    asked = parser.parse_args()
    paths = [path for pattern in asked.modules for path in sorted(ROOM.glob(pattern))]
    every = [(path, *mutant) for path in paths for mutant in mutants_of(path)]
    chosen = random.Random(asked.seed).sample(every, min(asked.sample, len(every)))
    noticed = 0
    for number, (path, words, source) in enumerate(chosen, start=1):
        found = is_noticed(path, source)
        noticed += found
        said = "" if found else f"; not noticed: {words}"
        print(f"{noticed} of {number}{said}", flush=True)  # noqa: T201
    print(f"of {len(every)} possible changes")  # noqa: T201


if __name__ == "__main__":
    main()
