"""Calibration: on logs of a car that is not our model, on logs our model made, and on logs that tell nothing.

The logs of the demo come from tests/generators/other_car.py, whose laws are not those of the program.
"""

from __future__ import annotations

import re
from dataclasses import replace
from math import log

import numpy as np
import pytest

from assistant.belief import log_fit
from assistant.belief.driven import case_bands
from assistant.belief.garage import Garage
from assistant.belief.known import rows_of_log
from assistant.belief.log_fit import DRAWN, TAUGHT, calibrate, find_scatter, kind_of, value_at
from assistant.belief.log_readings import TREAD_OFF, Reading, Readings, collect_readings, find_slower, foretell
from assistant.belief.model import read_beside, read_levels, read_model
from assistant.belief.picture import Told, believe_told
from assistant.car.case import Fit, put_fit
from assistant.car.files import read_case, read_fit
from assistant.car.run_log import LogRow, RunLog
from assistant.car.run_log_file import read_run_log
from assistant.car.write import write_fit
from assistant.ground.names import CORNERS
from assistant.ground.problems import BadInput
from assistant.ground.understood import Cell, Complaint
from assistant.ground.units import from_unit
from assistant.pages.data import Way, plain
from assistant.pages.readings import drift_name, refusals_of, say_doubts
from tests.calibrations import FUEL, WEAR_OF_ANOTHER_CAR, calibrate_once
from tests.conftest import DRIVEN
from tests.generators.other_car import FOLDER, LOGS
from tests.generators.transfer import meet_log

DEMO = read_case("demo")
QUANTITIES = ["lap time", "tread temperature", "hot pressure", "wear", "fuel"]


@pytest.fixture(scope="module")
def practice():
    return calibrate_once(DEMO, read_run_log("run-practice"))


@pytest.fixture(scope="module")
def little():
    return calibrate_once(DEMO, read_run_log("run-few-laps"))


@pytest.fixture(scope="module")
def another_car(tmp_path_factory):
    return calibrate_once(DEMO, written(tmp_path_factory.mktemp("wear") / "wear.csv", WEAR_OF_ANOTHER_CAR))


def written(path, text):
    path.write_text(text, encoding="utf-8")
    return read_run_log(path)


def short_log(*rows):
    """A log of these rows, lap after lap, padded to its end."""
    return RunLog("short", "short.csv", rows, ("",) * 99)


def told(found):
    return {one.id: one.told for one in found.learned}


@pytest.mark.parametrize("name", LOGS)
def test_the_logs_of_the_demo_are_what_their_generator_makes(name):
    assert (FOLDER / name).read_text(encoding="utf-8") == LOGS[name]()


def test_calibrating_on_one_log_brings_the_model_nearer_to_another(practice):
    race = read_run_log("run-race")
    before, after = meet_log(DEMO, race), meet_log(put_fit(DEMO, practice.fit), race)
    assert [one.quantity for one in before] == QUANTITIES
    better = {one.quantity: other.after / one.after for one, other in zip(before, after, strict=True)}
    assert better.pop("lap time") < 1.1  # the page says it: lap times get no better
    assert all(share < 0.7 for share in better.values()), better
    assert better["tread temperature"] < 0.4
    assert better["wear"] < 0.4
    assert better["fuel"] < 0.2


def test_the_fit_meets_its_own_log_better_than_the_files_do(practice):
    assert [one.quantity for one in practice.agreement] == QUANTITIES
    assert all(one.after < one.before for one in practice.agreement)
    assert not practice.refused


def test_what_the_log_tells_is_kept_with_its_range(practice):
    assert told(practice)["wear"] == told(practice)["gas_share"] == "well"
    assert told(practice)["worn_grip"] != "not"
    for one in practice.learned:
        assert one.low < one.after < one.high
        assert one.kept is (one.field in practice.fit.values)
    assert practice.fit.values["gas_share"] < 0.75  # published builds are far below a gas as warm as its tread
    assert practice.left_out == (44,)
    assert say_doubts(practice)[-1] == "Laps left out as not driven freely: 44."


