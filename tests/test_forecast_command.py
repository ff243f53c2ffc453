"""`halfturn forecast` and `halfturn try`: what they print, in every form, and what they say of bad input."""

import csv
import io
import json
import re

import pytest

from assistant.cli import DONE, main
from tests.test_cli import refused


def shown(capsys, *words):
    assert main(words) == DONE
    captured = capsys.readouterr()
    assert captured.err == ""
    return captured.out


@pytest.fixture(scope="module")
def screen():
    import contextlib

    text = io.StringIO()
    with contextlib.redirect_stdout(text):
        assert main(["forecast", "demo", "all"]) == DONE
    return text.getvalue()


@pytest.mark.parametrize(
    "words",
    [
        "The run ahead: setup demo-quick on demo-half-mile.",
        "All 80 laps can be driven; first to be used up: the fuel,",
        "It stands where the driver says",
        "Balance in percent of grip",
        "turns 3-4",
        "Tread temperature, inside / middle / outside:",
        "Tread used at the end: RR",
        "(common practice, no source)",
        "Common practice, no source: use only 75 to 80 % of the lock",
        "Gears: every pair the rules and the box allow",
        "is quickest:",
        "Brakes: 69.0 % in front.",
        "One step to the front (1.0 points)",
        "Right-rear air, for 2 psi more",
        "Never go below the tire maker's or the series' minimum pressure",
        "Absolute balance and lap times are not to be trusted",
    ],
)
def test_the_screen_says(screen, words):
    assert words in " ".join(screen.split())


def test_the_screen_fits_eighty_columns_and_is_plain_characters(screen):
    assert max(map(len, screen.splitlines())) <= 80
    assert screen.isascii()


def test_without_a_part_it_is_short_and_names_the_parts(capsys):
    said = shown(capsys, "forecast", "demo")
    assert len(said.splitlines()) <= 23
    said = " ".join(said.split())
    assert re.search(r"All 80 laps can be driven; first to be used up: the fuel, after lap \d+\.", said)
    assert re.search(r"RR \d+ % \(\d+ to \d+\) lap \d+ \(\d+ (to \d+|on)\) [\d.]+ psi .* psi \+-\d\.\d", said)
    assert "It stands where the driver says; the rest holds for 8 of 10 plausible cars." in said
    assert re.search(r'coming off .*"loose" \d\.\d \+-\d\.\d', said)
    assert said.endswith("More: halfturn forecast demo ends, drift, tires, wear, steering, gears, brakes, air or all.")


def test_one_part_comes_with_the_stops_that_were_asked_for(capsys):
    said = shown(capsys, "forecast", "demo", "ends", "--stop", "30: fuel")
    assert said.startswith("Stop after lap 30: fuel.")
    assert "turns 3-4" in said


def test_all_eighteen_pairs_are_on_the_screen_one_row_each(screen):
    assert len(re.findall(r"^\d+(?: now)? +1\.[03]0 x \d\.\d\d ", screen, re.MULTILINE)) == 18


def test_the_accessible_screen_draws_nothing_and_says_the_same(capsys):
    said = shown(capsys, "forecast", "demo", "all", "--accessible")
    assert "+----" not in said
    assert "From lap 27 to lap 80 the car goes:" in said
    assert "Tread used at the end: RR" in said


def test_json_is_the_contract_and_nothing_else(capsys):
    found = json.loads(shown(capsys, "forecast", "demo", "--json"))
    parts = ["balance", "ends", "tires", "fuel", "run_ends_by", "steering", "gears", "brakes", "as_said"]
    assert list(found) == ["format", *parts, "units"]


def test_the_complaint_of_the_case_anchors_the_balance(capsys):
    found = json.loads(shown(capsys, "forecast", "demo", "--json"))
    late = found["balance"]["exit"]["worn"]  # "loose off late in the run"
    assert late["said"] == "loose"
    assert late["low"] < late["value"] < min(late["high"], -0.3)
    assert found["balance"]["entry"]["worn"]["said"] is None


def test_the_table_of_laps_reads_back(capsys):
    rows = list(csv.DictReader(io.StringIO(shown(capsys, "forecast", "demo", "--laps", "40", "--csv"))))
    assert [row["lap"] for row in rows] == [str(lap) for lap in range(1, 41)]
    assert float(rows[-1]["RF_tread_used_share"]) > float(rows[0]["RF_tread_used_share"])
    assert 60 < float(rows[0]["LF_inside_F"]) < float(rows[-1]["RF_inside_F"]) < 300


