"""Which car a case file is about: moved, copied, read-only, renamed; and talks saved before there was a notebook."""

import shutil

import pytest

from assistant.car.files import read_case
from assistant.notebook.book import SAID, Notebook
from assistant.notebook.cars import enter_car, find_car, id_in, last_car, named_in
from tests.notebook.talks import write_own


@pytest.fixture
def book(tmp_path):
    return Notebook(tmp_path / "book")


@pytest.fixture
def own(tmp_path):
    """A case of the user's own, with comments."""
    return write_own(tmp_path / "team" / "27")


def test_the_id_is_written_once_and_nothing_else_of_the_file_changes(book, own):
    before, read = own.read_text(), read_case(own)
    car = enter_car(book, own)
    after = own.read_text()
    assert after == f"{before}id: {car}\n"
    assert read_case(own).id == car
    assert read_case(own).setup == read.setup
    assert enter_car(book, own) == car == find_car(book, own)
    assert own.read_text() == after


def test_nothing_is_written_by_looking(book, own):
    before = own.read_text()
    assert find_car(book, own) == f"at {own}"
    assert own.read_text() == before


def test_the_demo_is_known_by_its_name_and_never_written_to(book):
    assert enter_car(book, "demo") == "demo"
    assert find_car(book, read_case("demo-snap").file) == "demo-snap"
    assert last_car(book) is None


def test_a_folder_that_was_moved_is_the_same_car(book, own, tmp_path):
    car = enter_car(book, own)
    moved = own.parent.rename(tmp_path / "elsewhere") / "case.yaml"
    assert find_car(book, moved) == car
    assert enter_car(book, moved) == car
    assert last_car(book).file == str(moved)


def test_a_folder_that_was_copied_is_another_car_and_the_first_keeps_its_id(book, own, tmp_path):
    car = enter_car(book, own)
    copy = shutil.copytree(own.parent, tmp_path / "copy") / "case.yaml"
    assert find_car(book, copy) == f"at {copy}"
    other = enter_car(book, copy)
    assert other != car
    assert (id_in(own), id_in(copy)) == (car, other)
    assert find_car(book, own) == car


def test_a_link_to_the_file_is_the_same_car(book, own, tmp_path):
    car = enter_car(book, own)
    (tmp_path / "link.yaml").symlink_to(own)
    assert enter_car(book, tmp_path / "link.yaml") == car


def test_a_file_that_cannot_be_written_is_known_by_its_place(book, own):
    own.chmod(0o444)
    before = own.read_text()
    assert enter_car(book, own) == f"at {own}"
    assert own.read_text() == before
    assert last_car(book).file == str(own)


def test_what_was_told_before_a_file_got_its_id_stays_with_the_car(book, own):
    own.chmod(0o444)
    book.add(enter_car(book, own), 1, SAID, "loose off")
    own.chmod(0o644)
    car = enter_car(book, own)
    assert car.startswith("car-")
    assert [one.text for one in book.entries(car)] == ["loose off"]
    assert len(book.cars()) == 1


def test_a_broken_case_file_is_left_alone(book, own):
    own.write_text("case: [\n")
    assert enter_car(book, own) == f"at {own}"
    assert own.read_text() == "case: [\n"


def test_the_car_used_last_is_the_last_and_one_that_is_gone_is_none(book, own, tmp_path):
    first = enter_car(book, own)
    copy = shutil.copytree(own.parent, tmp_path / "copy") / "case.yaml"
    enter_car(book, copy)
    assert last_car(book).file == str(copy)
    enter_car(book, own)
    assert last_car(book).id == first
    own.unlink()
    assert last_car(book) is None


@pytest.mark.parametrize("line", ["case: 'number 27'  # mine", "case: number 27", 'case: "number 27"'])
def test_a_car_is_named_as_its_file_says(own, line):
    own.write_text(f"{line}\n")
    assert named_in(own) == "number 27"