def test_the_drift_per_ten_laps_is_measured_and_fitted(practice):
    drift = {(drift_name(one), one.corner): one for one in practice.drift}
    pace = drift["lap time", ""]
    assert pace.measured == pytest.approx(0.1, abs=0.03)  # the other car loses 0.7 s in 60 laps, and burns fuel
    assert pace.fitted == pytest.approx(pace.measured, abs=0.02)
    assert drift["wear", "RF"].measured == pytest.approx(2.2e-3 / 6, abs=0.05e-3)
    assert drift["balance, exit", ""].measured is None
    assert len([one for one in drift.values() if one.quantity.startswith("balance")]) == 3


def test_a_log_of_a_few_lap_times_determines_nothing_and_nothing_is_kept(little):
    assert set(told(little).values()) == {"not"}
    assert little.fit is None
    assert not little.refused
    assert all(one.after == one.before for one in little.learned)


def test_a_log_of_fuel_alone_determines_the_fuel_and_nothing_else(tmp_path):
    found = calibrate_once(DEMO, written(tmp_path / "fuel.csv", FUEL))
    assert told(found) == {one: "well" if one == "fuel" else "not" for one in TAUGHT}
    assert set(found.fit.values) == {"fuel_use"}
    assert found.agreement[0].after < 0.25 * found.agreement[0].before


ALL = ("LF", "RF", "LR", "RR")
EDGES = ("inside", "middle", "outside")
TRUTH = {"wear": 1.0, "cooling": -1.0, "gas": -0.8, "gas_share": -0.5, "worn_grip": 0.6}
"""Bands each number is off on the car of the log; its engine burns a tenth more."""


def row_of_ones(lap):
    """A row that holds every kind of reading at laps 3, 10, 25 and 40, and a lap time at all."""
    read = lap in {3, 10, 25, 40}
    return LogRow(
        lap + 2,
        lap,
        lap_time=20.0,
        temperatures={one: dict.fromkeys(EDGES, 1.0) for one in ALL} if read else {},
        hot_pressure=dict.fromkeys(ALL, 1.0) if read else {},
        wear=dict.fromkeys(ALL, 1.0) if read else {},
        fuel_used=1.0 if read else None,
    )


def filled(row, values):
    """The row with the values of a run in place of the ones."""
    return replace(
        row,
        lap_time=values.get(("lap time", "", row.lap)),
        temperatures={one: dict.fromkeys(EDGES, values["tread temperature", one, row.lap]) for one in row.temperatures},
        hot_pressure={one: values["hot pressure", one, row.lap] for one in row.hot_pressure},
        wear={one: values["wear", one, row.lap] for one in row.wear},
        fuel_used=values.get(("fuel", "", row.lap)),
    )


@pytest.fixture(scope="module")
def own_log():
    """Forty laps of our own model with its numbers moved; the truth is then known."""
    values = {field: value_at(DEMO, field, TRUTH.get(one, 0.0)) for one, field in TAUGHT.items()}
    case = put_fit(DEMO, Fit("own", "", "", {**values, "fuel_use": 1.1 * DEMO.car.engine.fuel_use}))
    rows = [row_of_ones(lap) for lap in range(1, 41)]
    readings = collect_readings(short_log(*rows))
    given, _ = foretell(case, readings)
    places = [(one.quantity, one.corner, one.lap) for one in readings.readings]
    found = dict(zip(places, given, strict=True))
    return short_log(*(filled(row, found) for row in rows))


@pytest.fixture(scope="module")
def own(own_log):
    return calibrate_once(DEMO, own_log)


