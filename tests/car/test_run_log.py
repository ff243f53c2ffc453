"""Run logs: what they may look like, what comes of it in SI, and every mistake with its line and its words."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant.car.files import read_case
from assistant.car.run_log import RunLog, check_against_case
from assistant.car.run_log_file import read_run_log
from assistant.ground.problems import BadInput
from assistant.ground.units import from_unit

MISTAKES = yaml.safe_load((Path(__file__).parent / "log_mistakes.yaml").read_text(encoding="utf-8"))


def log(folder, *rows, name="run.csv"):
    path = folder / name
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def mistakes(path):
    """Line, column, words and hint of every problem."""
    with pytest.raises(BadInput) as bad:
        read_run_log(path)
    return [(one.line, one.column, one.says, one.hint) for one in bad.value.problems]


def words(path):
    return [f"{line}: {says} / {hint}".removesuffix(" / ") for line, _, says, hint in mistakes(path)]


def test_columns_come_in_any_order_with_any_unit_and_empty_cells(tmp_path):
    path = log(
        tmp_path,
        "# practice, Friday",
        "RR wear (in), lap , Right Rear hot pressure [kPa],time (s),rf_inside temp (C),fuel (L)",
        ",1,,23.4,,45.4",
        "",
        "0.02,30,193.05,1:02.5,93,",
        ",31,,24.0,,",
    )
    read = read_run_log(path)
    assert [row.lap for row in read.rows] == [1, 30, 31]
    assert read.rows[0].fuel_left == pytest.approx(0.0454)
    assert read.rows[0].hot_pressure == {}
    last = read.rows[1]
    assert last.line == 5
    assert last.lap_time == 62.5
    assert last.hot_pressure == {"RR": pytest.approx(193_050)}
    assert last.temperatures == {"RF": {"inside": pytest.approx(366.15)}}
    assert last.wear == {"RR": pytest.approx(0.02 * 0.0254)}
    assert read.laps == 31


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_commas_semicolons_and_tabs_part_the_cells(tmp_path, mark):
    rows = ["lap,lap time (s),note", '1,23.4,"slow, traffic"', "2,23.3,", "3,23.5,"]
    path = log(tmp_path, *(row.replace(",", mark) for row in rows))
    assert [row.lap_time for row in read_run_log(path).rows] == [23.4, 23.3, 23.5]


def test_a_stop_is_read_with_what_was_done_at_it(tmp_path):
    path = log(
        tmp_path,
        "lap,lap time (s),new tires,refueled,slow laps",
        "1,23.4,,,",
        "2,23.3,right side,yes,3",
        "3,23.5,,,",
        "4,23.5,LF + lr,,",
    )
    rows = read_run_log(path).rows
    assert rows[1].new_tires == {"RF", "RR"}
    assert rows[1].refueled
    assert rows[1].slow_laps == 3
    assert rows[3].new_tires == {"LF", "LR"}


def test_the_same_log_may_be_yaml(tmp_path):
    path = log(
        tmp_path,
        "run log: friday",
        "units: si",
        "laps:",
        "  - {lap: 1, lap time: 23.4}",
        "  - {lap: 2, lap time: 23.3 s, RR hot pressure: 193, RR middle: 200 F}",
        "  - {lap: 3, new tires: RF RR}",
        name="run.yaml",
    )
    read = read_run_log(path)
    assert read.name == "friday"
    assert read.rows[1].hot_pressure == {"RR": pytest.approx(193_000)}
    assert read.rows[1].temperatures["RR"]["middle"] == pytest.approx(from_unit(200, "F"))
    assert read.rows[1].line == 5
    assert read.rows[2].new_tires == {"RF", "RR"}


def test_the_logs_of_the_demo_are_found_by_name():
    assert read_run_log("run-practice").laps == 60
    assert read_run_log("run-race.csv").laps == 90
    assert len(read_run_log("run-few-laps").rows) == 6


@pytest.mark.parametrize("row", MISTAKES["a file with commas"])
def test_a_mistake_is_told_with_its_line_and_what_to_do(tmp_path, row):
    assert words(log(tmp_path, *row["log"])) == [row["says"]]


def test_every_mistake_of_a_log_is_told_at_once_under_its_cell(tmp_path):
    path = log(tmp_path, "lap,lap time (s),RR middle (F)", "1,x,200", "2,23,999")
    found = mistakes(path)
    assert [(line, column) for line, column, _, _ in found] == [(2, 3), (3, 6)]
    assert found[1][2] == "RR middle: 999 F is above what is possible, -20 F to 450 F"


def test_a_log_that_is_not_there_or_not_text_is_said_so(tmp_path):
    assert words(tmp_path / "no.csv") == [
        "0: there is no such run log / a CSV or YAML file; docs/run-logs.md has an example"
    ]
    (tmp_path / "photo.csv").write_bytes(b"\xff\xd8\xff\xe0")
    assert words(tmp_path / "photo.csv") == ["1: the file is not UTF-8 text / save it as UTF-8"]
    (tmp_path / "folder.csv").mkdir()
    assert words(tmp_path / "folder.csv") == [
        "0: this is not an ordinary file / check the name and the folder it stands in"
    ]


def test_a_log_without_end_is_refused(tmp_path):
    assert words(log(tmp_path, "lap", *("1" for _ in range(3001)))) == [
        "0: the run log has more than 3000 lines / split it by runs"
    ]
    assert words(log(tmp_path, "x" * 2_000_001)) == ["0: the file is larger than 2 MB / split it into several files"]


@pytest.mark.parametrize("row", MISTAKES["a YAML file"])
def test_a_mistake_in_yaml_is_told_the_same_way(tmp_path, row):
    assert words(log(tmp_path, *row["log"], name="run.yaml")) == [row["says"]]


def against_demo(folder, *rows):
    read: RunLog = read_run_log(log(folder, *rows))
    return [f"{one.line}: {one.says} / {one.hint}" for one in check_against_case(read, read_case("demo"))]


@pytest.mark.parametrize("row", MISTAKES["a log of another car"])
def test_readings_that_cannot_be_of_this_car_are_told(tmp_path, row):
    assert against_demo(tmp_path, *row["log"]) == [row["says"]]


def test_one_tire_that_gains_much_is_not_taken_for_an_absolute_gauge(tmp_path):
    assert against_demo(tmp_path, "lap,RF hot pressure (psi),LF hot pressure (psi)", "3,40,19") == []


CELLS = st.one_of(
    st.sampled_from(
        ["lap", "lap time (s)", "RR wear (mm)", "1", "2", "3", "-1", "1e99", "nan", '"', "", "(", "1/0", "#"]
    ),
    st.text(max_size=6),
)


@given(st.lists(st.lists(CELLS, max_size=5), max_size=6))
def test_whatever_stands_in_the_file_it_is_a_log_or_a_mistake_in_words(tmp_path_factory, rows):
    path = tmp_path_factory.mktemp("fuzz") / "run.csv"
    path.write_text("\n".join(",".join(row) for row in [["lap", "lap time (s)"], *rows]), encoding="utf-8")
    try:
        read = read_run_log(path)
    except BadInput as bad:
        assert all(one.says for one in bad.problems)  # noqa: PT017 - a log is as good an end as a mistake
    else:
        assert read.laps >= 3


def test_a_line_nobody_would_write_is_refused(tmp_path):
    path = tmp_path / "long.csv"
    path.write_text("lap,lap time (s),note\n1,20.1," + "x" * 200_000 + "\n", encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        read_run_log(path)
    assert bad.value.problems[0].says == "this line is too long"
    assert bad.value.problems[0].line == 2


def test_cells_in_quotes_are_read_and_mistakes_behind_them_are_pointed_at(tmp_path):
    path = tmp_path / "quoted.csv"
    path.write_text('lap,note,lap time (s)\n1,"hot, ""very"" hot",slow\n', encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        read_run_log(path)
    problem = bad.value.problems[0]
    assert (problem.line, problem.row[problem.column - 1 :]) == (2, "slow")


def test_older_spellings_of_columns_are_read(tmp_path):
    path = tmp_path / "old.csv"
    path.write_text("lap,lap time (s),new tyres,refuelled\n1,20,,\n2,20,all,yes\n3,20,,\n", encoding="utf-8")
    rows = read_run_log(path).rows
    assert rows[1].new_tires == {"LF", "RF", "LR", "RR"}
    assert rows[1].refueled


def test_of_a_log_full_of_mistakes_only_so_many_are_said_as_anybody_reads(tmp_path):
    assert len(words(log(tmp_path, "lap,lap time (s)", *("x,23" for _ in range(300))))) == 20
