"""Who may import whom, how long a module may be, that nothing runs in a circle, and that a name means one thing."""

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from assistant.ground import names

ROOT = Path(__file__).parent.parent
MODULES = sorted((ROOT / "assistant").rglob("*.py"))
LONGEST = 400

# Each layer may import from itself and from every layer below; never from one above or beside it.
LAYERS: list[set[str]] = [
    {"__main__"},
    {"cli"},
    {"commands"},
    {"shell"},
    {"pages"},
    {"advice"},
    {"diagnosis"},
    {"notebook"},
    {"belief"},
    {"rules", "physics"},
    {"car"},
    {"ground", "__init__"},
]
HEIGHT = {name: len(LAYERS) - level for level, names in enumerate(LAYERS) for name in names}
HEAVY = {"numpy", "pydantic", "prompt_toolkit", "yaml"}
SAME_THING = {"commands", "pages"}
"""A command and the page of the same thing may bear one file name."""
ONE_TABLE = {
    "PHASES": names.PHASES,
    "PHASE_WORDS": names.PHASE_WORDS.values(),
    "STAGES": names.STAGES,
    "STAGE_WORDS": names.STAGE_WORDS.values(),
    "CORNERS": names.CORNERS,
    "CORNER_KEYS": names.CORNER_KEYS,
    "CORNER_WORDS": names.CORNER_WORDS.values(),
    "CHANCE_WORDS": [word for _, word in names.CHANCE_WORDS],
}
"""Names that stand in `ground.names` alone."""


def part_of(module: str) -> str:
    """The layer member a dotted module name belongs to: assistant.car.files -> car."""
    pieces = module.split(".")
    return pieces[1] if len(pieces) > 1 else "__init__"


