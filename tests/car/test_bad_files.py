"""Every mistake a person can make in a file of the car: what is said, and where."""

from __future__ import annotations

import re

import pytest

from assistant.car.files import read_car, read_case, read_rulebook, read_setup, read_tire, read_track
from assistant.ground.problems import BadInput
from tests.car.samples import changed, complaints, demo_text, written

RR = "spring: 225 lb/in"

SETUP_MISTAKES = {
    "an empty file": ("", ["-: the file is empty / the first line says what kind of file it is"]),
    "only a comment": ("# later\n", ["-: the file is empty / the first line says what kind of file it is"]),
    "no YAML": (
        "setup: [a\n",
        ["setup: a list in [ ] is not closed, or a comma is missing in it / check what follows the '['"],
    ),
    "a sentence": ("it pushes", ["it pushes: this file must be lines of 'name: value' / it starts with 'setup: ...'"]),
    "a list": ("- a\n", ["a: this file must be lines of 'name: value' / it starts with 'setup: ...'"]),
    "a tab": (
        changed("setup-demo", ("  nose weight:", "\tnose weight:")),
        ["nose weight: a tab is used to indent / use two spaces for each step"],
    ),
    "a name twice": (
        changed("setup-demo", ("  left weight: 56 %", "  nose weight: 56 %")),
        ["nose weight: 'nose weight' is written twice here / first on line 27; keep one"],
    ),
    "a slip of spelling": (
        changed("setup-demo", ("  stagger:", "  stager:")),
        ["stager: unknown field 'stager' / did you mean 'stagger'?"],
    ),
    "a pressure for a spring": (
        changed("setup-demo", (RR, "spring: 225 psi")),
        ["right rear: 'spring': psi is a pressure, a spring rate is wanted / for example lb/in or N/mm"],
    ),
    "a unit nobody knows": (
        changed("setup-demo", (RR, "spring: 225 lbs/ft")),
        ["right rear: 'spring': no spring rate is measured in 'lbs/ft' / for example lb/in or N/mm"],
    ),
    "a word for a number": (
        changed("setup-demo", (RR, "spring: stiff")),
        ["right rear: 'spring': 'stiff' does not start with a number / for example lb/in or N/mm"],
    ),
    "a block for a number": (
        changed("setup-demo", (RR, "spring: {a: 1}")),
        ["right rear: 'spring': one value is wanted here / for example 12 lb/in"],
    ),
    "true for a number": (
        changed("setup-demo", (RR, "spring: true")),
        ["right rear: 'spring': one value is wanted here / for example 12 lb/in"],
    ),
    "no value": (
        changed("setup-demo", ("toe: 1/8 in", "toe:")),
        ["toe: 'toe' has no value / write one, or leave the line out"],
    ),
    "a spring for a bridge": (
        changed("setup-demo", (RR, "spring: 225000 lb/in")),
        [
            (
                "right rear: 'spring': 225000 lb/in is above what is possible, 20 lb/in to 5000 lb/in"
                " / road cars have 100, racing cars up to 3000 lb/in; is it in N/mm?"
            )
        ],
    ),
    "a share written as a fraction of one": (
        changed("setup-demo", ("nose weight: 50.5 %", "nose weight: 0.505")),
        [
            (
                "nose weight: 'nose weight': 0.505 is below what is possible, 20 % to 80 %"
                " / 0.5 means half a percent here; write 50 %"
            )
        ],
    ),
    "a missing group": (
        re.sub(r"\nrear:.*?(?=\nmiddle:)", "", demo_text("setup-demo"), flags=re.DOTALL),
        ["setup: 'rear' is missing in this file / add a line 'rear: ...'"],
    ),
    "percentages that lift a wheel": (
        changed(
            "setup-demo",
            ("nose weight: 50.5 %", "nose weight: 35 %"),
            ("left weight: 56 %", "left weight: 40 %"),
            ("cross weight: 51 %", "cross weight: 78 %"),
        ),
        [
            (
                "cross weight: these scales lift the left front wheel at rest: it would carry -1.5 % of the weight"
                " / check the percentages: cross is RF + LR, nose is LF + RF, left is LF + LR"
            )
        ],
    ),
    "scales given both ways": (
        changed("setup-demo", ("left front: {", "left front: {weight: 804 lb, ")),
        [
            f"{name} weight: the scales are given both as corner weights and as '{name} weight'"
            " / keep the four corner weights, or the three shares"
            for name in ("nose", "left", "cross")
        ],
    ),
    "three of four corner weights": (
        changed(
            "setup-demo",
            ("left front: {", "left front: {weight: 804 lb, "),
            ("left rear: {", "left rear: {weight: 820 lb, "),
            ("right rear: {", "right rear: {weight: 616 lb, "),
            ("  nose weight: 50.5 %", "#"),
            ("  left weight: 56 %", "#"),
            ("  cross weight: 51 %", "#"),
        ),
        ["right front: 'weight' is missing in 'right front' / add 'weight: ...' to it"],
    ),
    "a wrong unit system": (
        changed("setup-demo", ("units: trade", "units: metric")),
        ["units: 'metric' cannot be used for 'units' / allowed: trade, si"],
    ),
    "two mistakes": (
        changed("setup-demo", ("toe: 1/8 in", "toe: 1/0 in"), ("gear: 1.00", "gear: fourth")),
        [
            "toe: 'toe': '1/0' divides by zero / for example in or mm",
            "gear: 'gear': 'fourth' does not start with a number / write a plain number, such as 4.11",
        ],
    ),
}


