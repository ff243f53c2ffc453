"""How far the brake bias goes to the rear: short of where the rear locks first, which spins a car."""

from dataclasses import replace

from assistant.advice.offers import advise
from assistant.car.files import read_case
from assistant.diagnosis.session import start
from assistant.rules.pack import load_packs
from tests.demo_table import believe_case

PACK = load_packs()
LOCK_TOGETHER = 0.684
"""Front share at which both ends of the demo lock together, as `halfturn forecast demo brakes` has it."""


def bias(step):
    case = replace(read_case("demo"), answers={}, complaint="")
    limit = case.rulebook.limits["brake_bias"]
    limits = {**case.rulebook.limits, "brake_bias": replace(limit, step=step)}
    case = replace(case, rulebook=replace(case.rulebook, limits=limits))
    session = start(case, PACK, "left front locks going in").answer("safety", "none")
    offers = advise(case, PACK, session, believe_case(case, session.complaint)).offers
    return next(one for one in offers if one.id == "brake_bias")


def test_the_bias_stops_short_of_where_the_rear_locks_first():
    offer = bias(0.005)
    assert offer.change < 0.0
    assert offer.finish > LOCK_TOGETHER
    assert not set(PACK.cautions_for(["rear_brakes_first"])) & set(offer.cautions)


def test_where_no_step_lies_short_of_it_the_rear_is_warned_of():
    offer = bias(0.01)
    assert offer.finish < LOCK_TOGETHER
    assert set(PACK.cautions_for(["rear_brakes_first"])) <= set(offer.cautions)
