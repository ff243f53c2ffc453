"""Run logs: what they may look like, what comes of it in SI, and every mistake with its line and its words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.car.files import read_case
from assistant.car.run_log import RunLog, check_against_case
from assistant.car.run_log_file import read_run_log
from assistant.ground.problems import BadInput
from assistant.ground.units import from_unit

HEAD = "lap,lap time (s),RR hot pressure (psi),RR middle (F),RR wear (mm),fuel left (gal)"


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


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            [HEAD, "1,23.4,,,,", "3,23.4,,,,", "3,23.5,,,,"],
            "4: lap 3 comes after lap 3; laps rise from line to line / one log holds one run",
        ),
        (
            [HEAD, "1,23.4,,,0.8,", "3,23.4,,,0.2,"],
            (
                "3: the RR had 0.8 mm of wear before and 0.2 mm now, without new tires / "
                "wear counts from the new tire; write new tires where they went on"
            ),
        ),
        (
            ["lap,LR tread depth (mm)", "0,4.8", "10,4.1", "20,4.7"],
            (
                "4: the LR had 4.1 mm of tread before and 4.7 mm now, without new tires / "
                "write new tires in the line of the lap after which they went on"
            ),
        ),
        (
            [HEAD, "1,23.4,,,,9", "2,23.4,,,,11", "3,23.4,,,,10"],
            (
                "3: 11.0 gal of fuel left after 9.0 gal, without refueling / "
                "write yes under refueled in the line of the lap before"
            ),
        ),
        (
            ["lap,fuel used (gal)", "1,0.1", "5,3", "9,2"],
            "4: 2.0 gal of fuel used after 3.0 gal / fuel used counts from the start; or is it fuel left?",
        ),
        (
            ["lap,lap time (s)", "1,23.4"],
            "2: one lap is no run: at least 3 laps show where it goes / log the whole run",
        ),
        (
            ["lap,lap time (s)", "1,23", "2,24"],
            "3: 2 laps are no run: at least 3 laps show where it goes / log the whole run",
        ),
        (["lap,lap time (s)"], "1: the run log has no laps / one line per lap below the line of columns"),
        (["# nothing yet"], "1: the run log is empty / its first line names the columns: lap,lap time (s)"),
        (["lap time (s)", "23.4"], "1: there is no column 'lap' / number the laps in one"),
        (
            ["lap,new tires", "1,"],
            (
                "1: nothing is measured in this log / "
                "lap time (s), RR hot pressure (psi), RR middle (F), RR wear (mm), fuel left (gal)"
            ),
        ),
        (["lap,RR midle (F)", "1,200"], "1: there is no column 'RR midle' / did you mean 'RR middle'?"),
        (["lap,RR pressure (psi)", "1,20"], "1: there is no column 'RR pressure' / did you mean 'RR hot pressure'?"),
        (
            ["lap,RR cold pressure (psi)", "1,20"],
            "1: 'RR cold pressure': cold pressures stand in the setup, not in a run log / leave the column out",
        ),
        (
            ["lap,RR hot pressure", "1,20"],
            "1: 'RR hot pressure' does not say its unit / write 'RR hot pressure (psi)' or 'RR hot pressure (kPa)'",
        ),
        (
            ["lap,RR hot pressure (psia)", "1,20"],
            "1: psia is an absolute pressure, a gauge pressure is wanted / for example psi or kPa",
        ),
        (
            ["lap,RR middle (psi)", "1,200"],
            "1: psi is a pressure, a temperature is wanted / for example F or C",
        ),
        (["lap,lap time (s),lap time (s)", "1,2,3"], "1: the column 'lap time' is there twice / keep one"),
        (
            ["lap,note (in)", "1,2"],
            "1: 'note' holds words and has no unit / write 'note'",
        ),
        (
            ["lap,lap time (s)", "1,fast", "2,23", "3,23"],
            "2: lap time: 'fast' does not start with a number / for example 12 s",
        ),
        (
            ["lap,lap time (s)", "1,2340", "2,23", "3,23"],
            "2: lap time: 2340 s is above what is possible, 5 s to 600 s / an oval lap takes 10 to 90 s",
        ),
        (
            ["lap,lap time (s)", "1.5,23", "2,23", "3,23"],
            "2: lap: 1.5 is not a whole number of laps / count finished laps",
        ),
        (["lap,lap time (s)", ",23", "2,23", "3,23"], "2: this line does not say its lap / number the laps"),
        (
            ["lap,lap time (s)", "1,23,24", "2,23", "3,23"],
            "2: this line has more cells than the 2 columns / put text with commas into quotes",
        ),
        (
            ["lap,lap time (s),new tires", "1,23,", "2,23,RX", "3,23,"],
            "3: new tires: 'rx' is no tire of the car / write all, right side, left side, or RF RR",
        ),
        (
            ["lap,lap time (s),refueled", "1,23,", "2,23,perhaps", "3,23,"],
            "3: refueled: 'perhaps' is neither yes nor no / write yes, or leave the cell empty",
        ),
    ],
)
def test_a_mistake_is_told_with_its_line_and_what_to_do(tmp_path, rows, said):
    assert words(log(tmp_path, *rows)) == [said]


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


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (["case: x"], "1: this is a case file, a run log file is wanted"),
        (["run log: x"], "1: 'laps' is missing in this file / add a line 'laps: ...'"),
        (
            ["run log: x", "laps: [3]"],
            (
                "2: 'entry 1 of laps' must be a block of names and values, not 3 / "
                "write 'name: value' lines below it, indented by two spaces"
            ),
        ),
        (
            ["run log: x", "lapps: 3", "laps:", "  - {lap: 1}"],
            "2: unknown field 'lapps' / did you mean 'laps'?",
        ),
        (
            ["run log: x", "units: metric", "laps:", "  - {lap: 1}"],
            "2: 'metric' cannot be used for 'units' / allowed: trade, si",
        ),
        (
            ["run log: x", "units: [si]", "laps:", "  - {lap: 1}"],
            "2: a list cannot be used for 'units' / allowed: trade, si",
        ),
        (
            ["run log: x", "units: {si: 1}", "laps:", "  - {lap: 1}"],
            "2: a block cannot be used for 'units' / allowed: trade, si",
        ),
        (
            ["run log: x", "laps:", "  - {lap: 1, laptime: 23}"],
            "3: there is no column 'laptime' / did you mean 'lap time'?",
        ),
    ],
)
def test_a_mistake_in_yaml_is_told_the_same_way(tmp_path, rows, said):
    assert words(log(tmp_path, *rows, name="run.yaml")) == [said]


def against_demo(folder, *rows):
    read: RunLog = read_run_log(log(folder, *rows))
    return [f"{one.line}: {one.says} / {one.hint}" for one in check_against_case(read, read_case("demo"))]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            ["lap,RF hot pressure (psi),LF hot pressure (psi)", "0,24,16", "3,44.5,33"],
            (
                "3: the RF reads 44.5 psi, 20.5 psi above its cold pressure, and so do all: "
                "these are absolute pressures / a tire gauge reads 0 in the open air; take off 14.7 psi (101 kPa)"
            ),
        ),
        (
            ["lap,RF hot pressure (psi)", "3,20"],
            (
                "2: the RF reads 20.0 psi hot and was set to 24.0 psi cold / "
                "a tire that lost air, or a case with another setup"
            ),
        ),
        (
            ["lap,RF middle (F)", "3,60"],
            (
                "2: the RF middle reads 60 F, cooler than the air of the track (75 F) / "
                "is it in C? the head of the column says its unit"
            ),
        ),
        (
            ["lap,lap time (s)", "3,125"],
            "2: 2:05.00 for 0.500 mi is 14.4 mph / is it the case of another track, or a stop? leave the cell empty",
        ),
        (
            ["lap,fuel left (gal)", "3,30"],
            "2: 30.0 gal of fuel left; the tank holds 18.0 gal / tank: volume of the car file",
        ),
    ],
)
def test_readings_that_cannot_be_of_this_car_are_told(tmp_path, rows, said):
    assert against_demo(tmp_path, *rows) == [said]


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
