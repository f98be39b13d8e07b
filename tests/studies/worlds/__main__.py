"""``python -m tests.studies.worlds --world NAME --fleets N --draws 300``: measures with errors."""

import argparse
import time
from pathlib import Path

import pandas as pd

from tests.studies.worlds.cases import case_of
from tests.studies.worlds.judge import judge, summary
from tests.studies.worlds.settings import WORLDS


def study(name: str, seeds: range, draws: int) -> pd.DataFrame:
    """The rows of all fleets of a world."""
    return pd.concat(
        [judge(case_of(name, seed, draws)).assign(seed=seed) for seed in seeds], ignore_index=True
    )


def main() -> None:
    """Print a world's table, or every world's; keep the rows on request."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--world", choices=(*WORLDS, "all"), default="all")
    parser.add_argument("--fleets", type=int, default=8)
    parser.add_argument("--first", type=int, default=0, help="seed of the first fleet")
    parser.add_argument("--draws", type=int, default=300)
    parser.add_argument("--rows", type=Path, help="folder for the rows, one CSV a world")
    asked = parser.parse_args()
    for name in WORLDS if asked.world == "all" else (asked.world,):
        start = time.process_time()
        rows = study(name, range(asked.first, asked.first + asked.fleets), asked.draws)
        if asked.rows:
            asked.rows.mkdir(parents=True, exist_ok=True)
            rows.to_csv(asked.rows / f"{name}.csv", index=False)
        seconds = (time.process_time() - start) / asked.fleets
        print(f"\n{name}: {WORLDS[name].about} ({seconds:.1f} s of processor time a fleet)")  # noqa: T201
        print(summary(rows).round(4).to_string(), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
