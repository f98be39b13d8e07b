"""A public function that takes or gives arrays says their axes and what they are counted in."""

import ast
import re

import pytest

from tests.test_rooms import MODULES, ROOT

SHAPE = re.compile(
    r"\b(?:arrays?|matrix)\b[^.]{0,40}\((?:[a-z0-9 _+-]+,\s*)+[a-z0-9 _+-]*\)"
    r"|\([a-z0-9 +-]+,\)|arrays of (?:one|any) shape",
    re.I,
)
UNIT = re.compile(
    r"\[[^\]]+\]|\b(?:h|hours?|days?|weeks?|counts?|pieces|money|price|count|number|share|chance|cost|row|"
    r"code|place|True|bool|labels?|log|ratio|dimensionless|wear|rate|level|losses|loss|dates?|"
    r"weights?|machine|edges?|draws?)\b",
    re.I,
)


def functions() -> list[tuple[str, ast.FunctionDef]]:
    """Every public function with an array in its signature, by module and name."""
    return [
        (f"{path.relative_to(ROOT).with_suffix('')}.{node.name}", node)
        for path in MODULES
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and arrays(node)
    ]


def arrays(node: ast.FunctionDef) -> bool:
    notes = [each.annotation for each in (*node.args.args, *node.args.kwonlyargs)]
    words = [ast.unparse(each) for each in (*notes, node.returns) if each is not None]
    return any("ndarray" in each or "NDArray" in each or "Floats" in each for each in words)


@pytest.mark.parametrize("node", [pytest.param(node, id=name) for name, node in functions()])
def test_arrays_have_axes_and_units(node: ast.FunctionDef):
    told = ast.get_docstring(node) or ""
    assert SHAPE.search(told), "say the axes: array (slots, draws)"
    assert UNIT.search(told), "say what it is counted in: [h], pieces, a chance"
