"""A whole report at growing fleets: ``python -m tests.benchmarks.whole 300 1000 2000``.

Each size is one run of ``wearcast report`` in a process of its own, looking back included:
processor time of it and its children [s] and the most memory that one of them held [MB]. The
exponent is that of the growth of processor time between neighbouring sizes; ``--plot FILE`` draws.
"""

import argparse
import math
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.benchmarks.fleets import write_fleet


def measured(machines: int, folder: Path) -> tuple[float, float, float]:
    """Processor time [s], peak memory [MB] and time on the wall [s] of one report.

    The peak is that of any process so far: give sizes that grow.
    """
    write_fleet(machines, folder / "log")
    command = [sys.executable, "-m", "wearcast", "report", str(folder / "log"), "-o",
               str(folder / "out"), "-q"]  # fmt: skip
    begun, before = time.monotonic(), resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode > 1:
        raise RuntimeError(done.stderr)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return seconds, after.ru_maxrss / 1e3, time.monotonic() - begun


def main() -> None:
    """Measure and print a line a size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("machines", type=int, nargs="+")
    parser.add_argument("--plot", type=Path)
    asked = parser.parse_args()
    rows: list[tuple[int, float, float]] = []
    print("machines  processor [s]  peak [MB]  wall [s]  exponent")
    for size in asked.machines:
        with tempfile.TemporaryDirectory() as place:
            seconds, peak, wall = measured(size, Path(place))
        growth = ""
        if rows:
            before, was, _ = rows[-1]
            growth = f"{math.log(seconds / was) / math.log(size / before):.2f}"
        rows.append((size, seconds, peak))
        print(f"{size:8d}  {seconds:13.1f}  {peak:9.0f}  {wall:8.1f}  {growth:>8}", flush=True)
    if asked.plot:
        draw(rows, asked.plot)


def draw(rows: list[tuple[int, float, float]], path: Path) -> None:
    """Processor time and memory by machines, on logarithmic axes."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6, 4))
    axes = figure.subplots()
    sizes = [row[0] for row in rows]
    axes.loglog(sizes, [row[1] for row in rows], "o-", label="processor time [s]")
    axes.loglog(sizes, [row[2] for row in rows], "s--", label="peak memory [MB]")
    axes.set_xlabel("machines")
    axes.legend()
    figure.savefig(path)


if __name__ == "__main__":
    main()
