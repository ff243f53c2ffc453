"""The tables of keys: whole, consistent and readable."""

from __future__ import annotations

from dataclasses import fields

import pytest

from assistant.car.car import Car, End, Engine, Tire, Track
from assistant.car.file_keys import (
    CAR_KEYS,
    END_KEYS,
    ENGINE_KEYS,
    TIRE_KEYS,
    TRACK_KEYS,
)
from assistant.car.keys import LEVER_ROWS, LEVERS, PLACES, SETUP_KEYS, lever_name, read_key, write_key
from assistant.ground.quantities import QUANTITIES
from tests.car.samples import TABLES


@pytest.mark.parametrize("table", TABLES)
def test_every_key_has_a_range_a_reason_and_a_meaning(table):
    for key in TABLES[table]:
        assert key.span[0] < key.span[1], key.words
        assert key.why, key.words
        assert key.meaning.endswith("."), key.words
        if key.default is not None:
            assert read_key(key, key.default, "trade"), key.words


@pytest.mark.parametrize("table", TABLES)
def test_both_ends_of_every_range_can_be_written_and_read(table):
    for key in TABLES[table]:
        for value in key.span:
            for system in ("trade", "si"):
                back = read_key(key, write_key(key, value, system), system).value
                assert back == pytest.approx(value, rel=1e-8, abs=1e-12), (key.words, system)


@pytest.mark.parametrize(("turns", "written"), [(18, "1/18 in"), (8, "0.125 in"), (13.7, "0.07299270073 in")])
def test_a_turn_of_a_thread_is_written_as_a_racer_says_it_where_digits_would_not_hold_it(turns, written):
    key = next(one for one in CAR_KEYS if one.field == "bar_lead")
    assert write_key(key, 0.0254 / turns, "trade") == f"{written} per turn"


def test_every_number_of_the_records_has_a_key():
    kept = {"name", "guessed", "engine", "ends", "id"}
    assert {one.name for one in fields(Car)} - kept == {key.field for key in CAR_KEYS}
    assert {one.name for one in fields(Engine)} - {"rpm", "power", "gears"} == {key.field for key in ENGINE_KEYS}
    assert {one.name for one in fields(Tire)} - kept == {key.field for key in TIRE_KEYS}
    assert {one.name for one in fields(Track)} - kept == {key.field for key in TRACK_KEYS}
    assert {one.name for one in fields(End)} - kept == {key.field for key in END_KEYS}


def test_every_row_has_a_kind_and_a_place_and_the_rows_go_round_the_car():
    assert all(row.kind in QUANTITIES for row in LEVER_ROWS)
    places = [PLACES.index(row.place) for row in LEVER_ROWS]
    assert places == sorted(places)
    assert [row.field for row in LEVER_ROWS if row not in SETUP_KEYS] == ["track_bar"]


def test_levers_are_named_as_people_name_them():
    names = {lever: lever_name(lever) for lever in LEVERS}
    assert names["spring_rr"] == "RR spring"
    assert names["rebound_lf"] == "LF rebound"
    assert names["track_bar"] == "track bar"
    assert names["pressure_lr"] == "LR pressure"
    assert len(set(names.values())) == len(LEVERS)


@pytest.mark.parametrize("table", TABLES)
def test_no_key_and_no_field_stands_twice_in_a_table(table):
    paths = [key.path for key in TABLES[table]]
    names = [key.field for key in TABLES[table]]
    assert len(set(paths)) == len(paths)
    assert len(set(names)) == len(names)
