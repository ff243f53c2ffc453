"""The page of checks."""

from checks_page import HERE, PAGE, _load, write_page


def test_the_page_of_published_checks_is_fresh():
    assert PAGE.read_text(encoding="utf-8") == write_page(), "run: python -m tests.published.checks_page"


def test_every_published_test_says_its_source_grade_and_tolerance():
    bare = []
    for path in sorted(HERE.glob("test_published_*.py")):
        for name, test in vars(_load(path)).items():
            marks = [mark for mark in getattr(test, "pytestmark", []) if mark.name == "published"]
            if name.startswith("test_") and not any(
                {"source", "grade", "tolerance"} == set(mark.kwargs) for mark in marks
            ):
                bare.append(f"{path.name}: {name}")
    assert bare == []
