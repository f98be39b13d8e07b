"""Forecast how fast floor scrubbers wear out blades, brushes and pads.

The public names load when they are first asked for, so that importing the package computes
nothing and a command's help appears at once.
"""

import sys
from importlib import import_module
from types import ModuleType

_HOMES = {
    "read_logbook": "wearcast.logbook.book",
    "fit": "wearcast.forecast",
    "forecast": "wearcast.forecast",
    "plan_order": "wearcast.forecast",
    "annual_cost": "wearcast.forecast",
    "quote": "wearcast.forecast",
    "backtest": "wearcast.backtesting.backtest",
    "write_report": "wearcast.reports.parcel",
}
__all__ = ["__version__", *_HOMES]
__version__ = "0.1.0"


def __getattr__(name: str) -> object:
    """Load a public name from its room the first time it is asked for."""
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'wearcast' has no attribute {name!r}")


class _Package(ModuleType):
    """Keeps the public function where a room of the same name is imported.

    Importing ``wearcast.forecast`` would bind the module over ``wearcast.forecast()``.
    """

    def __setattr__(self, name: str, value: object) -> None:
        if not (name in _HOMES and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
