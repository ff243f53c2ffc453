from dataclasses import replace

import pytest

from assistant.car.case import OwnLever
from assistant.car.files import read_case, read_setup
from assistant.car.moves import with_step, with_value
from assistant.ground.folders import ChangedMeanwhileError
from assistant.notebook.cars import is_own
from assistant.shell.keep import edit_setup_file, keep_setup
from tests.notebook.talks import write_own


@pytest.fixture
def own(tmp_path, monkeypatch):
    """A case of the user's own, with comments and with values in maps."""
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "own"))
    return read_case(write_own(tmp_path))


def moved(case, *levers):
    setup = case.setup
    for lever in levers:
        setup, _ = with_step(setup, case.rulebook, case.car, lever, 1)
    return setup


def test_an_own_setup_is_edited_where_the_value_stands_and_nothing_else_changes(own, tmp_path):
    before = (tmp_path / "setup.yaml").read_text().split("\n")
    edited = edit_setup_file(own, moved(own, "stagger"))
    after = edited.read_text().split("\n")
    changed = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    assert len(changed) == 1
    assert changed[0][1].strip().startswith("stagger: 2 in")
    assert changed[0][0].partition("#")[2] == changed[0][1].partition("#")[2]


@pytest.mark.parametrize(
    "lever", ["spring_rf", "compression_lr", "pressure_rr", "camber_rf", "track_bar", "final_drive", "cross_weight"]
)
def test_every_kind_of_value_can_be_edited_and_is_read_back(own, lever, tmp_path):
    setup = moved(own, lever)
    assert edit_setup_file(own, setup) is not None
    assert read_setup(tmp_path / "setup.yaml").values == pytest.approx(dict(setup.values))


def test_undo_gives_the_file_back_as_it_was(own, tmp_path):
    before = read_setup(tmp_path / "setup.yaml").values
    there = moved(own, "stagger", "spring_rr")
    edit_setup_file(own, there)
    edit_setup_file(replace(own, setup=there), own.setup)
    assert read_setup(tmp_path / "setup.yaml").values == pytest.approx(dict(before))


def test_a_value_that_is_not_in_the_file_is_not_forced_into_it(own, tmp_path):
    text = (tmp_path / "setup.yaml").read_text()
    kept = "\n".join(row for row in text.split("\n") if "bar screw" not in row)
    (tmp_path / "setup.yaml").write_text(kept)
    assert edit_setup_file(own, moved(own, "bar_screw")) is None
    assert (tmp_path / "setup.yaml").read_text() == kept


def test_a_setup_with_names_as_they_were_spelled_once_is_edited_and_keeps_them(own, tmp_path):
    path = tmp_path / "setup.yaml"
    path.write_text(path.read_text().replace("roll center:", "roll centre:"))
    case = read_case(tmp_path / "case.yaml")
    there = moved(case, "rebound_lf", "front_roll_center")
    assert edit_setup_file(case, there) == path
    assert read_setup(path).values == pytest.approx(dict(there.values))
    assert "  roll centre: " in path.read_text()


def test_what_was_saved_and_where_is_said(own, tmp_path):
    assert keep_setup(own, moved(own, "stagger"), "t", "trade") == f"Saved in {tmp_path / 'setup.yaml'}."


def test_the_demo_is_nobodys_own_and_a_copy_is_kept_once(demo, tmp_path, monkeypatch):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    assert not is_own(demo.file)
    setup = with_value(demo.setup, "stagger", 0.05)
    assert "a copy of it is kept" in keep_setup(demo, setup, "t", "trade")
    assert keep_setup(demo, demo.setup, "t", "trade") == "Saved in the copy."
    assert read_case(tmp_path / "copies" / "t" / "case.yaml").setup.values == pytest.approx(dict(demo.setup.values))


def test_where_nothing_can_be_written_the_user_is_told_to_note_it(demo, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path / "file"))
    said = keep_setup(replace(demo), demo.setup, "t", "trade")
    assert said == "Not saved: your own folder cannot be written to; note it by hand."


PACKERS = OwnLever("packers", "count", 2.0)


@pytest.mark.parametrize("before", ["", "own levers:\n  rear_packers: 2  # counted\n", "own levers:\n  other: 1\n"])
def test_a_lever_of_the_teams_own_is_put_into_the_file(own, tmp_path, before):
    path = tmp_path / "setup.yaml"
    path.write_text(path.read_text() + before)
    setup = replace(own.setup, values={**own.setup.values, "rear_packers": 2.0}, own={"rear_packers": PACKERS})
    case = replace(own, setup=setup)
    assert edit_setup_file(case, with_value(setup, "rear_packers", 1.0)) == path
    assert read_setup(path).stated_own["rear_packers"] == "1"
    assert ("# counted" in path.read_text()) is ("counted" in before)


