"""Make docs/checks.md from the `published` marks of the tests beside this file.

Run it: python -m tests.published.checks_page
"""

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

HERE = Path(__file__).parent
PAGE = HERE.parent.parent / "docs" / "checks.md"
OPENING = """\
# Checks against the outside world

Made from the marks in `tests/published/` by `python -m tests.published.checks_page`; a test keeps it fresh.

Grade **A**: inputs and answer were read at the source.
Grade **B**: the inputs were read; the answer is from memory, computed by us, or from an independent program, as said.
Grade **C**: all of it is from memory, but it recomputes.
Grade **-**: common practice, no source.
"Tolerance" is how far our result may be from the number beside it before the test fails.
"""


def write_page() -> str:
    """Return the whole page as text."""
    lines = [OPENING]
    for path in check_files():
        rows = [row for name, marks in read_marks(path).items() for row in _rows(name, marks)]
        if rows:
            title = (_load(path).__doc__ or path.stem).strip().splitlines()[0].rstrip(".")
            lines += [f"## {title}", "", f"`tests/published/{path.name}`", ""]
            lines += ["| check | source | grade | tolerance |", "|---|---|---|---|", *rows, ""]
    return "\n".join(lines)


def check_files() -> list[Path]:
    """Return every file of checks: all test files here but the one about this page."""
    return sorted(path for path in HERE.glob("test_*.py") if path.name != "test_checks_page.py")


def read_marks(path: Path) -> dict[str, list[pytest.Mark]]:
    """Return the `published` marks of every test of a file, those of the whole file included."""
    module = _load(path)
    whole = getattr(module, "pytestmark", [])
    shared = whole if isinstance(whole, list) else [whole]
    tests = {name: test for name, test in vars(module).items() if name.startswith("test_")}
    return {
        name: [mark for mark in [*shared, *getattr(test, "pytestmark", [])] if mark.name == "published"]
        for name, test in tests.items()
    }


def _rows(name: str, marks: list[pytest.Mark]) -> list[str]:
    sentence = name.removeprefix("test_").replace("_", " ")
    told = [(mark.kwargs["source"], mark.kwargs["grade"], mark.kwargs["tolerance"]) for mark in marks]
    return [f"| {sentence} | {source} | {grade} | {tolerance} |" for source, grade, tolerance in told]


def _load(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


if __name__ == "__main__":
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(write_page(), encoding="utf-8")