def test_numbers_of_our_own_model_are_found_again(own):
    for one in own.learned[: len(DRAWN)]:
        truth = value_at(DEMO, one.field, TRUTH.get(one.id, 0.0))
        if one.kept:
            assert abs(log(one.after / truth)) < 2 * log(one.high / one.low) / 2 / 1.2816, one.id
    assert own.learned[-1].factor == pytest.approx(1.1, rel=0.03)
    assert told(own)["wear"] == told(own)["fuel"] == told(own)["gas_share"] == "well"
    off = {one.quantity: one for one in own.agreement}
    assert all(off[name].after < 0.2 * off[name].before for name in ("tread temperature", "wear", "fuel"))
    assert off["hot pressure"].after < from_unit(0.2, "psi")
    assert not own.refused
    assert own.beside == ()


def changed(rows, change):
    return short_log(*(change(row) for row in rows))


def test_a_side_that_reads_far_from_the_model_is_said_and_kept_beside_it(own_log):
    def hotter(row):
        warm = {
            one: {edge: value + 25.0 * (one in {"LF", "LR"}) for edge, value in three.items()}
            for one, three in row.temperatures.items()
        }
        return replace(row, temperatures=warm)

    found = calibrate_once(DEMO, changed(own_log.rows, hotter))
    assert not found.refused
    assert {one.corner for one in found.beside} == {"LF", "LR"}
    said = [note for note in say_doubts(found) if note.startswith("LF")]
    assert said[0].startswith("LF reads hotter than the model's all run long, 3 times what the model may be off")
    assert found.fit.beside["tread LF"] > 12.0
    off = {one.quantity: one for one in found.agreement}
    assert off["tread temperature"].after < 6.0


def test_pressures_the_model_cannot_have_are_not_followed_and_nothing_is_kept(own_log):
    found = calibrate_once(
        DEMO,
        changed(
            own_log.rows,
            lambda row: replace(row, hot_pressure={one: 1.4 * value for one, value in row.hot_pressure.items()}),
        ),
    )
    assert found.fit is None
    assert "hot pressure" in {name for name, _ in found.not_followed}


@pytest.mark.parametrize("corner", CORNERS)
def test_how_high_a_tire_reads_is_as_sure_as_its_readings_whichever_numbers_make_it_so(practice, corner):
    """Heat and cooling trade off with what a tire reads beside the model; their sum was read four times."""
    read = sum((one.reading.quantity, one.reading.corner) == ("tread temperature", corner) for one in practice.compared)
    assert read == 4
    kelvin = 8.0 * practice.fit.left[f"tread {corner}"]
    assert 0.5 * TREAD_OFF / read**0.5 < kelvin < 0.8 * TREAD_OFF / read**0.5


def test_half_a_log_tells_less_and_never_more(own_log, own):
    half = calibrate_once(DEMO, short_log(*own_log.rows[:12]))
    for one, other in zip(half.learned, own.learned, strict=True):
        assert one.left > other.left - 0.02, one.id
    assert not half.refused


def test_a_number_at_the_end_of_what_is_possible_does_not_refuse_a_log_the_model_follows():
    """All the air inside as warm as the tread is the most there is, and the file has it."""
    rows = [row_of_ones(lap) for lap in range(1, 41)]
    readings = collect_readings(short_log(*rows))
    given, _ = foretell(DEMO, readings)
    places = [(one.quantity, one.corner, one.lap) for one in readings.readings]
    found = calibrate_once(DEMO, short_log(*(filled(row, dict(zip(places, given, strict=True))) for row in rows)))
    assert not found.refused
    assert next(one for one in found.learned if one.id == "gas_share").after <= 1.0