@pytest.mark.parametrize("what", SETUP_MISTAKES)
def test_a_setup_with_a_mistake_is_refused_in_words_that_help(tmp_path, what):
    text, expected = SETUP_MISTAKES[what]
    assert complaints(read_setup, written(tmp_path, text)) == expected


CAR_MISTAKES = {
    "a setup for a car": (demo_text("setup-demo"), ["setup: this is a setup file, a car file is wanted"]),
    "a weight in psi": (
        changed("car", ("2900 lb", "2900 psi")),
        ["on the scales: 'on the scales': psi is a pressure, a weight is wanted / for example lb or kg"],
    ),
    "a bar without length": (
        changed("car", ("15 in left", "19 in right")),
        [
            (
                "track bar axle end: the two ends of the track bar are at the same place"
                " / one end is on the left, the other on the right: 15 in left, 19 in right"
            )
        ],
    ),
    "a minus and a side": (
        changed("car", ("15 in left", "-15 in left")),
        [
            (
                "track bar axle end: 'track bar axle end': '-15 in left' has both a minus and a side /"
                " write 15 in left or 15 in right"
            )
        ],
    ),
    "a gain without what for": (
        changed("car", ("0.8 deg per in", "0.8 deg")),
        ["lf: 'lf': say how much per what / for example 0.5 deg per in"],
    ),
    "a gain per nothing": (
        changed("car", ("0.8 deg per in", "0.8 deg per 0 in")),
        ["lf: 'lf': '0 in' divides by zero / write how much per one"],
    ),
    "a power in pounds": (
        changed("car", ("3500 rpm: 240 hp", "3500 rpm: 240 lb")),
        ["3500 rpm: 'curve': at '3500 rpm': lb is a weight, a power is wanted / for example hp or kW"],
    ),
    "an engine that turns backward": (
        changed("car", ("3500 rpm: 240 hp", "-3500 rpm: 240 hp")),
        ["3500 rpm: 'curve': no engine turns backward / write the speeds without a sign"],
    ),
    "a curve out of order": (
        changed("car", ("3500 rpm: 240 hp", "4200 rpm: 240 hp")),
        ["4200 rpm: 'curve': the speeds of the curve do not rise from line to line / sort them, slowest first"],
    ),
    "gears out of order": (
        changed("car", ("2.70, 1.80", "1.80, 2.70")),
        ["gears: the gears do not go from first to top / the largest ratio comes first"],
    ),
    "an axle heavier than the car": (
        changed("car", ("unsprung rear: 350 lb", "unsprung rear: 1200 lb"), ("2900 lb", "1900 lb")),
        [
            (
                "on the scales: wheels, axle and ballast weigh 1,520 lb of 1,900 lb"
                " / unsprung weights are for both wheels together"
            )
        ],
    ),
    "a limiter below the curve": (
        changed("car", ("7300 rpm", "3000 rpm")),
        ["3500 rpm: the whole curve lies above the rev limit / check the rev limit"],
    ),
    "a misspelled and an impossible value": (
        changed("car", ("cg height", "cg hieght"), ("wheelbase: 106 in", "wheelbase: 106 ft")),
        [
            "cg hieght: unknown field 'cg hieght' / did you mean 'cg height'?",
            (
                "wheelbase: 'wheelbase': 106 ft is above what is possible, 60 in to 160 in"
                " / check the unit: the number fits another one better"
            ),
        ],
    ),
}


