"""Every row of the published lore the base pack was written from is cited, disputed, or named as not used."""

from pathlib import Path

import yaml

ROWS = yaml.safe_load((Path(__file__).parent / "trade_rows.yaml").read_text(encoding="utf-8"))
FLAT = [(section, row) for section, rows in ROWS.items() for row in rows]
SHELVES = {
    "lever": "levers",
    "symptom": "symptoms",
    "cause": "causes",
    "driving": "driving",
    "question": "questions",
    "glossary": "glossary",
    "tire_reading": "tire_reading",
}


def keys_in(value):
    """Every source key cited in a block, however deep."""
    if isinstance(value, dict):
        own = [str(key).partition(",")[0] for key in value.get("backed_by") or ()]
        return {*own, *(key for inner in value.values() for key in keys_in(inner))}
    return {key for inner in value for key in keys_in(inner)} if isinstance(value, list) else set()


def is_used(base, row):
    """Whether a row is where it says it is."""
    if "entry" in row:
        kind, _, name = row["entry"].partition(" ")
        entry = getattr(base, SHELVES[kind])[name]
        return set(row.get("cites", ())) <= keys_in(entry.model_dump())
    if "dispute" in row:
        lever, topic = row["dispute"]
        (found,) = (one for one in base.levers[lever].disputed if one.topic == topic)
        return found.side_a.says != found.side_b.says and bool(found.decides)
    if "practice" in row:
        return row["practice"] in [one.rule for one in base.practice]
    return row["not_used"] in [one.row for one in base.not_used]


def test_a_row_of_the_lore_is_used_or_not_used_with_a_reason(base):
    assert [f"{section}: {row['row']}" for section, row in FLAT if not is_used(base, row)] == []


def test_no_row_stands_twice_in_its_section():
    for section, rows in ROWS.items():
        assert len({row["row"] for row in rows}) == len(rows), section


def test_every_lever_of_the_pack_is_a_row_or_explains_itself(base):
    named = {row["entry"].partition(" ")[2] for _, row in FLAT if row.get("entry", "").startswith("lever ")}
    named |= {row["dispute"][0] for _, row in FLAT if "dispute" in row}
    for name in base.levers.keys() - named:
        assert keys_in(base.levers[name].model_dump()) & {"common practice", "memory"} or "memory" in str(
            base.levers[name].backed_by
        ), name
