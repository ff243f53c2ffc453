"""Files written by the program read back as what was written, short and in the form people write."""

from __future__ import annotations

from dataclasses import asdict, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.car.case import Case, Measured, Setup
from assistant.car.files import read_car, read_case, read_rulebook, read_setup, read_tire, read_track
from assistant.car.keys import ROW_OF, SETUP_KEYS, SHARE_LEVERS
from assistant.car.write import quote, write_car, write_case, write_rulebook, write_setup, write_tire, write_track
from assistant.ground.yaml_file import parse_yaml

DEMO = read_case("demo")
FILES = {
    "car": (write_car, read_car, DEMO.car),
    "tire": (write_tire, read_tire, DEMO.tire),
    "track": (write_track, read_track, DEMO.track),
    "rulebook": (write_rulebook, read_rulebook, DEMO.rulebook),
    "setup": (write_setup, read_setup, DEMO.setup),
}


def same(one: object, other: object) -> bool:
    """Whether two records agree, numbers to a part in 100 million."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(same(a, b) for a, b in zip(one, other, strict=True))
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= 1e-8 * max(abs(one), 1e-9)
    return one == other


@pytest.mark.parametrize("kind", FILES)
@pytest.mark.parametrize("system", ["trade", "si"])
@pytest.mark.parametrize("explain", [False, True])
def test_what_is_written_reads_back_the_same(tmp_path, kind, system, explain):
    write, read, record = FILES[kind]
    path = tmp_path / "file.yaml"
    path.write_text(write(record, system=system, explain=explain), encoding="utf-8")
    assert same(asdict(read(path)), asdict(record))


def test_a_comparison_of_records_notices_a_small_difference():
    assert not same(asdict(DEMO.car), asdict(replace(DEMO.car, mass=DEMO.car.mass * (1 + 1e-6))))


def test_values_are_written_as_the_trade_writes_them():
    text = write_setup(DEMO.setup, "demo-car")
    for row in (
        "  track bar right: 10 1/2 in",
        "  stagger: 1 7/8 in",
        "right rear: {spring: 225 lb/in, compression: 4 clicks, rebound: 5 clicks, air: 22 psi, trailing arm: 0 holes}",
        "  cross weight: 51 %",
        "car: demo-car",
    ):
        assert row in text.splitlines()


def test_compound_units_are_written_as_people_say_them():
    rows = write_tire(DEMO.tire).splitlines()
    for row in ("  growth: 0.31 mm per psi", "  best per load: 11 psi per 1000 lbf", "  rate: 0.09 mm per MJ"):
        assert row in rows
    assert "  track bar frame end: 19 in right" in write_car(DEMO.car).splitlines()


def test_guessed_stays_guessed(tmp_path):
    path = tmp_path / "setup.yaml"
    guessed = frozenset({"stagger", "spring_rr"})
    path.write_text(write_setup(replace(DEMO.setup, guessed=guessed)), encoding="utf-8")
    assert read_setup(path).guessed == guessed


SETUPS = st.fixed_dictionaries(
    {lever: st.floats(*key.span) for lever, key in ROW_OF.items() if lever not in SHARE_LEVERS and not key.span}
)


@settings(max_examples=60, deadline=None)
@given(SETUPS, st.sampled_from(["trade", "si"]), st.sets(st.sampled_from(sorted(row.field for row in SETUP_KEYS))))
def test_any_possible_setup_survives_being_written(tmp_path_factory, values, system, guessed):
    scales = {"nose_weight": 0.505, "left_weight": 0.56, "cross_weight": 0.51}
    setup = Setup(
        "any setup",
        {**{lever: DEMO.setup.values[lever] for lever in DEMO.setup.values}, **values, **scales},
        frozenset(guessed),
    )
    path = tmp_path_factory.mktemp("setup") / "setup.yaml"
    path.write_text(write_setup(setup, system=system), encoding="utf-8")
    back = read_setup(path)
    assert same(dict(back.values), dict(setup.values))
    assert back.guessed == setup.guessed


@settings(max_examples=200)
@given(
    st.text(
        st.characters(codec="utf-8", exclude_categories=["Cc", "Cf", "Cs", "Zl", "Zp", "Co", "Cn"]),
        min_size=1,
        max_size=60,
    )
)
def test_any_words_of_a_driver_survive_being_quoted(words):
    document = parse_yaml(f"says: {quote(words)}\n", "test")
    assert document.data == {"says": words}


@pytest.mark.parametrize(
    "words", ["no", "12", "loose: off", "# tight", "'", '"', "- a", "true", " padded ", "a\\b", "[x]", "null"]
)
def test_words_that_yaml_would_take_for_something_else_are_quoted(words):
    assert parse_yaml(f"says: {quote(words)}\n", "test").data == {"says": words}


def test_a_case_with_everything_measured_reads_back_the_same(tmp_path):
    measured = Measured(
        laps=20,
        temperatures={"RF": (366.5, 372.0, 369.25), "LR": (350.0, 351.0, 352.0)},
        hot_pressure={"RF": 227e3},
        cold_pressure={"LF": 110e3, "RF": 165e3, "LR": 110e3, "RR": 150e3},
        wear={"RR": 0.0008},
        fuel_used=5.6,
        lap_times=(20.1, 61.25),
        steering=0.17,
        rpm_max=6900.0,
    )
    case = replace(
        DEMO, complaint="loose: off, #1 problem", answers={"where": "exit"}, measured=measured, at_hand="shop"
    )
    for system in ("trade", "si"):
        path = tmp_path / f"{system}.yaml"
        text = write_case(case, system).replace("\nsetup: setup\n", "\nsetup: setup-demo\n")
        path.write_text(text, encoding="utf-8")
        back = read_case(path)
        assert same(asdict(replace(back, file="")), asdict(replace(case, file="")))


def test_a_number_that_is_none_cannot_be_written():
    broken: Case = replace(DEMO, setup=replace(DEMO.setup, values={**DEMO.setup.values, "stagger": float("nan")}))
    with pytest.raises(ValueError, match="cannot be written"):
        write_setup(broken.setup)
