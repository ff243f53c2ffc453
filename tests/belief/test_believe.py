"""The belief on the demo: it says what the driver says, hangs on nothing but evidence, and drives nothing twice."""

from dataclasses import replace

import numpy as np
import pytest

from assistant.belief import believe as believing
from assistant.belief import driven as driving
from assistant.belief import garage as garages
from assistant.belief import kept
from assistant.belief import weigh as weighing
from assistant.belief.believe import believe, quantiles, weigh_belief
from assistant.belief.cures import judge, want
from assistant.belief.driven import TRIMS, drive_on, read_values
from assistant.belief.garage import Garage
from assistant.belief.known import Known, change_row, rows_of_complaint, usual_rows
from assistant.belief.picture import read_said
from assistant.belief.weigh import CELLS
from assistant.car.moves import with_value
from assistant.ground.names import PHASES, STAGES
from assistant.ground.understood import Cell, Complaint
from assistant.physics.attitude import felt_balance
from assistant.physics.corner_problem import set_problem
from assistant.physics.cornering import solve_limit
from assistant.physics.heat_and_wear import tires_at
from tests.belief.check_drive import check_belief, check_change
from tests.conftest import DRIVEN

LATE = Cell("exit", "worn", "loose", 3.0, False)
FRESH_FINE = Cell("exit", "fresh", "fine", 0.0, False)
SAID = Complaint("", (LATE, FRESH_FINE))
STORY = Known(rows_of_complaint(SAID))
INCH = 0.0254
LESS_STAGGER = {"stagger": -INCH / 8}


