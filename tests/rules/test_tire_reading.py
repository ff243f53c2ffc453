"""The rules of reading tires: the published examples come out, every edge is looked at, and nothing is said twice.

Sources: the handbook rule is from northstarmotorsports.com/tech.tips2 (middle against the mean of the edges, pressure
before camber); the stricter one from the Raytek AutoPro manual, p. 21 (middle above or below both edges).
The readings are examples made for these checks, not published ones.
"""

from collections.abc import Mapping

import pytest

from assistant.ground.units import from_unit
from assistant.rules.knowledge import Knowledge
from assistant.rules.pack import base_folder, load_packs


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_packs([base_folder()])


def readings(**corners: tuple[float, float, float]) -> dict[str, float]:
    """Inside, middle, outside in F for each corner, as the facts of a case (kelvin)."""
    facts: dict[str, float] = {}
    for corner, zones in corners.items():
        kelvin = [from_unit(value, "F") for value in zones]
        facts |= {
            f"temperature_{corner}_{name}": value
            for name, value in zip(("inside", "middle", "outside"), kelvin, strict=True)
        }
        facts[f"temperature_{corner}"] = sum(kelvin) / 3
    return facts


def holding(knowledge: Knowledge, facts: Mapping[str, float]) -> set[str]:
    return {
        name
        for name, rule in knowledge.tire_reading.items()
        if rule.condition is not None and knowledge.holds(rule.condition, facts)
    }


@pytest.mark.parametrize(
    ("zones", "wanted"),
    [
        ((200, 215, 205), {"rf-too-much-air", "rf-strict-too-much-air", "rf-outside-hot"}),
        ((205, 190, 200), {"rf-too-little-air", "rf-strict-too-little-air"}),
        ((220, 208, 196), {"rf-inside-hot"}),
        ((220, 208, 190), {"rf-too-much-air", "rf-inside-hot"}),
    ],
    ids=["crowned", "on its shoulders", "camber, not air", "where the two rules differ"],
)
def test_the_right_front_is_read_by_the_handbook_with_the_stricter_rule_beside_it(knowledge, zones, wanted):
    assert holding(knowledge, readings(rf=zones)) == wanted


@pytest.mark.parametrize("corner", ["lf", "lr"])
def test_the_left_tires_are_read_by_the_same_rule(knowledge, corner):
    assert f"{corner}-too-much-air" in holding(knowledge, readings(**{corner: (180, 195, 185)}))
    assert f"{corner}-too-little-air" in holding(knowledge, readings(**{corner: (185, 170, 180)}))


def test_the_right_rear_is_judged_without_its_outside_edge(knowledge):
    cool_outside = holding(knowledge, readings(rr=(210, 208, 170)))
    assert cool_outside == {"rr-too-little-air"}
    assert knowledge.tire_reading["rr-outside-coolest"].confidence == "guess"


def test_diagonals_and_pairs_speak_of_cross_and_balance(knowledge):
    flat = {corner: (heat, heat, heat) for corner, heat in {"lf": 170, "rf": 215, "lr": 185, "rr": 190}.items()}
    assert holding(knowledge, readings(**flat)) == {"cross-too-high", "rf-hottest", "front-hotter"}
    loose = {corner: (heat, heat, heat) for corner, heat in {"lf": 180, "rf": 190, "lr": 170, "rr": 215}.items()}
    assert holding(knowledge, readings(**loose)) == {"cross-too-low", "rr-hottest", "rear-hotter"}


def test_an_even_car_is_told_nothing(knowledge):
    even = dict.fromkeys(("lf", "rf", "lr", "rr"), (190, 190, 190))
    assert holding(knowledge, readings(**even)) == set()


def test_what_nobody_published_says_that_it_is_an_assumption(knowledge):
    for name in ("degrees-per-psi", "degrees-per-camber", "cross-too-high", "rr-hottest"):
        assert "assumption" in knowledge.tire_reading[name].says.lower()
    for rule in knowledge.tire_reading.values():
        assert rule.backed_by != ["memory"] or rule.confidence != "good"


def test_a_stricter_rule_never_points_the_other_way(knowledge):
    for name, rule in knowledge.tire_reading.items():
        if rule.stricter:
            plain = knowledge.tire_reading[name.replace("-strict", "")]
            assert (plain.lever, plain.move) == (rule.lever, rule.move)
