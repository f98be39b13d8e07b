"""One direction of flow: a room imports itself and the rooms before it, nothing after."""

import ast
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent / "wearcast"
ROOMS = [
    "errors",
    "told",
    "memory",
    "logbook",
    "history",
    "wear",
    "outlook",
    "decisions",
    "fit_summary",
    "forecast",
    "quote",
    "backtesting",
    "reports",
    "cli",
]
LOGBOOK = ["schema", "findings", "sources", "reshape", "sheets", "rules", "drafting"]
"""The pipe inside the room logbook; what stands at its top may use all of it."""
FRONT_DOORS = {"__init__", "__main__"}
HOMES = {
    "matplotlib": ["reports"],
    "jinja2": ["reports"],
    "xlsxwriter": ["reports", "logbook"],
    "openpyxl": ["reports", "logbook"],
    "statsmodels": ["wear", "outlook", "fit_summary", "forecast"],
    "click": ["cli"],
    "defusedxml": ["logbook"],
    "sqlite3": ["logbook"],
    "ctypes": ["reports", "memory"],
}
MODULES = sorted(ROOT.rglob("*.py"))


def room_of(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def imported_names(path: Path) -> list[str]:
    names: list[str] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names.append(node.module or "")
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_point_upstream(path: Path):
    here = room_of(path)
    if here in FRONT_DOORS:
        return
    assert here in ROOMS, f"{here} is not a room of the house"
    for name in imported_names(path):
        root, *rest = name.split(".")
        if root == "wearcast" and rest:
            assert ROOMS.index(rest[0]) <= ROOMS.index(here), f"{here} may not import {rest[0]}"
        assert here in HOMES.get(root, ROOMS), f"{root} belongs in {HOMES.get(root)}, not in {here}"


@pytest.mark.parametrize(
    "path",
    [path for path in MODULES if path.relative_to(ROOT).parts[0] == "logbook"],
    ids=lambda path: str(path.relative_to(ROOT)),
)
def test_the_logbook_is_read_in_one_direction(path: Path):
    here = path.relative_to(ROOT).parts[1].removesuffix(".py")
    if here not in LOGBOOK:
        return
    for name in imported_names(path):
        inner = name.removeprefix("wearcast.logbook.").split(".")[0]
        if name.startswith("wearcast.logbook."):
            assert inner in LOGBOOK[: LOGBOOK.index(here) + 1], f"{here} may not import {inner}"


def insides(folder: Path) -> dict[str, set[str]]:
    """Each module and sub-folder of a folder, and which of its neighbours it imports."""
    prefix = ".".join(["wearcast", *folder.relative_to(ROOT).parts, ""])
    used: dict[str, set[str]] = {}
    for path in sorted(folder.rglob("*.py")):
        here = path.relative_to(folder).parts[0].removesuffix(".py")
        names = [name for name in imported_names(path) if name.startswith(prefix)]
        near = {name.removeprefix(prefix).split(".")[0] for name in names}
        used.setdefault(here, set()).update(near - {here})
    return used


FOLDERS = sorted({path.parent for path in MODULES if path.parent != ROOT})


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: str(path.relative_to(ROOT)))
def test_what_is_inside_a_room_flows_one_way_too(folder: Path):
    try:
        TopologicalSorter(insides(folder)).prepare()
    except CycleError as circle:
        pytest.fail(" -> ".join(reversed(circle.args[1])))


@pytest.mark.parametrize(("one", "other"), [("orders", "money"), ("money", "orders")])
def test_orders_and_money_do_not_know_each_other(one: str, other: str):
    assert other not in insides(ROOT / "decisions")[one]


def test_nothing_heavy_is_imported_with_the_package():
    heavy = {"pandas", "numpy", "statsmodels", "matplotlib", "scipy"}
    for front in ("__init__.py", "__main__.py", "cli/main.py", "cli/__init__.py"):
        tree = ast.parse((ROOT / front).read_text(encoding="utf-8"))
        top = [node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)]
        names = {
            name.split(".")[0]
            for node in top
            for name in (
                [alias.name for alias in node.names]
                if isinstance(node, ast.Import)
                else [node.module or ""]
            )
        }
        assert not names & heavy, f"{front} makes every command slow"


def test_the_program_never_uses_statsmodels_api():
    for path in MODULES:
        assert "statsmodels.api" not in imported_names(path)
