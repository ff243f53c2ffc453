import json
from datetime import UTC, datetime

from assistant.shell.record import Record, forget, last_cut_off

MOMENT = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)


def test_every_line_is_on_the_disk_before_it_is_answered(tmp_path):
    record = Record("demo", tmp_path, moment=MOMENT)
    record.typed("loose off")
    record.typed("3")
    lines = [json.loads(row) for row in next(tmp_path.iterdir()).read_text().splitlines()]
    assert [line["typed"] for line in lines if "typed" in line] == ["loose off", "3"]
    record.close()


def test_a_talk_that_was_cut_off_is_found_with_its_lines_and_its_setup(tmp_path):
    record = Record("demo", tmp_path, moment=MOMENT)
    record.typed("loose off")
    record.began_with({"stagger": 0.044}, {"car": "1f"})
    record.complained("loose off")
    record.holds({"stagger": 0.05})
    record.close()
    found = last_cut_off("demo", tmp_path)
    assert (found.typed, found.setup, found.began) == (("loose off",), {"stagger": 0.044}, "25 Nov 14:03")
    assert (found.on_file, found.prints, found.said) == ({"stagger": 0.05}, {"car": "1f"}, "loose off")


def test_a_talk_that_ended_is_not_offered_again(tmp_path):
    record = Record("demo", tmp_path, moment=MOMENT)
    record.typed("loose off")
    record.ended()
    assert last_cut_off("demo", tmp_path) is None


def test_a_talk_about_another_car_is_not_offered(tmp_path):
    record = Record("mine.yaml", tmp_path, moment=MOMENT)
    record.typed("loose off")
    record.close()
    assert last_cut_off("demo", tmp_path) is None


def test_a_talk_somebody_is_still_in_is_not_offered(tmp_path):
    record = Record("demo", tmp_path, moment=MOMENT)
    record.typed("loose off")
    assert last_cut_off("demo", tmp_path) is None
    record.close()
    assert last_cut_off("demo", tmp_path) is not None


def test_a_line_half_written_when_the_power_went_is_left_out(tmp_path):
    record = Record("demo", tmp_path, moment=MOMENT)
    record.typed("loose off")
    record.close()
    file = next(tmp_path.iterdir())
    file.write_text(file.read_text() + '{"typed": "3')
    assert last_cut_off("demo", tmp_path).typed == ("loose off",)


def test_a_talk_turned_down_is_forgotten_but_kept(tmp_path):
    record = Record("demo", tmp_path, moment=MOMENT)
    record.typed("loose off")
    record.close()
    forget(last_cut_off("demo", tmp_path))
    assert last_cut_off("demo", tmp_path) is None
    assert "loose off" in next(tmp_path.iterdir()).read_text()


def test_a_talk_taken_up_again_goes_on_in_its_own_file(tmp_path):
    first = Record("demo", tmp_path, moment=MOMENT)
    first.typed("loose off")
    first.close()
    second = Record("demo", tmp_path)
    second.go_on_with(last_cut_off("demo", tmp_path))
    second.typed("3")
    second.close()
    assert len(list(tmp_path.iterdir())) == 1
    assert last_cut_off("demo", tmp_path).typed == ("loose off", "3")


def test_nothing_is_written_before_there_is_something_to_keep(tmp_path):
    Record("demo", tmp_path).ended()
    assert list(tmp_path.iterdir()) == []


def test_where_nothing_can_be_written_the_talk_goes_on():
    record = Record("demo", None)
    record.typed("loose off")
    record.ended()


def test_a_file_of_another_kind_is_left_alone(tmp_path):
    (tmp_path / "a.jsonl").write_text("not json\n[1, 2]\n")
    assert last_cut_off("demo", tmp_path) is None
