"""Data flows one way; so do imports."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import render

ROOT = Path(__file__).parents[1]
FLOW = [
    "errors", "units", "files", "geometry", "colour", "pattern", "pricking", "plan", "threads",
    "settle", "shade", "image",
]  # fmt: skip
BESIDE = [
    "cautions", "estimate", "sheets", "scan", "listing", "settings", "lettering", "dyeing",
    "repeating",
]  # fmt: skip
LAST = ["wishes", "pipeline", "deciding", "catalogue", "comparison", "legibility", "__init__"]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE"}
TOP_FOLDERS = {"render", "cli", "tests", "demo_patterns"}
FILES = sorted(path.relative_to(ROOT) for path in (ROOT / "render").rglob("*.py"))


def imports(source: str) -> set[str]:
    """Return the dotted names that a module's text imports from."""
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom):
            found.add("." * node.level + (node.module or ""))
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return found


def parts_of_render(source: str) -> set[str]:
    """Return the parts of render that a text imports; the root counts as one."""
    split = [name.split(".") for name in imports(source)]
    return {(*names, "__init__")[1] for names in split if names[0] == "render"}


def allowed(part: str) -> set[str]:
    """Return what a part may import."""
    if part in FLOW:
        return {*FLOW[: FLOW.index(part) + 1]}
    if part in BESIDE:
        return {*FLOW, part}
    if part == "__init__":
        return {*FLOW, *BESIDE, *LAST}
    if part == "wishes":
        return {*FLOW, *BESIDE, part}
    return {*FLOW, *BESIDE, "wishes", "pipeline", part}


def part_of(path: Path) -> str:
    return path.with_suffix("").parts[1]


def test_there_are_files_to_look_at():
    assert len(FILES) > 30


@pytest.mark.parametrize("path", FILES, ids=str)
def test_a_part_imports_only_what_comes_before_it(path):
    part = part_of(path)
    assert part in {*FLOW, *BESIDE, *LAST}, f"{part} has no place in the flow"
    assert parts_of_render((ROOT / path).read_text("utf-8")) <= allowed(part)


@pytest.mark.parametrize("path", FILES, ids=str)
def test_the_library_does_not_know_its_command_line(path):
    roots = {name.split(".")[0] for name in imports((ROOT / path).read_text("utf-8"))}
    assert not roots & {"cli", "click", "tests"}


@pytest.mark.parametrize("path", sorted((ROOT / "cli").glob("*.py")), ids=lambda path: path.name)
def test_commands_use_public_names_only(path):
    source = path.read_text("utf-8")
    assert parts_of_render(source) <= {"__init__"}
    assert "numpy" not in imports(source)


def test_public_names_are_found_where_they_are_said_to_be():
    nodes = ast.walk(ast.parse((ROOT / "render" / "__init__.py").read_text("utf-8")))
    said = {
        alias.asname or alias.name: f"{node.module}.{alias.name}"
        for node in nodes
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("render.")
        for alias in node.names
    }
    assert said == render._HOMES
    for name in said:
        assert getattr(render, name) is not None
    with pytest.raises(AttributeError, match="no attribute 'lacework'"):
        _ = render.lacework


def test_drawing_loads_nothing_it_does_not_use():
    show = "import sys, render.image.draw; print(*sys.modules)"
    words = [sys.executable, "-c", show]
    loaded = subprocess.run(words, capture_output=True, text=True, check=True, cwd=ROOT).stdout
    assert "render.shade.strip" in loaded.split()
    assert not {"render.plan.work", "render.pattern.svg", "scipy"} & {*loaded.split()}


def test_a_backward_import_would_be_seen():
    assert not parts_of_render("from render.image.draw import draw") <= allowed("plan")
    assert not parts_of_render("import render") <= allowed("image")


def test_the_top_level_holds_what_it_should():
    names = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    built = {"build", "dist", *(name for name in names if name.endswith(".egg-info"))}
    assert names - built == TOP | TOP_FOLDERS