def test_ranges_hold_what_they_say_on_cars_that_are_hidden():
    """Eight of ten, of four numbers on six cars drawn from the usual bands: at least 17 and less than all of 24."""
    draw, inside = np.random.default_rng(3), []
    rows = [row_of_ones(lap) for lap in range(1, 41)]
    readings = collect_readings(short_log(*rows))
    for _ in range(6):
        off = {one: float(draw.standard_normal()) for one in ("wear", "cooling", "gas_share", "worn_grip")}
        values = {TAUGHT[one]: value_at(DEMO, TAUGHT[one], by) for one, by in off.items()}
        given, _ = foretell(put_fit(DEMO, Fit("hidden", "", "", values)), readings)
        noisy = [value + one.off * draw.standard_normal() for value, one in zip(given, readings.readings, strict=True)]
        places = [(one.quantity, one.corner, one.lap) for one in readings.readings]
        log_ = short_log(*(filled(row, dict(zip(places, map(float, noisy), strict=True))) for row in rows))
        learned = {one.id: one for one in calibrate_once(DEMO, log_).learned}
        inside += [learned[one].low <= values[TAUGHT[one]] <= learned[one].high for one in off]
    assert 17 <= sum(inside) < 24


def test_wear_beyond_the_cords_is_refused_before_any_fit():
    rows = [LogRow(lap + 2, lap, wear={"RF": 0.6e-3 * lap}) for lap in (5, 10, 20)]
    with pytest.raises(BadInput, match=re.escape("the RF has 12.0 mm of wear; the tire's usable tread is 4.8 mm")):
        calibrate(DEMO, short_log(*rows))


def test_wear_no_band_reaches_is_refused_with_its_reason(another_car):
    assert another_car.fit is None
    (reason,) = refusals_of(another_car)
    said = r"the model cannot follow the wear of this log: it stays off by \d\d times what gauge and model may be off"
    assert re.fullmatch(said, reason)


def test_a_number_that_would_have_to_go_too_far_is_refused():
    case = replace(DEMO, tire=replace(DEMO.tire, wear_rate=DEMO.tire.wear_rate / 6.0))
    found = calibrate_once(case, read_run_log("run-practice"))
    assert found.fit is None
    assert refusals_of(found)[0] == (
        "the wear rate would have to be 4.95 times what the files say, or more; "
        "is it the log of another car, or a column in the wrong unit?"
    )


def test_a_reading_nobody_can_compare_is_refused():
    rows = [LogRow(lap + 2, lap, lap_time=23.0) for lap in (1, 2, 3)]
    with pytest.raises(BadInput, match="nothing in this log can be compared"):
        calibrate(DEMO, short_log(*rows))


def test_a_log_of_another_car_is_refused_before_any_fit():
    rows = [LogRow(lap + 2, lap, hot_pressure={"RF": 60e3}) for lap in (1, 2, 3)]
    with pytest.raises(BadInput, match=re.escape("the RF reads 8.7 psi hot and was set to 24.0 psi cold")):
        calibrate(DEMO, short_log(*rows))


def test_laps_of_another_track_are_asked_about(practice):
    run = read_model(DEMO).run
    assert practice.slower == 0.0
    assert not any("than the model's: is it" in said for said in say_doubts(practice))
    (said,) = say_doubts(replace(practice, slower=-0.25))[-1:]
    assert said == "Its laps are 25 % quicker than the model's: is it the log of this car on this track?"
    for share, slower in ((1.2, 0.2), (0.7, -0.3), (1.05, 0.0)):
        lap = Reading("lap time", "", 6, 5, share * float(run.lap.time.mean()), 0.1, 1)
        assert find_slower(Readings(9, (lap,), (), ()), run) == pytest.approx(slower)
    assert find_slower(Readings(9, (), (), ()), run) == 0.0


def test_a_tire_that_was_not_measured_is_named(another_car, practice):
    assert "Not measured: LR; it follows the others by the one tire law." in say_doubts(another_car)
    assert not any(note.startswith("Not measured") for note in say_doubts(practice))


def quantities(readings):
    return [(one.quantity, one.corner, one.since, one.lap, pytest.approx(one.value)) for one in readings]


