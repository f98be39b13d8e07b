"""The public names: what ``import wearcast`` offers, however its rooms were imported before."""

import subprocess
import sys

import pytest

NAMES = (
    "read_logbook", "fit", "forecast", "plan_order", "annual_cost", "quote", "backtest",
    "write_report",
)  # fmt: skip


@pytest.mark.parametrize(
    "before",
    [
        pytest.param("", id="nothing imported before"),
        pytest.param(
            "import wearcast.forecast, wearcast.backtesting.backtest", id="modules imported before"
        ),
        pytest.param("from wearcast.forecast import fit", id="a name imported before"),
    ],
)
def test_public_names_are_functions(before):
    check = f"assert all(callable(getattr(wearcast, name)) for name in {NAMES})"
    code = f"import wearcast; {before}\n{check}"
    subprocess.run([sys.executable, "-c", code], check=True, timeout=120)


def test_an_unknown_name_is_told_as_any_module_would():
    import wearcast

    with pytest.raises(AttributeError, match="module 'wearcast' has no attribute 'nonsense'"):
        wearcast.nonsense  # noqa: B018 - the access itself is the test