@pytest.fixture(scope="module", autouse=True)
def few():
    """A hundred cars are plenty here: fewer need to count before weights are tempered or more cars are drawn."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(weighing, "FEW", 15.0)
        patch.setattr(believing, "ENOUGH", 15.0)
        yield


@pytest.fixture(scope="module")
def garage(case):
    return Garage(case, folder=DRIVEN, size=96)


@pytest.fixture(scope="module")
def belief(case, garage):
    return believe(case, STORY, garage, most=96)


def settled(driven):
    return np.stack([driven.read(f"balance {phase}", "settled") for phase in PHASES])[:, driven.usable]


def test_before_a_word_every_car_is_neutral_when_settled(garage):
    off = np.abs(settled(garage.drive()))
    assert np.percentile(off, 90) < 0.05


def test_nearly_every_drawn_car_can_drive(garage):
    assert garage.drive().usable.mean() > 0.9  # of the others some answer every push with more and more


def test_a_car_far_from_its_usual_setup_stands_where_that_takes_it(case):
    usual = with_value(case.setup, "stagger", case.setup.values["stagger"] - INCH)
    far = Garage(case, usual=usual, size=24)
    assert np.mean(settled(far.drive())[2]) < -1.5  # an inch more stagger than usual: loose off
    assert np.percentile(np.abs(settled(far.drive(usual))), 90) < 0.2


def test_no_shown_cell_contradicts_a_word(belief):
    assert belief.grid["exit"]["worn"].value < -0.3
    assert abs(belief.grid["exit"]["fresh"].value) < 0.3
    assert set(read_said(belief)) == {("exit", "fresh"), ("exit", "worn")}


def test_a_cell_nobody_spoke_of_has_the_wider_band(belief):
    def width(phase, stage):
        shown = belief.grid[phase][stage]
        return shown.high - shown.low

    assert width("entry", "worn") > 1.5 * width("exit", "fresh")


def test_more_said_makes_no_band_wider_by_much(case, garage, belief):
    nothing = weigh_belief(garage, Known(usual_rows()), "")
    for phase, stage in CELLS:
        before, after = nothing.grid[phase][stage], belief.grid[phase][stage]
        assert after.high - after.low < 0.8 * (before.high - before.low), (phase, stage)


def test_slopes_are_what_is_driven(belief):
    check = check_belief(belief, 24)
    assert check.usable.mean() > 0.9
    assert np.median(check.off) < 0.03
    assert np.percentile(check.off, 90) < 0.15  # of cells up to three percent from where the slopes were taken


def test_effects_read_at_neutral_are_those_where_the_cars_are_believed_to_stand(belief):
    check = check_change(belief, LESS_STAGGER, 24)
    assert np.percentile(check.off, 90) < 0.08  # beside runs driven until they are at rest
    assert np.abs(check.driven).max() > 0.3


def test_the_common_trim_is_the_three_together(garage):
    batch = garage.batches[0]
    moved = drive_on(batch.cars, garage.course, batch.rests[kept.key_of({})], dict.fromkeys(TRIMS, 0.01))
    driven, usable = garage.drive(), garage.drive().usable
    rise = (read_values(moved) - driven.values) / 0.01 * 0.04
    off = np.abs(rise - driven.slopes[0])[: len(PHASES)]
    assert np.percentile(off[..., usable], 90) < 0.4  # of about four percent; wear bends it


def test_at_once_is_the_corner_solved_on_the_tires_in_place(garage):
    batch, course = garage.batches[0], garage.course
    rest, usable = batch.rests[kept.key_of({})], garage.drive().usable
    time = rest.lap.corner_time.sum(axis=1)
    weights = time / time.sum(axis=1, keepdims=True)

    def solve(stagger):
        numbers = {**batch.cars.numbers, "stagger": batch.cars.numbers["stagger"] + stagger}
        place, curve, engine = course.circuit.place, course.circuit.curve, course.circuit.engine
        tires = tires_at(numbers, rest.moments)
        problem = set_problem(numbers, tires, batch.cars.phases, place, curve, engine, rows=10)
        return np.moveaxis((felt_balance(problem, solve_limit(problem)) * weights[:, None]).sum(axis=2), 1, 0)

    once = garage.move(LESS_STAGGER).at_once
    exact = solve(LESS_STAGGER["stagger"]) - solve(0.0)
    assert np.percentile(np.abs(once[: len(PHASES)] - exact)[..., usable], 99) < 0.02


def test_a_new_answer_needs_no_drive(belief, monkeypatch):
    monkeypatch.setattr(driving, "drive_run", lambda *_: pytest.fail("driven"))
    tight = rows_of_complaint(Complaint("", (Cell("entry", "settled", "tight", 4.0, True),)))
    more = belief.with_rows(tight)
    assert more.grid["entry"]["settled"].value > belief.grid["entry"]["settled"].value + 0.3
    assert more.without([row.id for row in tight]).grid["entry"]["settled"].value < 0.3


def test_a_change_that_was_felt_weighs_the_same_cars(case, garage, belief, monkeypatch):
    after = with_value(case.setup, "stagger", case.setup.values["stagger"] - INCH / 8)
    garage.drive(after)
    monkeypatch.setattr(driving, "drive_run", lambda *_: pytest.fail("driven"))
    changes = {"small": 0.2, "large": 1.2}
    felt = {
        name: belief.with_rows([change_row("exit", "worn", size, "", "after", off=0.1)], {"after": after})
        for name, size in changes.items()
    }
    moved = garage.drive(after).read("balance exit", "worn") - garage.drive().read("balance exit", "worn")
    means = {name: one.mean(moved) for name, one in felt.items()}
    assert means["small"] < belief.mean(moved) < means["large"]


def test_a_change_does_what_the_setup_with_it_does(case, garage):
    after = with_value(case.setup, "stagger", case.setup.values["stagger"] - INCH / 8)
    moved = garage.drive(after).read("balance exit", "worn") - garage.drive().read("balance exit", "worn")
    effect = garage.move(LESS_STAGGER).read("balance exit", "worn")
    off = np.abs(effect - moved)[garage.drive().usable]
    assert np.percentile(off, 90) < 0.05  # a few cars on the edge of running away take more passes


def test_a_change_of_nothing_is_nothing_and_twice_half_a_change_about_the_whole(garage):
    usable = garage.drive().usable
    nothing, half, whole = garage.move_all([{}, {"stagger": -INCH / 16}, LESS_STAGGER])
    assert np.abs(nothing.after[..., usable]).max() < 1e-9
    assert np.abs(nothing.at_once[..., usable]).max() < 1e-9
    twice, once = (effect.read("balance exit", "worn")[usable] for effect in (half.times(2.0), whole))
    assert np.percentile(np.abs(twice - once), 90) < 0.15 * np.median(np.abs(once))


def test_a_change_is_driven_on_the_cars_that_count_and_on_the_others_once_they_do(case, tmp_path):
    few = Garage(case, folder=tmp_path, size=16)
    counts = np.arange(16) % 2 == 0
    some = few.move(LESS_STAGGER, counts=counts)
    np.testing.assert_array_equal(some.moved, counts)
    assert np.isnan(some.after[..., ~counts]).all()
    every = few.move(LESS_STAGGER)
    assert every.moved.all()
    np.testing.assert_array_equal(every.after[..., counts], some.after[..., counts])
    usable = few.drive().usable
    together = Garage(case, size=16).move(LESS_STAGGER)
    for part, whole in ((every.after, together.after), (every.at_once, together.at_once)):
        np.testing.assert_allclose(part[..., usable], whole[..., usable], rtol=1e-6, atol=1e-9)


def test_changes_driven_side_by_side_do_what_each_does_alone(case):
    changes = [LESS_STAGGER, {"cross_weight": 0.0025}, {"exit_drive": -0.1}, {}]
    together, alone = Garage(case, size=16), Garage(case, size=16)
    for one, effect in zip(changes, together.move_all(changes), strict=True):
        usable = together.drive().usable
        np.testing.assert_allclose(effect.after[..., usable], alone.move(one).after[..., usable], rtol=1e-6, atol=1e-9)


def test_what_a_change_does_stays_known_when_more_cars_are_drawn(case, monkeypatch):
    garage = Garage(case, size=16, more=8)
    before = garage.move(LESS_STAGGER)
    garage.grow()
    driven = []
    drive = garages.drive_beside
    monkeypatch.setattr(garages, "drive_beside", lambda cars, *more: driven.append(cars.count) or drive(cars, *more))
    after = garage.move(LESS_STAGGER)
    assert driven == [8]
    np.testing.assert_array_equal(after.after[..., :16], before.after)


def test_cars_read_from_disk_are_those_that_were_kept(case, tmp_path):
    batches = [Garage(case, folder=tmp_path, size=16).batches[0] for _ in range(2)]
    made, found = (one.cars for one in batches)
    rests = [kept.lay_flat(one.rests[kept.key_of({})], "rest") for one in batches]
    assert rests[0].keys() == rests[1].keys()
    for name, values in rests[0].items():
        np.testing.assert_array_equal(values, rests[1][name])
    assert made.numbers.keys() == found.numbers.keys()
    for name, values in made.numbers.items():
        np.testing.assert_array_equal(np.broadcast_to(values, made.count), found.numbers[name])
    for name, values in vars(made.phases).items():
        np.testing.assert_array_equal(values, vars(found.phases)[name])
    np.testing.assert_array_equal(made.off, found.off)


def test_cars_are_driven_anew_for_other_numbers_and_never_for_other_rules_or_names(case, tmp_path, monkeypatch):
    drawn = Garage(case, folder=tmp_path, size=16).off
    car = replace(case.car, name="another")
    renamed = replace(case, car=car, rulebook=replace(case.rulebook, name="another", limits={}))
    monkeypatch.setattr(garages, "begin_cars", None)
    np.testing.assert_array_equal(Garage(renamed, folder=tmp_path, size=16).off, drawn)
    for other in (replace(car, mass=car.mass + 1.0), replace(car, guessed=car.guessed ^ {"cg_height"})):
        with pytest.raises(TypeError):
            Garage(replace(case, car=other), folder=tmp_path, size=16)


def test_after_a_change_the_words_speak_of_the_car_before_it(case, garage, belief):
    after = with_value(case.setup, "stagger", case.setup.values["stagger"] - INCH / 8)
    changed = weigh_belief(garage, belief.evidence.plus((), {"after": after}), "after")
    assert read_said(changed) == {}
    assert changed.grid["exit"]["worn"].value > belief.grid["exit"]["worn"].value + 0.3
    assert changed.mean(changed.read("balance exit", "worn", "")) == pytest.approx(belief.grid["exit"]["worn"].value)


def test_a_gauge_that_is_not_believed_stays_so_whatever_else_is_said(belief):
    doubted = replace(belief, left_out=("tread RF at 40",))
    assert doubted.with_rows([]).left_out == doubted.without(["none"]).left_out == doubted.left_out


def test_nothing_is_judged_where_nobody_complains(garage, belief):
    silent = weigh_belief(garage, Known(usual_rows()), "")
    assert not want(silent, Complaint("")).asks
    assert want(belief, SAID).asks


def test_no_chance_is_surer_than_the_cars_can_be(belief):
    everyone = np.ones(belief.cars, dtype=bool)
    assert belief.chance(everyone) == pytest.approx(1.0 - 1.0 / belief.fit.effective)
    assert belief.chance(~everyone) == pytest.approx(1.0 / belief.fit.effective)


def test_a_story_no_plausible_car_does_shuts_the_gate_and_is_named(case, garage, belief):
    wild = Complaint("", (Cell("exit", "worn", "loose", 5.0, True), Cell("exit", "settled", "tight", 5.0, True)))
    more = Complaint("", (Cell("exit", "fresh", "loose", 5.0, True), Cell("entry", "settled", "loose", 5.0, True)))
    rows = [replace(row, off=0.05, sized=False) for row in rows_of_complaint(Complaint("", wild.cells + more.cells))]
    shut = weigh_belief(garage, Known(tuple(row for row in rows if row.kind != "unsaid")), "")
    assert shut.gate_is_shut
    assert not belief.gate_is_shut
    assert shut.in_the_way()[0][1] > shut.fit.plain


def test_more_cars_are_drawn_until_enough_count_and_an_older_belief_still_reads(case):
    garage = Garage(case, size=24, more=32)
    first = believe(case, STORY, garage, most=24)
    more = believe(case, STORY, garage, most=100)
    assert garage.count > 24
    assert more.fit.plain > max(first.fit.plain, 15.0)
    assert first.read("balance exit", "worn").shape == (24,)


def test_kept_cars_are_driven_once_and_say_the_same(case, tmp_path, monkeypatch):
    one = believe(case, STORY, Garage(case, size=16, folder=tmp_path), most=16)
    moved = one.move(LESS_STAGGER)
    monkeypatch.setattr(driving, "drive_run", lambda *_: pytest.fail("driven"))
    again = believe(case, STORY, Garage(case, size=16, folder=tmp_path), most=16)
    assert again.grid == one.grid
    np.testing.assert_array_equal(again.move(LESS_STAGGER).after, moved.after)


def test_another_car_or_another_program_finds_nothing_kept(case, tmp_path, monkeypatch):
    Garage(case, size=8, folder=tmp_path)
    begun = []
    begin = garages.begin_cars
    monkeypatch.setattr(garages, "begin_cars", lambda *given: begun.append(1) or begin(*given))
    Garage(case, size=8, folder=tmp_path)
    Garage(replace(case, complaint="other words", answers={"a": "b"}), size=8, folder=tmp_path)
    assert begun == []
    Garage(replace(case, run_laps=79), size=8, folder=tmp_path)
    assert len(begun) == 1
    monkeypatch.setattr(kept, "version", lambda: "another program")
    Garage(case, size=8, folder=tmp_path)
    assert len(begun) == 2


def test_a_cure_takes_half_away_and_too_much_of_it_is_harm(belief):
    effect, wanted = belief.move(LESS_STAGGER), want(belief, SAID)
    verdicts = {times: judge(wanted, wanted.read(effect.times(times))) for times in (0.0, 1.0, 8.0, -1.0)}
    assert verdicts[0.0].removes == 0.0
    assert verdicts[1.0].removes > 0.25
    assert verdicts[1.0].direction > 0.9
    assert verdicts[-1.0].direction < 0.1
    assert verdicts[8.0].removes < verdicts[1.0].removes
    assert verdicts[8.0].spoils > verdicts[1.0].spoils


def test_a_habit_is_driven_as_a_lever_is_and_less_drive_tightens_the_exit(belief):
    effect = belief.move({"exit_drive": -0.1})
    assert belief.mean(effect.read("balance exit", "worn")) > 0.05
    assert belief.mean(effect.read("balance exit", "worn", at_once=True)) > 0.0


def test_quantiles_are_those_of_the_weight():
    values, weights = np.arange(1000.0), np.r_[np.full(500, 0.0018), np.full(500, 0.0002)]
    low, half = quantiles(values, weights, (0.45, 0.9))
    assert low == pytest.approx(250.0, abs=1.0)
    assert half == pytest.approx(500.0, abs=2.0)


def test_names_of_trims_are_those_of_the_phases():
    assert [f"trim_{phase}" for phase in PHASES] == list(TRIMS)
    assert len(CELLS) == len(PHASES) * len(STAGES)


def test_what_hangs_on_one_assumed_constant_carries_its_doubt(belief):
    shown = belief.show(belief.move({"rear_axle_lead": -INCH / 16}).read("balance exit", "worn"))
    assert shown.high - shown.low > shown.value > 0.0