@pytest.mark.parametrize("what", CAR_MISTAKES)
def test_a_car_with_a_mistake_is_refused_in_words_that_help(tmp_path, what):
    text, expected = CAR_MISTAKES[what]
    assert complaints(read_car, written(tmp_path, text)) == expected


RULE_MISTAKES = {
    "turned round": (
        ("from: 48 %, to: 53 %", "from: 58 %, to: 53 %"),
        ["nose weight: 'nose weight': 'from' is more than 'to' / turn them round"],
    ),
    "no step": (
        ("to: 53 %, step: 0.1 %", "to: 53 %"),
        [("nose weight: 'nose weight': 'from', 'to' and 'step' are wanted, or 'parts'"
          " / for example {from: 1, to: 2, step: 0.5}")],
    ),
    "a step of nothing": (
        ("step: 0.1 %", "step: 0"),
        ["nose weight: 'nose weight': the step must be more than nothing / write the smallest change that can be made"],
    ),
    "a step too fine to try them all": (
        ("step: 0.1 %", "step: 0.01 %"),
        [
            ("nose weight: 'nose weight': the step is too fine: more than 250 of them lie between 'from' and 'to'"
            " / write the smallest change anybody would make")
        ],
    ),
    "a step next to nothing": (
        ("step: 0.1 %", "step: 1e-300 %"),
        [
            ("nose weight: 'nose weight': the step is too fine: more than 250 of them lie between 'from' and 'to'"
            " / write the smallest change anybody would make")
        ],
    ),
    "a step that is a list": (
        ("step: 0.1 %", "step: [1]"),
        ["nose weight: 'step': one value is wanted here / the smallest change that can be made"],
    ),
    "both ways": (
        ("parts: [300 lb/in,", "from: 1 lb/in, parts: [300 lb/in,"),
        [("spring: 'from': 1 lb/in is below what is possible, 20 lb/in to 5000 lb/in"
         " / road cars have 100, racing cars up to 3000 lb/in; is it in N/mm?")],
    ),
    "parts and a step": (
        ("450 lb/in], when", "450 lb/in], step: 25 lb/in, when"),
        ["spring: 'spring': parts and a range are both given / keep 'parts', or 'from', 'to' and 'step'"],
    ),
    "no parts": (
        ("parts: [1.00, 1.30]", "parts: []"),
        ["gear: 'parts' needs 1 entry or more / add what is missing"],
    ),
    "a part of another kind": (
        ("parts: [300 lb/in", "parts: [300 psi"),
        ["spring: 'entry 1 of parts': psi is a pressure, a spring rate is wanted / for example lb/in or N/mm"],
    ),
    "a time nobody knows": (
        ("step: 0.1 %, when: shop", "step: 0.1 %, when: tomorrow"),
        ["nose weight: 'tomorrow' cannot be used for 'when' / allowed: pit stop, between runs, shop"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", RULE_MISTAKES)
def test_a_rulebook_with_a_mistake_is_refused_in_words_that_help(tmp_path, what):
    change, expected = RULE_MISTAKES[what]
    assert complaints(read_rulebook, written(tmp_path, changed("rulebook", change))) == expected


def test_an_end_too_short_to_turn_the_car_round_is_refused(tmp_path):
    path = written(tmp_path, changed("track", ("length: 707 ft", "length: 70 ft")))
    assert complaints(read_track, path) == [
        (
            "length: length over radius says that the ends turn 198 deg in all; a lap turns 360"
            " / half a circle of this radius is 706.9 ft long"
        )
    ]


def test_two_ends_of_one_name_are_refused(tmp_path):
    path = written(tmp_path, changed("track", ("turns 3-4", "turns 1-2")))
    assert complaints(read_track, path) == ["end: two ends are called 'turns 1-2' / give each its own name"]


def test_a_tire_that_measures_a_diameter_is_refused(tmp_path):
    path = written(tmp_path, changed("tire", ("lf: 84 in", "lf: 26 in")))
    assert complaints(read_tire, path) == [
        (
            "circumference: 'lf': 26 in is below what is possible, 45 in to 130 in"
            " / racing tires measure 70 to 95 in around; is it a diameter?"
        )
    ]


CASE_MISTAKES = {
    "a tire that is not there": (
        changed("demo", ("tire: tire", "tire: tyre")),
        ["tire: there is no tire file 'tyre' / did you mean 'tire'?"],
    ),
    "a name like nothing": (
        changed("demo", ("track: track", "track: qqqqqqqq")),
        ["track: there is no track file 'qqqqqqqq' / it is looked for beside this file and in the demo"],
    ),
    "a car where a track is wanted": (
        changed("demo", ("track: track", "track: tire")),
        ["tire: this is a tire file, a track file is wanted"],
    ),
    "a run in miles": (
        changed("demo", ("80 laps", "80 miles")),
        ["run: 'run': miles is a length, a number of laps is wanted / for example 12 laps"],
    ),
    "two temperatures of three": (
        demo_text("demo") + "measured:\n  temperatures:\n    rf: [200, 210]\n",
        ["rf: 'rf' needs 3 entries or more / add what is missing"],
    ),
    "a corner nobody has": (
        demo_text("demo") + "measured:\n  hot pressure: {xx: 33 psi}\n",
        ["hot pressure: unknown field 'xx' / allowed: lf, rf, lr, rr"],
    ),
    "a lap time in words": (
        demo_text("demo") + "measured:\n  lap times: [20.1, fast]\n",
        ["lap times: 'entry 2 of lap times': 'fast' does not start with a number / for example 12 s"],
    ),
    "no time to change anything": (
        changed("demo", ("between runs   ", "betwen runs")),
        ["at hand: 'betwen runs' cannot be used for 'at hand' / did you mean 'between runs'?"],
    ),
}


@pytest.mark.parametrize("what", CASE_MISTAKES)
def test_a_case_with_a_mistake_is_refused_in_words_that_help(tmp_path, what):
    text, expected = CASE_MISTAKES[what]
    assert complaints(read_case, written(tmp_path, text)) == expected


def test_the_mistakes_of_all_files_of_a_case_are_told_at_once(tmp_path):
    written(tmp_path, changed("car", ("2900 lb", "2900 psi")), "car")
    written(tmp_path, changed("tire", ("peak: 1.04", "peak: 11")), "tire")
    case = written(tmp_path, changed("demo", ("track: track", "track: nowhere-at-all")))
    said = complaints(read_case, case)
    assert len(said) == 3
    assert said[0].startswith("on the scales: 'on the scales'")


SETUPS_THAT_DO_NOT_FIT = {
    "another car": (
        [("car: demo-car", "car: other-car")],
        ["car: this setup is for the car 'other-car', the case uses 'demo-car' / change the line, or leave it out"],
    ),
    "a gear the box has not": (
        [("gear: 1.00", "gear: 4")],
        ["gear: the gearbox of 'demo-car' has no gear of 4.00 / write its ratio: 2.70, 1.80, 1.30, 1.00"],
    ),
    "more fuel than the tank holds": (
        [("fuel at green: 12 gal", "fuel at green: 20 gal")],
        ["fuel at green: the tank of 'demo-car' holds 18.0 gal / tank: volume of the car file"],
    ),
    "scales that do not weigh this car": (
        [
            ("left front: {", "left front: {weight: 704 lb, "),
            ("right front: {", "right front: {weight: 660 lb, "),
            ("left rear: {", "left rear: {weight: 820 lb, "),
            ("right rear: {", "right rear: {weight: 616 lb, "),
            ("  nose weight: 50.5 %", "#"),
            ("  left weight: 56 %", "#"),
            ("  cross weight: 51 %", "#"),
        ],
        [
            (
                "left front: the four scales add up to 2,800 lb, the car file says 2,900 lb"
                " / weigh with the driver and the fuel of the car file, or correct it there"
            )
        ],
    ),
    "a wheel in the air": (
        [
            ("nose weight: 50.5 %", "nose weight: 35 %"),
            ("left weight: 56 %", "left weight: 40 %"),
            ("cross weight: 51 %", "cross weight: 78 %"),
        ],
        [
            (
                "cross weight: these scales lift the left front wheel at rest: it would carry -44 lb"
                " / check the percentages: cross is RF + LR, nose is LF + RF, left is LF + LR"
            )
        ],
    ),
}


@pytest.mark.parametrize("what", SETUPS_THAT_DO_NOT_FIT)
def test_a_setup_that_does_not_fit_the_car_is_refused(tmp_path, what):
    changes, expected = SETUPS_THAT_DO_NOT_FIT[what]
    path = written(tmp_path, changed("setup-demo", *changes))
    car = read_case("demo").car
    assert complaints(lambda file: read_setup(file, car), path) == expected


def test_a_bar_thinner_than_its_bore_is_refused(tmp_path):
    car = read_car(written(tmp_path, changed("car", ("bar bore: 0 in", "bar bore: 1.5 in")), "car"))
    path = written(tmp_path, demo_text("setup-demo"))
    assert complaints(lambda file: read_setup(file, car), path) == [
        (
            "bar: the front bar's outside diameter is not more than its bore, 1.50 in / bore:"
            " front end: bar bore of the car file"
        )
    ]


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("demoo", "-: there is no such case file / did you mean 'demo'?"),
        ("nothing at all", "-: there is no such case file / allowed: demo, demo-tight, demo-snap"),
    ],
)
def test_a_case_nobody_knows_is_refused_with_the_names_there_are(monkeypatch, tmp_path, name, expected):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    assert complaints(read_case, name) == [expected]


def test_a_folder_is_not_a_case(tmp_path):
    assert complaints(read_case, tmp_path) == [
        "-: this is a folder, a case file is wanted / or one of: demo, demo-tight, demo-snap"
    ]


def test_a_problem_says_file_line_and_column_and_points_at_the_value(tmp_path):
    path = written(tmp_path, "setup: short\nright rear:\n  spring: 225 psi\n")
    with pytest.raises(BadInput) as bad:
        read_setup(path)
    found = next(one for one in bad.value.problems if one.says.startswith("'spring'"))
    assert found.text() == (
        f"{path}:3:11: 'spring': psi is a pressure, a spring rate is wanted\n"
        "      spring: 225 psi\n"
        "              ^ for example lb/in or N/mm"
    )