def test_a_lever_of_the_teams_own_that_was_not_moved_is_not_put_into_the_file(own, tmp_path):
    setup = replace(own.setup, values={**own.setup.values, "rear_packers": 2.0}, own={"rear_packers": PACKERS})
    case = replace(own, setup=setup)
    stagger, _ = with_step(setup, case.rulebook, case.car, "stagger", 1)
    edit_setup_file(case, stagger)
    assert "rear_packers" not in (tmp_path / "setup.yaml").read_text()


def test_two_values_of_one_row_are_edited_together(own, tmp_path):
    setup = with_value(
        with_value(own.setup, "pressure_lf", own.setup.values["pressure_lf"] + 3447.38), "pressure_rr", 150000.0
    )
    assert edit_setup_file(own, setup) is not None
    assert read_setup(tmp_path / "setup.yaml").values == pytest.approx(dict(setup.values))


def test_line_ends_and_rights_of_the_file_stay(own, tmp_path):
    path = tmp_path / "setup.yaml"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    path.chmod(0o640)
    before = path.read_bytes()
    assert edit_setup_file(own, moved(own, "stagger")) == path
    after = path.read_bytes()
    assert after.count(b"\n") == after.count(b"\r\n") == before.count(b"\n")
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_setup_that_is_read_only_is_left_alone_and_that_is_said(own, tmp_path):
    path = tmp_path / "setup.yaml"
    path.chmod(0o444)
    before = path.read_bytes()
    said = keep_setup(own, moved(own, "stagger"), "t", "trade")
    assert said == "Not saved: the setup file could not be edited; note it by hand."
    assert path.read_bytes() == before


@pytest.mark.parametrize("gone", ["setup.yaml", "case.yaml"])
def test_a_setup_or_a_case_that_is_gone_is_told_and_not_made_anew(own, tmp_path, gone):
    (tmp_path / gone).unlink()
    said = keep_setup(own, moved(own, "stagger"), "t", "trade")
    assert said == "Not saved: the setup file could not be edited; note it by hand."
    assert not (tmp_path / gone).exists()


def test_only_what_moved_is_written_and_only_where_the_file_is_as_believed(own, tmp_path):
    path = tmp_path / "setup.yaml"
    by_hand = path.read_text().replace("spring: 225 lb/in", "spring: 250 lb/in")
    assert by_hand != path.read_text()
    path.write_text(by_hand)
    with pytest.raises(ChangedMeanwhileError):
        keep_setup(own, moved(own, "stagger"), "t", "trade")
    assert path.read_text() == by_hand
    keep_setup(own, moved(own, "stagger"), "t", "trade", read_setup(path))
    assert path.read_text() == by_hand.replace("1 7/8 in", "2 in    ")  # the remark stays where it was


def test_a_guess_moved_by_a_step_stays_a_guess_in_the_file(own, tmp_path):
    path = tmp_path / "setup.yaml"
    path.write_text(path.read_text().replace("1 7/8 in", "1 7/8 in guessed"))
    case = read_case(tmp_path / "case.yaml")
    setup = moved(case, "stagger")
    assert "stagger" in setup.guessed
    edit_setup_file(case, setup)
    assert "stagger: 2 in guessed" in path.read_text()
    edit_setup_file(replace(case, setup=setup), case.setup)
    assert "stagger: 1 7/8 in guessed" in path.read_text()


@pytest.mark.parametrize("is_link", [True, False])
def test_a_file_of_the_users_own_that_is_called_like_a_trial_is_left_alone(own, tmp_path, is_link):
    mine = tmp_path / "precious.txt"
    mine.write_text("mine")
    beside = tmp_path / "setup.yaml.new"
    if is_link:
        beside.symlink_to(mine)
    else:
        beside.write_text("mine")
    assert edit_setup_file(own, moved(own, "stagger")) is not None
    assert (beside.read_text(), mine.read_text()) == ("mine", "mine")
    assert not (tmp_path / "setup.yaml").is_symlink()


def test_a_setup_the_car_cannot_take_is_not_written(own, tmp_path):
    before = (tmp_path / "setup.yaml").read_text()
    fuller = with_value(own.setup, "fuel_at_green", own.car.tank_volume * 1.1)
    assert edit_setup_file(own, fuller) is None
    assert (tmp_path / "setup.yaml").read_text() == before
