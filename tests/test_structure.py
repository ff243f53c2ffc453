"""Who may import whom, how long a module may be, and that every module says what it is."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODULES = sorted((ROOT / "assistant").rglob("*.py"))
LONGEST = 300

# Each layer may import from itself, where it says so, and from every layer below; never from one above or beside it.
LAYERS: list[set[str]] = [
    {"__main__"},
    {"cli"},
    {"commands"},
    {"shell"},
    {"report"},
    {"advice"},
    {"rules", "physics"},
    {"car"},
    {"reading"},
    {"units", "chance", "folders"},
    {"words", "unit_table", "quantities", "problems", "gate", "__init__"},
]
HEIGHT = {name: len(LAYERS) - level for level, names in enumerate(LAYERS) for name in names}
HEAVY = {"numpy", "pydantic", "jinja2", "prompt_toolkit", "yaml"}


def part_of(module: str) -> str:
    """The layer member a dotted module name belongs to: assistant.car.files -> car."""
    pieces = module.split(".")
    return pieces[1] if len(pieces) > 1 else "__init__"


def imports_of(path: Path) -> list[tuple[str, int, bool]]:
    """Every imported module with its line and whether it stands at the top of the file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    top = set(map(id, tree.body))
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, node.lineno, id(node) in top) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.append((node.module, node.lineno, id(node) in top))
    return found


def wrong_imports(path: Path, owner: str) -> list[str]:
    wrong = []
    for module, line, _ in imports_of(path):
        if not module.startswith("assistant"):
            continue
        target = part_of(module)
        if target == owner:
            continue
        if target not in HEIGHT or owner not in HEIGHT or HEIGHT[target] >= HEIGHT[owner]:
            wrong.append(f"{path.name}:{line} imports {module}")
    return wrong


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_imports_only_from_layers_below_its_own(path):
    owner = part_of(".".join(path.relative_to(ROOT).with_suffix("").parts))
    assert wrong_imports(path, owner) == []


def test_the_import_check_finds_an_import_upwards(tmp_path):
    bad = tmp_path / "bad.py"
    bad.write_text("from assistant.advice.computed.effects import effect_table\n", encoding="utf-8")
    assert wrong_imports(bad, "physics") == ["bad.py:1 imports assistant.advice.computed.effects"]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_is_short_and_says_what_it_is(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST
    assert ast.get_docstring(ast.parse(text)) or not text.strip()


def test_physics_uses_numpy_and_nothing_else_from_outside():
    allowed = {"numpy", "assistant", "__future__", "dataclasses", "functools", "collections", "math", "typing"}
    for path in (ROOT / "assistant" / "physics").glob("*.py"):
        assert {module.split(".")[0] for module, _, _ in imports_of(path)} <= allowed, path.name


def test_models_of_files_keep_their_annotations_as_they_are():
    # pydantic would read every one from its text while a command starts
    models = [
        path for path in MODULES if "models" in path.stem or (path.name == "blocks.py" and "reading" in path.parts)
    ]
    assert len(models) > 5
    for path in models:
        assert "__future__" not in {module for module, _, _ in imports_of(path)}, path.name


def test_the_command_line_starts_without_heavy_imports():
    for path in [ROOT / "assistant" / "cli.py", *(ROOT / "assistant" / "commands").glob("*.py")]:
        heavy = [module for module, _, top in imports_of(path) if top and module.split(".")[0] in HEAVY]
        assert heavy == [], path.name


def test_only_the_shell_imports_prompt_toolkit():
    for path in MODULES:
        if "shell" not in path.parts:
            assert not any(module.startswith("prompt_toolkit") for module, _, _ in imports_of(path)), path.name
