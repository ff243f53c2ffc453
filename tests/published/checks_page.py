"""Make docs/checks.md from the `published` marks of the tests beside this file.

Run it: python -m tests.published.checks_page
"""

import importlib.util
from pathlib import Path
from types import ModuleType

HERE = Path(__file__).parent
PAGE = HERE.parent.parent / "docs" / "checks.md"
OPENING = """\
# Checks against the outside world

Made from the marks in `tests/published/` by `python -m tests.published.checks_page`; a test keeps it fresh.

Grade **A**: inputs and answer were read at the source.
Grade **B**: the inputs were read; the answer is from memory, computed by us, or from an independent program, as said.
Grade **C**: all of it is from memory, but it recomputes.
"Tolerance" is how far our result may be from the number beside it before the test fails.
"""


def write_page() -> str:
    """Return the whole page as text."""
    lines = [OPENING]
    for path in sorted(HERE.glob("test_published_*.py")):
        module = _load(path)
        rows = [row for name, value in vars(module).items() if name.startswith("test_") for row in _rows(name, value)]
        if rows:
            title = (module.__doc__ or path.stem).strip().splitlines()[0].rstrip(".")
            lines += [f"## {title}", "", f"`tests/published/{path.name}`", ""]
            lines += ["| check | source | grade | tolerance |", "|---|---|---|---|", *rows, ""]
    return "\n".join(lines)


def _rows(name: str, test: object) -> list[str]:
    sentence = name.removeprefix("test_").replace("_", " ")
    marks = [mark for mark in getattr(test, "pytestmark", []) if mark.name == "published"]
    return [
        f"| {sentence} | {mark.kwargs['source']} | {mark.kwargs['grade']} | {mark.kwargs['tolerance']} |"
        for mark in marks
    ]


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
