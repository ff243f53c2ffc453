"""What is driven behind the prompt while somebody thinks of an answer, and the setup a talk goes on with."""

from dataclasses import replace
from threading import Event
from types import SimpleNamespace

import numpy as np
import pytest

from assistant.advice.offers import advise
from assistant.belief.garage import Garage
from assistant.belief.picture import Told, believe_told
from assistant.car.case import levers_of
from assistant.diagnosis.session import start
from assistant.pages.advice import offers_of
from assistant.shell import bench as module
from assistant.shell.bench import Bench
from assistant.shell.remembered import UNREADABLE, began_with
from tests.conftest import DRIVEN
from tests.shell.conftest import done


@pytest.fixture
def bench(demo, knowledge):
    bench = Bench(demo.file)
    bench._loaded = done((demo, knowledge))
    return bench


@pytest.fixture
def asked(bench, monkeypatch):
    """Names of the levers that are driven, in their order; nothing is started behind."""
    found = []
    monkeypatch.setattr(module, "start", lambda work: done(work()))
    monkeypatch.setattr(module, "open_garage", lambda _: SimpleNamespace(count=0))
    monkeypatch.setattr(module, "believe_told", lambda *_: SimpleNamespace(counted=None))
    monkeypatch.setattr(module, "lever_effect", lambda *given: found.append(given[-1]))
    monkeypatch.setattr(module.offers, "advise", lambda *_: found.append("advice"))
    return found


def test_behind_a_question_the_trades_list_is_driven_then_what_advice_needs_then_every_lever(
    bench, demo, knowledge, asked
):
    session = start(demo, knowledge, "loose off late in the run")
    bench.drive_for(session)
    assert asked == ["advice", *levers_of(demo.setup)]


def test_an_older_round_ends_when_something_else_is_said(bench, demo, knowledge, asked, monkeypatch):
    session = start(demo, knowledge, "loose off late in the run")

    def drive(*given):
        asked.append(given[-1])
        bench._turn += 1

    monkeypatch.setattr(module, "lever_effect", drive)
    bench.drive_for(session)
    assert len(asked) == 2


def test_what_was_believed_last_is_believed_once_until_something_else_is_said(bench, monkeypatch):
    said = []
    monkeypatch.setattr(module, "open_garage", lambda _: SimpleNamespace(count=0))
    monkeypatch.setattr(module, "believe_told", lambda _, told, *__: said.append(told[-1].complaint.text))
    late, tight = (start(bench.case, bench.knowledge, words).complaint for words in ("loose off late", "tight in"))
    for complaint in (late, late, tight, late):
        bench.belief(complaint)
    assert said == [late.text, tight.text, late.text]


def test_what_is_believed_is_believed_in_the_order_it_was_said_however_long_the_first_takes(
    bench, demo, knowledge, monkeypatch
):
    first, order, said = Event(), [], ["loose off late in the run", "tight in"]

    def believe(_, told, *__):
        if told[-1].complaint.text == said[0]:
            first.wait(0.3)
        order.append(told[-1].complaint.text)

    monkeypatch.setattr(module, "open_garage", lambda _: SimpleNamespace(count=0))
    monkeypatch.setattr(module, "believe_told", believe)
    monkeypatch.setattr(module, "lever_effect", lambda *_: None)
    monkeypatch.setattr(module.offers, "advise", lambda *_: None)
    bench.drive_for(start(demo, knowledge, said[0]))
    bench.belief(start(demo, knowledge, said[1]).complaint)
    assert order == said


@pytest.fixture(scope="module")
def believed(demo, knowledge):
    session = start(demo, knowledge, "loose off late in the run")
    return session, believe_told(demo, [Told(demo.setup, session.complaint)], Garage(demo, folder=DRIVEN))


def test_the_list_after_an_offer_is_driven_before_it_is_made(
    bench, demo, knowledge, believed, advise_once, monkeypatch
):
    session, belief = believed
    monkeypatch.setattr(module.offers, "advise", advise_once)  # a list known from another test drives nothing
    monkeypatch.setattr(module, "start", lambda work: done(work()))
    bench._begin_to_believe = lambda _: done(belief)
    bench._believed, advice = done(belief), advise(demo, knowledge, session, belief)
    offer = next(one for one in offers_of(advice) if bench.moved(one) is not None)
    bench.drive_ahead(session, [offer])
    case = replace(demo, setup=bench.moved(offer))
    driven = {name: one.moved.sum() for name, one in belief.garage.effects.items()}
    after = believe_told(demo, [Told(demo.setup, session.complaint)], belief.garage).with_setup(case.setup)
    made = believe_told(case, [Told(demo.setup, session.complaint)], belief.garage)
    np.testing.assert_allclose(made.fit.weights, after.fit.weights)
    advise(case, knowledge, replace(session, case=case), made)
    assert {name: one.moved.sum() for name, one in belief.garage.effects.items()} == driven


def test_a_car_that_must_be_looked_at_first_is_not_driven(bench, demo, knowledge, asked):
    bench.drive_for(start(demo, knowledge, "pulls under braking"))
    assert asked == []


def test_what_was_said_before_a_change_stays_said_of_the_setup_before_it(bench, demo, knowledge):
    said = start(demo, knowledge, "loose off late in the run").complaint
    bench.keep_said(said)
    moved = replace(demo.setup, values={**demo.setup.values, "stagger": 0.05})
    bench.put(moved)
    worse = start(demo, knowledge, "even looser off late").complaint
    assert [(one.setup, one.complaint) for one in bench._told_with(worse)] == [(demo.setup, said), (moved, worse)]


def test_the_cars_a_talk_had_are_drawn_again_for_what_they_were_drawn_for(bench, demo, knowledge, monkeypatch):
    drawn = []

    def believe(_, told, garage, *__):
        drawn.append(told[-1].complaint.text)
        garage.count += told[-1].complaint.text == "tight in"

    monkeypatch.setattr(module, "open_garage", lambda case: SimpleNamespace(count=0, setup=case.setup))
    monkeypatch.setattr(module, "believe_told", believe)
    for words in ("loose off", "tight in", "loose in"):
        bench.belief(start(demo, knowledge, words).complaint)
    assert [known[1][-1].complaint.text for known in bench.grown] == ["tight in"]
    drawn.clear()
    setup = replace(demo.setup, values={**demo.setup.values, "stagger": 0.05})
    bench.draw_again(setup, bench.grown)
    cars = bench._garage_promise().result()
    assert (drawn, cars.count, cars.setup) == (["tight in"], 1, setup)


def of_values(values):
    return {"values": values, "guessed": [], "seats_alone": False}


def test_the_setup_a_talk_began_with_is_put_back_without_levers_the_car_has_lost(demo):
    began = began_with(demo.setup, of_values({"stagger": 0.05, "shock_we_sold": 3.0}))
    assert began.values == {**demo.setup.values, "stagger": 0.05}


@pytest.mark.parametrize("values", [{"spring_rr": 0.0}, {"stagger": 0.05, "nose_weight": 7.0}, {"pressure_rf": -1e9}])
def test_a_setup_that_no_file_may_hold_is_not_put_on_the_car(demo, values):
    with pytest.raises(UNREADABLE):
        began_with(demo.setup, of_values(values))
