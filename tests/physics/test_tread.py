"""Temperatures across a tread: air heats the middle, lean heats the edge it leans on, the pack and the model agree."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.belief.whole_run import drive_setups
from assistant.car.moves import with_value
from assistant.ground.units import read
from assistant.physics.driven_run import EDGES_PER_RADIAN, MIDDLE_PER_PASCAL, read_tread, spread_across
from assistant.rules.pack import base_folder, load_packs

PSI, DEGREE = 6894.757, np.pi / 180.0
RF = 1


def across(model, **levers):
    """Inside, middle, outside [K] of the four treads at the end of the run with levers moved (SI)."""
    setup = model.case.setup
    for lever, change in levers.items():
        setup = with_value(setup, lever, setup.values[lever] + change)
    tread = read_tread(drive_setups(model, [setup]), model.circuit.air)
    return np.stack([tread.inside, tread.middle, tread.outside])[:, :, -1, 0]


def crown(strips, tire):
    return strips[1, tire] - (strips[0, tire] + strips[2, tire]) / 2


def test_the_mean_of_the_three_is_the_tread_temperature_of_the_run(model):
    run = drive_setups(model, [model.case.setup])
    tread = read_tread(run, model.circuit.air)
    assert (tread.inside + tread.middle + tread.outside) / 3 == pytest.approx(run.moments.tread, rel=1e-12)


@settings(max_examples=8, deadline=None)
@given(st.sampled_from(["lf", "rf", "lr", "rr"]), st.floats(0.5, 3.0))
def test_more_pressure_heats_the_middle_against_the_edges(model, corner, psi):
    tire = ("lf", "rf", "lr", "rr").index(corner)
    less, more = (across(model, **{f"pressure_{corner}": way * psi * PSI}) for way in (-1, 1))
    assert crown(more, tire) > crown(less, tire)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.25, 1.5))
def test_more_negative_camber_on_the_right_front_heats_its_inside_edge(model, degrees):
    out, lean = (across(model, camber_rf=way * degrees * DEGREE) for way in (1, -1))
    assert lean[0, RF] - lean[2, RF] > out[0, RF] - out[2, RF]


def test_more_positive_camber_on_the_left_front_heats_its_outside_edge(model):
    """The left front is the mirror: it leans toward the turn on the edge away from the car."""
    less, more = (across(model, camber_lf=way * DEGREE) for way in (-1, 1))
    assert more[2, 0] - more[0, 0] > less[2, 0] - less[0, 0]


def test_a_degree_and_a_psi_move_the_tread_by_the_sizes_the_pack_states():
    """At the tire's best temperature; the pack's two numbers are assumptions, and so are these."""
    rules = load_packs([base_folder()])
    pack = {name: rule for name, rule in rules.tire_reading.items() if name.startswith("degrees-per")}
    per_psi = read(pack["degrees-per-psi"].amount, "temperature_change").value
    per_degree = read(pack["degrees-per-camber"].amount, "temperature_change").value
    assert per_psi == pytest.approx(MIDDLE_PER_PASCAL * PSI, rel=1e-6)
    assert per_degree == pytest.approx(EDGES_PER_RADIAN * DEGREE, rel=1e-6)


def test_a_degree_everywhere_moves_inside_less_outside_by_about_the_stated_size(model):
    """Camber acts in the corner and on the straight, so a degree of it is nearly a degree of lean all the way round."""
    out, lean = (across(model, camber_rf=way * 0.5 * DEGREE) for way in (1, -1))
    rise = (across(model)[:, RF].mean() - model.circuit.air) / (366.48 - model.circuit.air)
    moved = (lean[0, RF] - lean[2, RF]) - (out[0, RF] - out[2, RF])
    assert moved == pytest.approx(10.0 / 1.8 * rise, rel=0.15)


def test_a_cold_tire_reads_flat():
    air = 297.0
    flat = spread_across(np.array([air]), air, np.array([0.0]), np.array([30.0]), np.array([10.0]))
    assert flat.inside == flat.middle == flat.outside == pytest.approx(air)


@settings(max_examples=80)
@given(st.floats(300.0, 420.0), st.floats(0.3, 1.5), st.floats(-60.0, 60.0), st.floats(-60.0, 60.0))
def test_three_temperatures_have_their_mean_and_never_fall_below_the_air(mean, scale, edges, crown):
    air = 297.0
    tread = spread_across(np.array(mean), air, np.array(scale), np.array(edges), np.array(crown))
    inside, middle, outside = tread.inside, tread.middle, tread.outside
    assert (inside + middle + outside) / 3 == pytest.approx(mean, rel=1e-12)
    assert min(inside, middle, outside) >= air - 1e-9
    if abs(scale * edges) < 0.8 * (mean - air):
        assert inside - outside == pytest.approx(scale * edges, abs=1e-9)
    if abs(scale * crown) < 0.8 * (mean - air):
        assert middle - (inside + outside) / 2 == pytest.approx(scale * crown, abs=1e-9)
