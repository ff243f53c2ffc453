"""The pages stand alone: every link leads somewhere, and nothing points to one machine or one workplace."""

from __future__ import annotations

import json
import re
import subprocess
import tomllib
from pathlib import Path

import pytest

from assistant.car.keys import SETUP_KEYS
from assistant.car.own_car import SHORT_QUESTIONS
from assistant.cli import main
from assistant.commands.runner import document
from assistant.ground.quantities import QUANTITIES
from tests.generators.files_page import PAGE, page
from tests.generators.json_page import json_page

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
LINK = re.compile(r"\]\((?!https?:|#)([^)#]+)")
MACHINE = re.compile(r"(?<![A-Za-z0-9_.~-])/(?:root|home|tmp|work|opt)/[A-Za-z0-9_.-]+")
WORKPLACE = re.compile(r"\b(?:issue|ticket) #?\d|\b[a-z]+-review\b", re.IGNORECASE)
UPWARD = re.compile(r"(?<![.\w/])(?:\.\./)+[\w./-]*\w")
TEXT = {".py", ".md", ".yaml", ".yml", ".toml", ".j2", ".css", ".csv", ".json", ".svg"}


def tracked() -> list[Path]:
    done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    names = done.stdout.split("\0") if done.returncode == 0 and done.stdout else []
    files = [ROOT / name for name in names if name] or [path for path in ROOT.rglob("*") if ".venv" not in path.parts]
    return [path for path in files if path.is_file() and path.suffix in TEXT]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_of_a_page_leads_to_a_file(page):
    broken = [link for link in LINK.findall(page.read_text(encoding="utf-8")) if not (page.parent / link).exists()]
    assert broken == []


def test_a_broken_link_would_be_found():
    assert LINK.findall("see [this](docs/none.md) and [that](https://example.org)") == ["docs/none.md"]


def test_no_file_names_a_path_of_one_machine():
    found = [
        f"{path.relative_to(ROOT)}: {hit}"
        for path in tracked()
        if path.parts[len(ROOT.parts)] != "tests"
        for hit in MACHINE.findall(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_no_file_points_to_a_workplace():
    found = [
        f"{path.relative_to(ROOT)}: {hit}"
        for path in tracked()
        if path != Path(__file__)
        for hit in WORKPLACE.findall(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_every_page_says_the_true_number_of_questions_about_ones_own_car():
    words = {4: "four", 5: "five", 6: "six"}
    told = re.compile(r"\bby ((?:about )?\w+) questions")
    said = [hit for page in PAGES for hit in told.findall(page.read_text(encoding="utf-8"))]
    assert said
    assert set(said) == {words[len(SHORT_QUESTIONS) - 1]}


def test_every_path_that_leads_upward_leads_to_something_of_the_project():
    own = {part for path in tracked() for part in path.relative_to(ROOT).parts}
    away = [
        f"{path.relative_to(ROOT)}: {hit}"
        for path in tracked()
        if "tests" not in path.relative_to(ROOT).parts
        for hit in UPWARD.findall(path.read_text(encoding="utf-8"))
        if hit.rpartition("../")[2].partition("/")[0] not in own
    ]
    assert away == []


HOW_IT_WAS_MADE = re.compile(r"\bstored copy\b|\bon record\b|read them again|\bas of commit\b|\b[Oo]ne of us\b")


def test_no_page_or_rule_tells_how_the_project_was_made():
    rules = [path for path in tracked() if "knowledge" in path.parts and path.suffix == ".yaml"]
    found = [
        f"{path.relative_to(ROOT)}: {hit}"
        for path in {*rules, *PAGES, *(ROOT / "tests").rglob("*.py")} - {Path(__file__)}
        for hit in HOW_IT_WAS_MADE.findall(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_the_license_stands_where_tools_look_for_it_and_goes_into_the_package():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert (project["license"], project["license-files"]) == ("MIT", ["LICENSE"])
    assert (ROOT / "LICENSE").read_text(encoding="utf-8").startswith("MIT License\n")


# docs/files.md says what the program reads.


def test_the_page_of_files_is_fresh():
    assert PAGE.read_text(encoding="utf-8") == page(), "run python -m tests.generators.files_page"


def test_the_page_names_every_key_of_a_setup_with_its_unit_and_meaning():
    rows = page().splitlines()
    for key in SETUP_KEYS:
        row = next(line for line in rows if line.startswith(f"| `{': '.join(key.path)}` |"))
        assert key.meaning in row
        assert QUANTITIES[key.kind].trade_unit in row


# Every answer for programs says its edition and its units, and the page of them is what the program writes.


@pytest.mark.parametrize(
    ("words", "units"),
    [
        (["forecast", "demo"], {"temps": "F", "hot_pressure": "psi", "balance": "% of grip, + tight"}),
        (["forecast", "demo", "--units", "si"], {"temps": "C", "hot_pressure": "kPa", "per_lap": "L"}),
        (["corner", "demo"], {"speed": "mph", "load": "lbf", "lock_share": "share"}),
        (["cars"], {}),
        (["notebook"], {}),
    ],
)
def test_an_answer_for_programs_says_its_edition_and_its_units(words, units, capsys):
    main([*words, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["format"] == 1
    assert units.items() <= found["units"].items()


def test_a_unit_is_named_only_for_what_occurs_and_an_answers_own_unit_stands():
    assert document({"lap_s": 1.0, "units": {"speed": "mph"}}, "trade")["units"] == {"lap_s": "s", "speed": "mph"}
    assert document({"says": "temps"}, "trade")["units"] == {}


def test_the_page_of_answers_is_fresh():
    assert Path("docs/json.md").read_text(encoding="utf-8") == json_page()
