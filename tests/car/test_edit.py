"""Temperatures put into the text of a case file: lines that need no change stay letter by letter; all reads back."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.car.case import Measured
from assistant.car.edit import put_values
from assistant.car.write import measured_values
from assistant.ground.units import from_unit, read
from assistant.ground.yaml_file import parse_yaml

HEAD = "# mine\ncase: my-case\nrun: 80 laps   # between stops\n"
FAHRENHEIT = {"LF": (180, 185, 170), "RF": (240, 235, 220), "LR": (170, 172, 168), "RR": (210, 220, 205)}
TREADS = {
    corner: tuple(from_unit(value, "F", "temperature") for value in zones) for corner, zones in FAHRENHEIT.items()
}
FOUR = (
    "lf: [180 F, 185 F, 170 F]",
    "rf: [240 F, 235 F, 220 F]",
    "lr: [170 F, 172 F, 168 F]",
    "rr: [210 F, 220 F, 205 F]",
)


def put_treads(text, treads, system="trade"):
    return put_values(text, measured_values(Measured(temperatures=treads), 1.0, system))


def block(indent, lines=FOUR):
    return "".join(f"{' ' * indent}{line}\n" for line in lines)


def treads_in(text):
    found = parse_yaml(text, "case").data["measured"]["temperatures"]
    return {
        corner.upper(): tuple(read(zone, "temperature", default_unit="F").value for zone in zones)
        for corner, zones in found.items()
    }


def same(treads):
    return treads.keys() == TREADS.keys() and all(treads[name] == pytest.approx(TREADS[name]) for name in TREADS)


def test_a_case_without_measurements_gets_them_at_its_end():
    assert put_treads(HEAD, TREADS) == (f"{HEAD}measured:\n  temperatures:  # inside, middle, outside\n{block(4)}")


def test_a_last_line_without_an_end_gets_one():
    assert put_treads(HEAD.rstrip("\n"), TREADS) == put_treads(HEAD, TREADS)


def test_a_block_of_measurements_without_temperatures_gets_them_first_and_as_far_in_as_the_rest():
    text = f"{HEAD}measured:   # second run\n      # by hand\n      laps: 20\nat hand: shop\n"
    assert put_treads(text, TREADS) == (
        f"{HEAD}measured:   # second run\n      # by hand\n      temperatures:  # inside, middle, outside\n{block(12)}"
        "      laps: 20\nat hand: shop\n"
    )


def test_a_block_with_nothing_in_it_is_filled():
    assert put_treads(f"{HEAD}measured:  # none yet\n", TREADS) == (
        f"{HEAD}measured:  # none yet\n  temperatures:  # inside, middle, outside\n{block(4)}"
    )
    assert put_treads(f"{HEAD}measured:\n  temperatures:\n", TREADS) == (
        f"{HEAD}measured:\n  temperatures:\n{block(4)}"
    )


def test_values_that_are_there_are_replaced_where_they_stand():
    text = (
        f"{HEAD}measured:\n  temperatures: # probe of the club\n"
        "    lf: [1, 2 F ,  3.5]   # cold?\n    rr:\n      - 99 # hot\n      - 100 F\n      - 101\n"
        "    lr: [1 F, 2 F, 3 F]\n  laps: 20\n"
    )
    assert put_treads(text, {name: zones for name, zones in TREADS.items() if name != "RF"}) == (
        f"{HEAD}measured:\n  temperatures: # probe of the club\n"
        "    lf: [180 F, 185 F, 170 F] # cold?\n"
        "    rr:\n      - 210 F # hot\n      - 220 F\n      - 205 F\n"
        "    lr: [170 F, 172 F, 168 F]\n  laps: 20\n"
    )


def test_all_four_in_braces_are_replaced_too():
    text = (
        f"{HEAD}measured: {{temperatures: {{lf: [1, 2, 3], rf: [1, 2, 3], lr: [1, 2, 3], rr: [1, 2, 3]}}, laps: 20}}\n"
    )
    done = put_treads(text, TREADS)
    assert same(treads_in(done))
    assert done.endswith("}, laps: 20}\n")


def test_tires_that_are_missing_are_added_beside_those_that_are_there():
    text = f"{HEAD}measured:\n  temperatures:\n    rf: [1, 2, 3]\n  laps: 20\n"
    assert put_treads(text, TREADS) == (
        f"{HEAD}measured:\n  temperatures:\n{block(4, (FOUR[0], FOUR[2], FOUR[3]))}"
        "    rf: [240 F, 235 F, 220 F]\n  laps: 20\n"
    )


@pytest.mark.parametrize(
    "written",
    [
        "measured: {laps: 20}",
        "measured: {}",
        "measured: ~",
        "measured: {temperatures: {rf: [1, 2, 3]}}   # one",
        "measured:\n  temperatures: {rf: [1, 2, 3]}",
        "measured:\n  temperatures:\n    rf: ['1', \"2\", 3]",
        "measured:\n  temperatures:\n    rf: 200",
        "measured:\n  temperatures:\n    rf: [1,\n         2,  # middle\n         3]",
    ],
)
def test_they_are_put_in_however_the_block_is_written(written):
    done = put_treads(f"{HEAD}{written}\nat hand: shop   # today\n", TREADS)
    assert same(treads_in(done))
    assert done.startswith(HEAD)
    assert done.endswith("at hand: shop   # today\n")
    assert ("laps: 20" in done) is ("laps: 20" in written)


@pytest.mark.parametrize("written", ["measured: 3", "measured: [1, 2]", "measured:\n  temperatures: 200"])
def test_what_is_no_block_is_left_alone(written):
    assert put_treads(f"{HEAD}{written}\n", TREADS) is None


def test_line_ends_and_the_mark_of_the_byte_order_stay():
    text = f"\ufeff{HEAD}measured:\n  laps: 20\n".replace("\n", "\r\n")
    done = put_treads(text, TREADS)
    assert done.startswith("\ufeff# mine\r\n")
    assert done.count("\n") == done.count("\r\n") == 10
    assert same(treads_in(done))


def test_metric_talks_write_celsius():
    celsius = {"LF": (355.15, 358.15, 350.15)}
    assert put_treads(HEAD, celsius, "si").endswith("    lf: [82 C, 85 C, 77 C]\n")


@settings(deadline=None)  # the first example imports the writer
@given(
    first=st.lists(
        st.sampled_from(["laps: 20", "# note", "rpm: 6800", "fuel used: 2 gal", ""]), unique=True, max_size=4
    ),
    corners=st.lists(st.sampled_from(["lf", "rf", "lr", "rr"]), unique=True),
    indent=st.integers(1, 6),
    end=st.sampled_from(["\n", "\r\n"]),
)
def test_whatever_is_measured_already_stays_and_the_temperatures_read_back(first, corners, indent, end):
    inner = [
        *first,
        *(["temperatures:"] if corners else []),
        *(f"  {corner}: [1, 2 F, 3]  # was" for corner in corners),
    ]
    rows = [
        *HEAD.split("\n")[:-1],
        "measured:",
        *(" " * indent + row if row else "" for row in inner),
        "at hand: shop",
        "",
    ]
    done = put_treads(end.join(rows), TREADS)
    assert same(treads_in(done))
    kept = iter(done.split(end))
    assert all(row in kept for row in rows if "[1, 2 F, 3]" not in row)
    assert done.count(" # was") == len(corners)
