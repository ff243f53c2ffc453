"""Gauges as evidence: read at the right place, with the doubt of gauge and model, and tires follow them."""

from dataclasses import replace

import numpy as np
import pytest

from assistant.belief import believe as believing
from assistant.belief import weigh as weighing
from assistant.belief.believe import believe, weigh_belief
from assistant.belief.garage import Garage
from assistant.belief.known import Known, gauge_row, pace_rows, rows_of_log, rows_of_measured, stagger_row, usual_rows
from assistant.belief.log_readings import collect_readings
from assistant.belief.weigh import GAUGE_OFF, fit_cars
from assistant.car.case import Measured
from assistant.car.run_log_file import read_run_log
from assistant.ground.folders import demo_folder
from assistant.ground.names import CORNERS
from tests.belief.straight_world import make_world
from tests.belief.test_weigh import scatter
from tests.conftest import DRIVEN


@pytest.fixture(scope="module", autouse=True)
def few():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(weighing, "FEW", 10.0)
        patch.setattr(believing, "ENOUGH", 15.0)
        yield


@pytest.fixture(scope="module")
def garage(case):
    return Garage(case, folder=DRIVEN, size=96, more=64)


@pytest.fixture(scope="module")
def prior(garage):
    return weigh_belief(garage, Known(usual_rows()), "")


def world_of_tread(cars, doubt):
    """Cars whose RF tread differs by `doubt` kelvin and nothing else."""
    world = make_world(np.zeros((3, 4, cars)), cars=cars)
    values = world.values.copy()
    values[world.names.index("tread RF")] = 360.0 + doubt * np.random.default_rng(4).standard_normal(cars)
    return replace(world, values=values)


def test_one_reading_weighs_the_cars_as_normal_numbers_do():
    world = world_of_tread(4000, 10.0)
    fit = fit_cars([gauge_row("tread RF", 30.0, 370.0, 5.0)], {"": world}, scatter(4000))
    tread = world.read("tread RF", 30.0)
    kept = 10.0**2 / (10.0**2 + GAUGE_OFF[0] ** 2 + 5.0**2)
    assert fit.weights @ tread == pytest.approx(360.0 + 10.0 * kept, abs=0.5)


def test_ten_readings_of_one_tread_do_not_make_the_model_right():
    world = world_of_tread(4000, 10.0)
    rows = [replace(gauge_row("tread RF", 30.0, 370.0, 5.0), id=f"{n}") for n in range(10)]
    fit = fit_cars(rows, {"": world}, scatter(4000))
    tread = world.read("tread RF", 30.0)
    kept = 10.0**2 / (10.0**2 + GAUGE_OFF[0] ** 2 + 5.0**2 / 10)
    assert fit.weights @ tread == pytest.approx(360.0 + 10.0 * kept, abs=0.5)


def test_what_was_read_at_the_car_becomes_rows_in_the_units_of_the_run(case):
    measured = Measured(
        laps=40,
        temperatures={"RF": (370.0, 372.0, 371.0)},
        hot_pressure={"LR": 150_000.0},
        wear={"RR": 0.0012},
        fuel_used=10.0,
    )
    rows = {row.id: row for row in rows_of_measured(replace(case, measured=measured))}
    assert rows["tread RF at 40"].value == pytest.approx(371.0)
    assert rows["pressure LR at 40"].value == 150_000.0
    assert rows["wear RR at 40"].value == pytest.approx(0.0012 / case.tire.tread)
    assert rows["fuel at 40"].value == 10.0


def test_a_reading_from_beyond_the_run_is_left_out(case):
    measured = Measured(laps=case.run_laps + 1, wear={"RR": 0.0012})
    assert rows_of_measured(replace(case, measured=measured)) == ()


def test_rows_of_a_log_say_what_the_log_says(case, prior):
    rows = rows_of_log(collect_readings(read_run_log(demo_folder() / "run-practice.csv")), case)
    assert {row.id.split()[0] for row in rows} == {"tread", "pressure", "wear", "fuel", "pace"}
    for row in rows:
        told = sum(term.factor * prior.read(term.quantity, term.at) for term in row.terms)
        assert abs(prior.mean(told) - row.value) < 8.0 * np.hypot(row.off, told.std()), row.id


def test_lap_times_tell_by_their_shape_only(case):
    laps = [
        one
        for one in collect_readings(read_run_log(demo_folder() / "run-practice.csv")).readings
        if one.quantity == "lap time"
    ]
    slower = [replace(one, value=one.value + 1.0) for one in laps]
    for one, other in zip(pace_rows(laps, ""), pace_rows(slower, ""), strict=True):
        assert one.value == pytest.approx(other.value)
        assert sum(term.factor for term in one.terms) == pytest.approx(0.0)


def test_too_few_laps_tell_nothing_of_pace():
    assert pace_rows([], "") == []


def test_tires_follow_the_gauges_and_their_bands_shrink(case, garage, prior):
    truth = {corner: float(np.percentile(prior.read(f"wear {corner}", 80.0), 75)) for corner in CORNERS}
    rows = [gauge_row(f"wear {corner}", 80.0, wear, 0.02) for corner, wear in truth.items()]
    belief = believe(case, Known(tuple(rows)), garage, most=256)
    for corner, wear in truth.items():
        before, after = (one.show(one.read(f"wear {corner}", 80.0)) for one in (prior, belief))
        assert abs(after.value - wear) < abs(before.value - wear), corner
        assert after.high - after.low < 0.9 * (before.high - before.low), corner


def test_a_stagger_measured_hot_moves_the_stagger_believed(case, garage, prior):
    hot = prior.read("stagger", 80.0)
    high = float(np.percentile(hot, 90))
    belief = weigh_belief(garage, Known((*usual_rows(), stagger_row(80.0, high))), "")
    assert belief.mean(belief.read("stagger", 80.0)) > prior.mean(hot)
