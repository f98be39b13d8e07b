"""Every set of records through ``wearcast import``: ``python -m tests.studies.records``."""

import sys
import tempfile
from pathlib import Path

from tests.studies.records.walk import SETS, walk


def main(names: list[str]) -> None:
    """Walk the sets named, or all, and print a line each."""
    heads = f"{'set':22}{'phrases':>8}{'decided':>8}{'wrong':>7}{'missing':>8}{'told':>6}"
    print(f"{heads}  remark")  # noqa: T201
    for name in names or SETS:
        with tempfile.TemporaryDirectory() as place:
            one = walk(name, Path(place))
        remark = one.stopped or "; ".join(one.unanswered[:4])
        figures = f"{one.phrases:8}{one.decided:8}{one.wrong:7}{one.missing:8}{one.told:6}"
        print(f"{name:22}{figures}  {remark}", flush=True)  # noqa: T201


main(sys.argv[1:])