def test_units_of_the_table_and_the_screen_follow_the_option(capsys):
    head = shown(capsys, "forecast", "demo", "--csv", "--units", "si").splitlines()[0]
    assert "RF_hot_pressure_kPa" in head
    assert "fuel_left_L" in head
    said = shown(capsys, "forecast", "demo", "--units", "si")
    assert "kPa" in said
    assert "psi" not in said.replace("2.5 F per psi", "").replace("2.5 F per\npsi", "")


def test_a_stop_is_said_back_and_counts(capsys):
    said = shown(capsys, "forecast", "demo", "--stop", "30: new right tires, fuel", "--stop", "50: caution 5 laps")
    assert "Stop after lap 30: new RF and RR, fuel." in said
    assert "Stop after lap 50: 5 slow laps." in said
    assert "The driver's word is taken for a run without stops" in said
    assert "count neither as laps nor as fuel" in " ".join(said.split())


def test_a_run_too_long_says_where_it_ends(capsys):
    said = " ".join(shown(capsys, "forecast", "demo", "--laps", "300").split())
    assert re.search(r"The run ends after lap 1\d\d of 300: the fuel is used up, 1\d\d laps short\.", said)


@pytest.mark.parametrize("laps", ["19", "301", "ten", "-5", "40.5", "", "٣٠", "99999999999"])
def test_laps_nobody_can_drive_are_refused(capsys, laps):
    said = refused(capsys, "forecast", "demo", f"--laps={laps}")
    assert said == f"command line: --laps cannot be {laps!r}\n    a whole number from 20 to 300\n"


def test_json_and_csv_together_are_refused(capsys):
    said = refused(capsys, "forecast", "demo", "--json", "--csv")
    assert said == "command line: --json and --csv are two answers\n    choose one of them\n"


def test_a_bad_stop_is_refused_with_what_to_write(capsys):
    said = refused(capsys, "forecast", "demo", "--laps", "40", "--stop", "60: fuel")
    assert said == "--stop: a stop after lap 60 does not fit a run of 40 laps\n    laps 1 to 39\n"


def test_a_case_that_is_not_there_is_named(capsys):
    assert "nowhere" in refused(capsys, "forecast", "nowhere.yaml")


# try


def test_try_shows_balance_tires_pace_and_fuel_before_and_after(capsys):
    said = " ".join(shown(capsys, "try", "demo", "stagger+=1/4in").split())
    for words in (
        "from 1 7/8 in to 2 1/8 in.",
        "Balance in percent of grip, before and after:",
        "The change:",
        "looser",
        "tread used gone by hot, end",
        "Lap times: first five laps",
        "Fuel: ",
        "It stands where the driver says",
    ):
        assert words in said


def test_try_json_has_before_after_and_change_with_the_keys_of_a_forecast(capsys):
    found = json.loads(shown(capsys, "try", "demo", "stagger+=1/4in", "--json"))
    assert list(found) == ["format", "not_legal", "before", "after", "change", "as_said", "units"]
    assert list(found["before"]) == list(found["after"]) == list(found["change"])
    assert found["change"]["balance"]["exit"]["worn"]["high"] < -0.2


def test_nothing_is_changed_by_a_change_to_the_same_value(capsys):
    found = json.loads(shown(capsys, "try", "demo", "stagger=1 7/8 in", "--json"))
    change = found["change"]["balance"]
    assert {cell[name] for row in change.values() for cell in row.values() for name in ("low", "high")} == {0.0}


def test_try_takes_a_length_and_stops(capsys):
    said = shown(capsys, "try", "demo", "stagger+=1/4in", "--laps", "40", "--stop", "20: new tires")
    assert "All 40 laps can be driven;" in said


def test_a_move_outside_the_rules_is_computed_and_said(capsys):
    said = " ".join(shown(capsys, "try", "demo", "stagger=3in").split())
    assert "Not legal: stagger is 3 in" in said


def test_what_is_no_change_is_refused(capsys):
    said = refused(capsys, "try", "demo", "stagger")
    assert said.startswith("command line: stagger: which way, or to what?")
    assert 'write a change, such as "stagger 2", "track bar right down 1/2" or stagger+=1/4in' in said


def test_a_change_is_tried_in_words_of_the_trade(capsys):
    assert "Right end of the track bar: from 10 1/2 in to 10 in." in shown(
        capsys, "try", "demo", "track", "bar", "right", "down", "1/2"
    )
