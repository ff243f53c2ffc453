import json
import re
from pathlib import Path

import pytest

from assistant.cli import BAD_INPUT, DONE, main
from assistant.commands.advise import place_of
from assistant.commands.table import read_arguments
from assistant.ground.problems import BadInput
from assistant.pages.paper import format_of, put, read_other, refuse_place, write_sheet
from tests.pages.tree import tree_of

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "docs" / "sheet-demo.md"
MADE_WITH = "halfturn sheet demo -o docs/sheet-demo.md --force"


def refused(capsys, *words):
    assert main(["sheet", *words]) == BAD_INPUT
    captured = capsys.readouterr()
    assert captured.out == ""
    return captured.err


def place(*words):
    return place_of(read_arguments(["sheet", *words]))


@pytest.fixture
def once(demo, monkeypatch):
    """The advice for the demo, without working it out once more."""
    monkeypatch.setattr("assistant.commands.advise.advised", lambda _: demo)


def test_the_page_is_written_where_it_was_asked_for(once, tmp_path, capsys):
    path = tmp_path / "page.html"
    assert main(["sheet", "demo", "-o", str(path)]) == DONE
    assert capsys.readouterr().out.split() == f"Written to {path}; any browser opens it, and it prints.".split()
    assert tree_of(path.read_text(encoding="utf-8")).faults == []


def test_the_ending_tells_the_format_and_the_option_more(once, tmp_path, capsys):
    assert main(["sheet", "demo", "-o", str(tmp_path / "page.md")]) == DONE
    assert "it reads as it is" in " ".join(capsys.readouterr().out.split())
    assert (tmp_path / "page.md").read_text(encoding="utf-8").startswith("# What to change: demo-car\n")
    assert main(["sheet", "demo", "-o", str(tmp_path / "page.md"), "--format", "html", "--force"]) == DONE
    assert (tmp_path / "page.md").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_the_screen_takes_the_page_as_well(once, capsys):
    assert main(["sheet", "demo", "-o", "-", "--format", "markdown"]) == DONE
    assert capsys.readouterr().out.startswith("# What to change: demo-car\n")


def test_json_is_the_document(once, capsys):
    assert main(["sheet", "demo", "--json"]) == DONE
    data = json.loads(capsys.readouterr().out)
    assert data["title"] == "What to change: demo-car"
    assert [section["id"] for section in data["main"]] == ["says", "changes", "balance-now", "run", "sure", "setup"]


def test_the_place_is_named_after_the_case_when_nothing_was_said():
    assert place("demo") == Path("demo-sheet.html")
    assert place("cars/mine.yaml", "--format", "markdown") == Path("mine-sheet.md")
    assert place("demo", "-o", "x.html") == Path("x.html")
    assert place("demo", "-o", "-") is None
    assert place("demo", "--json") is None


def test_a_page_that_is_there_is_not_replaced_unasked(once, tmp_path, capsys):
    path = tmp_path / "page.html"
    path.write_text("mine", encoding="utf-8")
    said = refused(capsys, "demo", "-o", str(path))
    assert said == f"{path}: is there already\n    give another name with -o FILE, or add --force to replace it\n"
    assert path.read_text(encoding="utf-8") == "mine"
    assert main(["sheet", "demo", "-o", str(path), "--force"]) == DONE
    assert path.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_a_missing_folder_is_named(tmp_path, capsys):
    folder = tmp_path / "none"
    said = refused(capsys, "demo", "-o", str(folder / "page.html"))
    assert said == f"{folder / 'page.html'}: there is no folder {str(folder)!r}\n    make it first\n"


def test_a_folder_is_no_file(tmp_path, capsys):
    said = refused(capsys, "demo", "-o", str(tmp_path), "--format", "html")
    assert said == f"{tmp_path}: is a folder\n    give the name of a file in it\n"


def test_an_ending_that_tells_no_format_is_refused(tmp_path, capsys):
    hint = "    end it with .html or .md, or add --format html or markdown\n"
    path = tmp_path / "page.pdf"
    assert refused(capsys, "demo", "-o", str(path)) == f"{path}: its ending '.pdf' tells no format\n{hint}"
    bare = tmp_path / "page"
    assert refused(capsys, "demo", "-o", str(bare)) == f"{bare}: has no ending that tells the format\n{hint}"


def test_an_unknown_format_lists_the_known_ones(capsys):
    said = refused(capsys, "demo", "--format", "pdf")
    assert said == "command line: --format cannot be 'pdf'\n    allowed: html, markdown\n"


def test_a_file_that_came_while_the_page_was_made_is_kept(tmp_path):
    path = tmp_path / "page.html"
    refuse_place(path, force=False)
    path.write_text("somebody else's", encoding="utf-8")
    with pytest.raises(BadInput, match="is there already"):
        put(path, "ours", force=False)
    assert path.read_text(encoding="utf-8") == "somebody else's"


def test_a_place_that_cannot_be_written_to_is_said(monkeypatch, tmp_path):
    def full(*args, **more):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(
        BadInput, match="cannot be written: No space left on device\n    give another place with -o FILE"
    ):
        put(tmp_path / "page.html", "text", force=False)


@pytest.mark.parametrize(("name", "form"), [("a.HTML", "html"), ("a.htm", "html"), ("a.markdown", "markdown")])
def test_endings_are_read_as_people_write_them(name, form):
    assert format_of(Path(name)) == form


def test_the_conversation_writes_a_page_with_one_call(page, tmp_path):
    path = tmp_path / "page.md"
    write_sheet(path, lambda: page)
    assert "## What to change, in this order" in path.read_text(encoding="utf-8")


def test_the_other_setup_may_be_a_setup_file_or_a_case(demo):
    file = ROOT / "knowledge" / "demo" / "setup-demo-tight.yaml"
    assert read_other(str(file), demo.case).setup == read_other("demo-tight", demo.case).setup


def test_another_cars_setup_is_said_to_be_so(demo):
    from dataclasses import replace

    mine = replace(demo.case, car=replace(demo.case.car, name="mine"))
    said = "That setup was written for another car, demo-car; what it does is computed on this one."
    assert read_other("demo-tight", mine).about == (said,)


def test_a_file_of_another_kind_is_no_setup(demo):
    file = ROOT / "knowledge" / "demo" / "track.yaml"
    with pytest.raises(BadInput, match="this is a track file, a setup or a case is wanted"):
        read_other(str(file), demo.case)


def undated(text):
    return re.sub(r"\d{4}-\d\d-\d\d", "DATE", text)


def test_the_example_in_the_docs_is_fresh(once, capsys):
    assert main(["sheet", "demo", "-o", "-", "--format", "markdown"]) == DONE
    assert undated(EXAMPLE.read_text(encoding="utf-8")) == undated(capsys.readouterr().out), f"run {MADE_WITH}"


def test_the_page_of_commands_says_how_the_example_was_made():
    assert MADE_WITH in (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