def test_tread_left_counts_from_the_new_tire_and_fuel_from_the_full_tank():
    rows = (
        LogRow(2, 0, depth={"RF": 4.8e-3, "LF": 4.8e-3}, fuel_left=0.045),
        LogRow(3, 20, depth={"RF": 4.0e-3, "LF": 4.5e-3}, fuel_left=0.035, new_tires=frozenset({"RF"}), refueled=True),
        LogRow(4, 40, depth={"RF": 4.1e-3, "LF": 4.1e-3}, fuel_left=0.036),
    )
    assert quantities(collect_readings(short_log(*rows)).readings) == [
        ("wear", "RF", 0, 20, 0.8e-3),
        ("wear", "LF", 0, 20, 0.3e-3),
        ("wear", "RF", 20, 40, 0.7e-3),
        ("wear", "LF", 0, 40, 0.7e-3),
        ("fuel", "", 0, 20, 0.010),
        ("fuel", "", 20, 40, 0.009),
    ]


def test_without_a_reading_before_the_run_the_first_one_is_the_start():
    rows = (
        LogRow(2, 5, depth={"RR": 4.6e-3}, fuel_left=0.040),
        LogRow(3, 30, depth={"RR": 3.6e-3}, fuel_left=0.030),
    )
    assert quantities(collect_readings(short_log(*rows)).readings) == [
        ("wear", "RR", 5, 30, 1.0e-3),
        ("fuel", "", 5, 30, 0.010),
    ]


def test_warm_up_laps_and_laps_in_traffic_are_not_compared():
    times = [23.9, 23.5, 23.2, 23.1, 23.0, *(23.0 + 0.01 * lap for lap in range(20))]
    times[14] += 0.6
    rows = tuple(LogRow(lap + 1, lap, lap_time=time) for lap, time in enumerate(times, 1))
    found = collect_readings(short_log(*rows))
    assert [one.lap for one in found.readings] == [lap for lap in range(6, 26) if lap != 15]
    assert found.left_out == (15,)
    assert isinstance(found.readings[0], Reading)


def test_a_fit_survives_being_written_and_changes_only_what_it_holds(practice, tmp_path):
    path = tmp_path / "x.yaml"
    for system in ("trade", "si"):
        path.write_text(write_fit(practice.fit, system), encoding="utf-8")
        again = read_fit(path)
        assert again.values == pytest.approx(dict(practice.fit.values), rel=1e-8)
        assert (again.name, again.log, again.tire) == ("fit", "run-practice", "demo-tire")
        assert again.left == pytest.approx(dict(practice.fit.left), rel=1e-8)
        assert again.beside == pytest.approx(dict(practice.fit.beside), rel=1e-8)
    fitted = put_fit(DEMO, practice.fit)
    assert fitted.tire.wear_rate == practice.fit.values["wear_rate"]
    assert fitted.car.engine.fuel_use == practice.fit.values["fuel_use"]
    back = {name: getattr(DEMO.tire, name) for name in practice.fit.values if name != "fuel_use"}
    assert replace(fitted.tire, **back) == DEMO.tire


def test_cars_of_a_fit_are_drawn_about_it_and_their_tires_read_what_the_log_says(practice):
    fitted = put_fit(DEMO, practice.fit)
    before, after = case_bands(DEMO)["wear_rate"], case_bands(fitted)["wear_rate"]
    assert after.share == pytest.approx(before.share * practice.fit.left["wear_rate"])


def test_every_car_of_a_fit_reads_as_high_as_the_log_has_it(practice):
    """What was measured on this car is so whatever else is off on it: bands of what it will read are narrow."""
    fitted = put_fit(DEMO, practice.fit)
    plain = put_fit(DEMO, replace(practice.fit, beside={}))
    cars, others = (
        one.of(np.flatnonzero(one.usable))
        for one in (Garage(case, folder=DRIVEN, size=16).drive() for case in (fitted, plain))
    )
    levels = {name: float(one[0]) for name, one in read_levels(read_beside(read_model(fitted).run)).items()}
    for name in ("tread LF", "tread RR", "pressure RF"):
        np.testing.assert_allclose(mean_along(cars, name), levels[name], rtol=0.01)
        assert cars.read(name, "worn").std() < 0.4 * others.read(name, "worn").std()
    for name in ("wear RF", "fuel"):
        np.testing.assert_allclose(cars.read(name, float(DEMO.run_laps)), levels[name], rtol=0.03)


