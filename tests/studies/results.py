"""Which results of RESULTS.md still hold: ``python -m tests.studies.results``.

Under each heading stands what its figures rest on: the day, the commit, and a digest of each room
as it was. A room whose program text has changed since (comments and docstrings aside) makes the
result stale; it says nothing of how much the figures would move. After a study was run again,
``python -m tests.studies.results "its heading"`` writes the line anew.
"""

import ast
import hashlib
import re
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
RESULTS = Path(__file__).with_name("RESULTS.md")
_LINE = re.compile(r"^_(\S+), commit (\S+); rests on (.+)_$", re.M)


class Result(NamedTuple):
    """One section of results."""

    heading: str
    day: str
    commit: str
    rooms: dict[str, str]
    """Room to the digest that it had."""


def read_results(text: str) -> list[Result]:
    """Every section that says what it rests on."""
    sections = re.split(r"^## ", text, flags=re.M)[1:]
    found = [(part.splitlines()[0], _LINE.search(part)) for part in sections]
    return [
        Result(heading, line[1], line[2], dict(each.split() for each in line[3].split(", ")))
        for heading, line in found
        if line is not None
    ]


def stale_rooms(result: Result, root: Path = ROOT) -> list[str]:
    """The rooms that have changed since."""
    return [room for room, digest in result.rooms.items() if digest != digest_of(room, root)]


def digest_of(room: str, root: Path = ROOT) -> str:
    """A digest of what the room's modules do: comments, docstrings and layout do not count."""
    place = root / "wearcast" / room
    files = sorted(place.rglob("*.py")) if place.is_dir() else [place.with_suffix(".py")]
    digest = hashlib.sha256()
    for path in files:
        digest.update(str(path.relative_to(root)).encode())
        digest.update(ast.dump(_bare(ast.parse(path.read_text(encoding="utf-8")))).encode())
    return digest.hexdigest()[:8]


def _bare(tree: ast.Module) -> ast.Module:
    """The module without strings that stand by themselves."""
    for node in ast.walk(tree):
        for name in ("body", "orelse", "finalbody"):
            steps = getattr(node, name, None)
            if isinstance(steps, list):
                setattr(node, name, [each for each in steps if not _is_text(each)])
    return tree


def _is_text(node: ast.AST) -> bool:
    return (
        isinstance(node, ast.Expr)
        and isinstance(node.value, ast.Constant)
        and isinstance(node.value.value, str)
    )


def renewed(text: str, heading: str) -> str:
    """The text with the line under a heading as of today and this commit."""
    old = next(each for each in read_results(text) if each.heading == heading)
    commit = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.strip()
    rooms = ", ".join(f"{room} {digest_of(room)}" for room in old.rooms)
    before, after = text.split(f"## {heading}\n")
    line = f"_{date.today():%Y-%m-%d}, commit {commit}; rests on {rooms}_"
    return f"{before}## {heading}\n" + _LINE.sub(line, after, count=1)


def main(headings: list[str]) -> None:
    """Renew the lines named, then say of every result whether it still holds."""
    for heading in headings:
        RESULTS.write_text(renewed(RESULTS.read_text(encoding="utf-8"), heading), encoding="utf-8")
    for result in read_results(RESULTS.read_text(encoding="utf-8")):
        stale = stale_rooms(result)
        words = f"STALE, changed since: {', '.join(stale)}" if stale else "holds"
        print(f"{result.heading} ({result.day}, {result.commit}): {words}")  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