def name_of(path: Path) -> str:
    """The dotted name of a module."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


NAMES = {name_of(path): path for path in MODULES}


@cache
def tree_of(path: Path) -> ast.Module:
    """What a file says, read once for all that is asked of it."""
    return ast.parse(path.read_text(encoding="utf-8"))


def imports_of(path: Path) -> list[tuple[str, int, bool]]:
    """Every imported module with its line and whether it stands at the top of the file."""
    tree = tree_of(path)
    found = []
    top = set(map(id, tree.body))
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, node.lineno, id(node) in top) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            inside = [f"{node.module}.{alias.name}" for alias in node.names]
            named = {one if one in NAMES else node.module for one in inside}
            found += [(one, node.lineno, id(node) in top) for one in sorted(named)]
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


ADVICE = (
    "results",
    "trade",
    "prices",
    "sizing",
    "ranking",
    "remedies",
    "habits",
    "packages",
    "said_changes",
    "offers",
    "audit",
    "case_runner",
)
"""The way of an advice: what is wanted, what it costs, how far to go, which first, what is listed."""


def test_the_advice_imports_only_what_comes_before_in_its_way():
    paths = {path.stem: path for path in (ROOT / "assistant" / "advice").glob("*.py") if path.stem != "__init__"}
    assert set(paths) == set(ADVICE)
    for place, name in enumerate(ADVICE):
        used = {one.split(".")[2] for one, _, _ in imports_of(paths[name]) if one.startswith("assistant.advice.")}
        assert used <= set(ADVICE[:place]), name


def circles(uses: dict[str, set[str]]) -> list[list[str]]:
    """Groups of modules that import one another, each sorted: those that reach each other both ways."""
    reach = {}
    for start in uses:
        seen, todo = set(), [start]
        while todo:
            for other in uses.get(todo.pop(), ()):
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
        reach[start] = seen
    rings = {tuple(sorted({other for other in reach[one] if one in reach.get(other, ())})) for one in uses}
    return sorted(list(ring) for ring in rings if len(ring) > 1)


def test_a_module_imports_only_from_layers_below_its_own():
    assert [wrong for path in MODULES for wrong in wrong_imports(path, part_of(name_of(path)))] == []


def test_the_import_check_finds_an_import_upwards(tmp_path):
    bad = tmp_path / "bad.py"
    bad.write_text("from assistant.belief.effects import effect_table\n", encoding="utf-8")
    assert wrong_imports(bad, "physics") == ["bad.py:1 imports assistant.belief.effects"]


def test_no_files_import_one_another_in_a_circle():
    uses = {name: {one for one, _, _ in imports_of(path) if one in NAMES} - {name} for name, path in NAMES.items()}
    assert circles(uses) == []


def test_the_check_for_circles_finds_one():
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}) == [["a", "b", "c"]]


def test_a_class_name_means_one_thing():
    trees = [tree_of(path) for path in MODULES]
    classes = Counter(node.name for tree in trees for node in ast.walk(tree) if isinstance(node, ast.ClassDef))
    assert sorted(name for name, times in classes.items() if times > 1) == []


def test_a_file_name_is_used_twice_only_for_the_command_and_the_page_of_one_thing():
    folders: dict[str, list[str]] = {}
    for path in MODULES:
        if not path.stem.startswith("__"):
            folders.setdefault(path.name, []).append(path.parent.name)
    twice = {name: where for name, where in folders.items() if len(where) > 1}
    assert {name: where for name, where in twice.items() if set(where) != SAME_THING} == {}


def test_a_module_is_short_and_says_what_it_is():
    texts = {name: path.read_text(encoding="utf-8") for name, path in NAMES.items()}
    assert {name: long for name, text in texts.items() if (long := len(text.splitlines())) > LONGEST} == {}
    assert [name for name, text in texts.items() if text.strip() and not ast.get_docstring(tree_of(NAMES[name]))] == []


def sentences_in(tree: ast.AST) -> list[str]:
    """Texts that read like a sentence for users; what is written for a mistake of theirs, and docstrings, aside."""
    aside = set()
    for node in ast.walk(tree):
        mistake = isinstance(node, ast.Call) and ast.unparse(node.func).endswith(("Problem", "BadInput", "refused"))
        if (
            mistake
            or isinstance(node, ast.Raise)
            or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))
        ):
            aside |= {id(one) for one in ast.walk(node)}
        if isinstance(node, ast.JoinedStr):
            aside |= {id(one) for one in node.values}
    texts = [text_of(node) for node in ast.walk(tree) if id(node) not in aside]
    return [text for text in texts if " " in text and text[0].isupper() and text.rstrip().endswith((".", "?", "!"))]


def text_of(node: ast.AST) -> str:
    """The text a node writes, with braces where something is put in."""
    if isinstance(node, ast.JoinedStr):
        return "".join(text_of(one) or "{}" for one in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""


@pytest.mark.parametrize("part", ["physics", "belief", "diagnosis", "advice", "commands"])
def test_outside_of_the_pages_no_sentence_is_made(part):
    for path in (ROOT / "assistant" / part).glob("*.py"):
        if path.name not in {"table.py", "__init__.py"}:  # the help of commands, and the first line of a talk
            assert sentences_in(tree_of(path)) == [], path.name


def words_in(tree: ast.AST) -> list[str]:
    """Texts that begin or end as a sentence does, wherever they stand but in a docstring or a pattern."""
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    docs |= {id(one) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for one in node.values}
    texts = [text_of(node) for node in ast.walk(tree) if id(node) not in docs]
    return [text for text in texts if re.match(r"(?!.*\(\?)(?:[A-Z][a-z]+ [a-z]|.*[a-z}] [a-z]+.*[.?!]$)", text)]


def test_no_sentence_of_the_talk_stands_outside_the_pages():
    for path in (ROOT / "assistant" / "shell").glob("*.py"):
        assert words_in(tree_of(path)) == [], path.name


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ('say("Not made")', ["Not made"]),
        ('say(f"{what} is not there.")', ["{} is not there."]),
        ('def ask():\n    """Ask the driver."""', []),
        ('verb = "put back"', []),
    ],
)
def test_the_check_for_sentences_of_the_talk_finds_one(code, found):
    assert words_in(ast.parse(code)) == found


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ('note = "Stop the car here."', ["Stop the car here."]),
        ('note = f"Is {axle} loose?"', ["Is {} loose?"]),
        ('def ask():\n    """Ask the driver."""', []),
        ('raise ValueError("Nothing is there.")', []),
        ('one = Problem("Nothing is there.")', []),
        ('name = "lap time"', []),
    ],
)
def test_the_check_for_sentences_finds_one(code, found):
    assert sentences_in(ast.parse(code)) == found


def test_physics_uses_numpy_and_nothing_else_from_outside():
    allowed = {"numpy", "assistant", "__future__", "dataclasses", "functools", "collections", "math", "typing"}
    for path in (ROOT / "assistant" / "physics").glob("*.py"):
        assert {module.split(".")[0] for module, _, _ in imports_of(path)} <= allowed, path.name


def test_models_of_files_keep_their_annotations_as_they_are():
    # pydantic would read every one from its text while a command starts
    models = [
        path for path in MODULES if path.stem.startswith("models") or path.name in {"read_model.py", "records.py"}
    ]
    assert len(models) > 3
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


TABLE = (ast.Tuple, ast.List, ast.Set, ast.Dict)


def names_written_again(tree: ast.AST) -> list[str]:
    """Tables of nothing but texts that hold a whole set of names of `ground.names`, which has the one table of each."""
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, TABLE):
            continue
        inside = [one for one in ast.walk(node) if not isinstance(one, ast.expr_context)]
        if all(isinstance(one, (ast.Constant, *TABLE)) for one in inside):
            texts = {one.value for one in inside if isinstance(one, ast.Constant)}
            found += [name for name, words in ONE_TABLE.items() if texts >= set(words)]
    return found


def test_names_of_phases_stages_corners_and_chances_stand_in_one_table():
    again = {name: found for name, path in NAMES.items() if (found := names_written_again(tree_of(path)))}
    assert set(again) == {"assistant.ground.names"}


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ('PHASES = ("entry", "middle", "exit")', ["PHASES"]),
        ('SHORT = {"fresh": "f", "settled": "s", "worn": "w"}', ["STAGES"]),
        ('Corner = Literal["lf", "rf", "lr", "rr"]', ["CORNER_KEYS"]),
        ('SIDES = {"left": ("LF", "LR"), "right": ("RF", "RR")}', ["CORNERS"]),
        ('LATE = ("settled", "worn")', []),
    ],
)
def test_the_check_for_a_second_table_finds_one(code, found):
    assert names_written_again(ast.parse(code)) == found