def mean_along(driven, name):
    values = driven.values[driven.names.index(name)]
    return np.trapezoid(values, driven.knots, axis=0) / driven.knots[-1]


COUNTS = {"tread": 16, "pressure": 16, "wear": 16, "fuel": 4}
"""Readings of each gauge in the practice."""


def test_gauges_are_taken_to_scatter_as_the_log_shows():
    readings = collect_readings(read_run_log("run-practice"))
    quiet = find_scatter([row for row in rows_of_log(readings, DEMO) if kind_of(row) == "tread"], np.zeros(16), {})
    assert quiet == {"tread": pytest.approx((8 / 24) ** 0.5)}
    rows = rows_of_log(readings, DEMO)
    noisy = {kind: ((8 + 4 * count) / (8 + count)) ** 0.5 for kind, count in COUNTS.items()}
    assert find_scatter(rows, np.full(len(rows), 2.0), {}) == pytest.approx(noisy)


def test_a_fit_of_before_is_read_as_the_middle_of_the_usual_bands(tmp_path):
    path = tmp_path / "old.yaml"
    path.write_text("fit: old\ntire: demo-tire\nlog: x\nwear: {rate: 0.12 mm per MJ}\n", encoding="utf-8")
    fitted = put_fit(DEMO, read_fit(path))
    assert fitted.tire.wear_rate == pytest.approx(1.2e-10)
    assert case_bands(fitted) == case_bands(DEMO)


def test_a_log_alone_shuts_no_gate(practice):
    fitted = put_fit(DEMO, practice.fit)
    complaint = Complaint("", (Cell("exit", "worn", "loose", 3.0, True),))
    belief = believe_told(fitted, [Told(fitted.setup, complaint)], Garage(fitted, folder=DRIVEN))
    assert not belief.gate_is_shut
    assert belief.grid["exit"]["worn"].value < 0.0


def test_the_data_hold_every_number_reading_and_drift(practice):
    data = plain(practice, Way())
    assert data["kept"] is True
    assert [one["id"] for one in data["numbers"]] == [*TAUGHT]
    wear = next(one for one in data["readings"] if (one["quantity"], one["corner"], one["lap"]) == ("wear", "RF", 60))
    assert wear["unit"] == "in"
    assert wear["measured"] == pytest.approx(2.2 / 25.4)
    tread = next(one for one in data["readings"] if one["quantity"] == "tread temperature" and one["lap"] == 60)
    assert tread["unit"] == "F"
    assert 140 < tread["measured"] < 230
    assert data["agreement"][1]["before"] == pytest.approx(practice.agreement[1].before * 1.8)
    assert plain(practice, Way("si"))["agreement"][1]["before"] == pytest.approx(practice.agreement[1].before)


def test_a_number_that_is_nothing_cannot_be_moved_by_a_share_and_is_said():
    case = replace(DEMO, tire=replace(DEMO.tire, wear_rate=0.0))
    with pytest.raises(BadInput, match="'wear rate' is nothing in the files, and no log can move it from there"):
        calibrate(case, read_run_log("run-practice"))


def test_a_fit_that_is_no_number_is_refused_in_words(monkeypatch):
    """As a tire gives that drives no corner."""
    drive = log_fit.drive_log
    monkeypatch.setattr(log_fit, "drive_log", lambda *given: replace(drive(*given), usable=np.zeros(64, dtype=bool)))
    with pytest.raises(BadInput, match="no steady state"):
        calibrate(DEMO, read_run_log("run-practice"))
