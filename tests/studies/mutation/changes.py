"""One thing changed at a time: the changes that `tests.studies.mutation.noticed` makes to a module.

Left out is only what no test should pin: annotations, flags in a class's decorator (frozen, slots)
and ``strict=`` of zip. Texts and docstrings are never changed.
"""

import ast
from collections.abc import Callable, Iterator
from pathlib import Path

_PAIRS = [(ast.Lt, ast.LtE), (ast.Gt, ast.GtE), (ast.Eq, ast.NotEq), (ast.In, ast.NotIn),
          (ast.Is, ast.IsNot)]  # fmt: skip
_COMPARISONS = {one: other for pair in _PAIRS for one, other in (pair, pair[::-1])}
_OPPOSITES = [(ast.Add, ast.Sub), (ast.Mult, ast.Div), (ast.BitAnd, ast.BitOr)]
_SIGNS = {one: other for pair in _OPPOSITES for one, other in (pair, pair[::-1])}
_NAMES = {"max": "min", "min": "max", "maximum": "minimum", "minimum": "maximum", "ceil": "floor",
          "all": "any", "any": "all", "argmax": "argmin", "argmin": "argmax"}  # fmt: skip


def sites_of(path: Path) -> Iterator[tuple[int, str]]:
    """Where a module can be changed, and how: the node's place in the tree, the change's name."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    left_out = set(_left_out(tree))
    for place, node in enumerate(ast.walk(tree)):
        if node not in left_out:
            yield from ((place, how) for how, (fits, _) in CHANGES.items() if fits(node))


def _left_out(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes that say nothing of what the program does."""
    for node in ast.walk(tree):
        aside = [getattr(node, "annotation", None), getattr(node, "returns", None)]
        if isinstance(node, ast.ClassDef):
            aside += node.decorator_list
        if isinstance(node, ast.Call) and _name(node.func) == "zip":
            aside += [one for one in node.keywords if one.arg == "strict"]
        for root in filter(None, aside):
            yield from ast.walk(root)


def lines_run(path: Path, place: int) -> range:
    """The lines that run when a place does; of a default or a decorator those of its function.

    Empty for what runs as the module is loaded.
    """
    tree = ast.parse(path.read_text(encoding="utf-8"))
    sought = next(node for at, node in enumerate(ast.walk(tree)) if at == place)
    around: ast.AST = tree
    body = run = range(0)
    while around is not sought:
        if isinstance(around, ast.FunctionDef):
            body = run = range(around.body[0].lineno, around.end_lineno + 1)
        around = next(
            child for child in ast.iter_child_nodes(around) if sought in set(ast.walk(child))
        )
        if isinstance(around, ast.stmt) and around.lineno in body:
            last = around.body[0].lineno - 1 if hasattr(around, "body") else around.end_lineno
            run = range(around.lineno, max(around.lineno, last) + 1)
    return run


def changed(path: Path, place: int, how: str) -> tuple[str, str]:
    """One change in words, and the module's source with it."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    node = next(one for at, one in enumerate(ast.walk(tree)) if at == place)
    line = getattr(node, "lineno", None) or node.iter.lineno
    before = ast.unparse(node).splitlines()[0]
    CHANGES[how][1](node)
    after = ast.unparse(node).splitlines()[0]
    source = ast.unparse(ast.fix_missing_locations(tree))
    return f"{path.name}:{line} {how}: {before} -> {after}", source


def _other_comparison(node: ast.AST) -> None:
    node.ops[0] = _COMPARISONS[type(node.ops[0])]()


def _other_sign(node: ast.AST) -> None:
    node.op = _SIGNS[type(node.op)]()


def _and_for_or(node: ast.AST) -> None:
    node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()


def _other_branch(node: ast.AST) -> None:
    node.test = ast.UnaryOp(ast.Not(), node.test)


def _no_filter(node: ast.AST) -> None:
    node.ifs = []


def _no_turn(node: ast.AST) -> None:
    node.iter = ast.Tuple([], ast.Load())


def _twice(node: ast.AST) -> None:
    """Done twice, a sign or a negation is undone."""
    node.operand = ast.UnaryOp(node.op, node.operand)


def _other_constant(node: ast.AST) -> None:
    node.value = not node.value if isinstance(node.value, bool) else node.value + 1


def _name(function: ast.expr) -> str:
    return getattr(function, "attr", getattr(function, "id", ""))


def _other_extreme(node: ast.AST) -> None:
    name = "attr" if isinstance(node.func, ast.Attribute) else "id"
    setattr(node.func, name, _NAMES[getattr(node.func, name)])


CHANGES: dict[str, tuple[Callable[[ast.AST], bool], Callable[[ast.AST], None]]] = {
    "comparison": (
        lambda node: isinstance(node, ast.Compare) and type(node.ops[0]) in _COMPARISONS,
        _other_comparison,
    ),
    "sign": (
        lambda node: isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in _SIGNS,
        _other_sign,
    ),
    "and/or": (lambda node: isinstance(node, ast.BoolOp), _and_for_or),
    "condition": (lambda node: isinstance(node, ast.IfExp | ast.If | ast.While), _other_branch),
    "filter": (lambda node: isinstance(node, ast.comprehension) and bool(node.ifs), _no_filter),
    "loop": (lambda node: isinstance(node, ast.For), _no_turn),
    "unary": (lambda node: isinstance(node, ast.UnaryOp), _twice),
    "constant": (
        lambda node: isinstance(node, ast.Constant) and isinstance(node.value, bool | int | float),
        _other_constant,
    ),
    "extreme": (
        lambda node: isinstance(node, ast.Call) and _name(node.func) in _NAMES,
        _other_extreme,
    ),
}
"""Name of a change to the nodes that it fits, and how it is made in place."""
