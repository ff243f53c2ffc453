"""The page of checks."""

from checks_page import PAGE, check_files, read_marks, write_page


def test_the_page_of_published_checks_is_fresh():
    assert PAGE.read_text(encoding="utf-8") == write_page(), "run: python -m tests.published.checks_page"


def test_every_check_says_its_source_grade_and_tolerance():
    wanted = {"source", "grade", "tolerance"}
    bare = [
        f"{path.name}: {name}"
        for path in check_files()
        for name, marks in read_marks(path).items()
        if not marks or any(set(mark.kwargs) != wanted for mark in marks)
    ]
    assert bare == []


def test_a_check_without_its_source_is_found(tmp_path):
    path = tmp_path / "test_bare.py"
    path.write_text("def test_nothing_said():\n    pass\n", encoding="utf-8")
    assert read_marks(path) == {"test_nothing_said": []}
