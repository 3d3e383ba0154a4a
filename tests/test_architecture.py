"""The picture of layers in DEVELOPERS.md is what the modules import."""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "pipeline"
NOTE = re.compile(r" {4,}[a-z].*; .*$| {20,}.*$")


def layers() -> list[list[str]]:
    """Modules line by line, the topmost first."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    picture = text.split("```layers\n", 1)[1].split("```", 1)[0]
    lines = [NOTE.sub("", line).split() for line in picture.splitlines()]
    return [line for line in lines if line and line != ["|"]]


def modules() -> set[str]:
    """Every module and package right under the package."""
    files = {path.stem for path in PACKAGE.glob("*.py")} - {"__init__"}
    return files | {path.parent.name for path in PACKAGE.glob("*/__init__.py")}


def imports() -> set[tuple[str, str]]:
    """(module, what it imports) between modules of the package, with imports inside functions."""
    found = set()
    for path in PACKAGE.rglob("*.py"):
        own = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            found |= {(own, name) for name in _imported(node) if name != own}
    return found


def _imported(node: ast.AST) -> set[str]:
    if isinstance(node, ast.ImportFrom) and node.module == "pipeline":
        return {alias.name for alias in node.names} & modules()
    if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("pipeline."):
        return {str(node.module).split(".")[1]}
    if isinstance(node, ast.Import):
        return {alias.name.split(".")[1] for alias in node.names if alias.name.startswith("pipeline.")}
    return set()


def test_every_module_stands_in_the_picture_once() -> None:
    drawn = [name for line in layers() for name in line]
    assert sorted(drawn) == sorted(modules())


def test_imports_only_go_down() -> None:
    height = {name: -number for number, line in enumerate(layers()) for name in line}
    assert len(imports()) > 40
    assert [pair for pair in sorted(imports()) if height[pair[0]] <= height[pair[1]]] == []


def test_no_function_is_longer_than_forty_lines() -> None:
    long = [
        f"{path.relative_to(ROOT)}: {node.name}"
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or 0) - node.lineno >= 40
    ]
    assert long == []
