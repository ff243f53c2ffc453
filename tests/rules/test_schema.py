"""The JSON Schemas for editors are fresh, and say what the models say."""

import json

import pytest
import yaml

from assistant.rules.pack import base_folder
from assistant.rules.pack_files import KINDS, NAMED, SHELVED
from tests.generators.schemas import DRAFT, make_schemas, write_schemas

FOLDER = base_folder().parent / "schema"
MADE = make_schemas()
SCHEMAS = {name: json.loads(text) for name, text in MADE.items()}
PACK_FILES = [
    path for path in sorted(FOLDER.parent.glob("*/**/*.yaml")) if path.relative_to(FOLDER.parent).parts[0] != "demo"
]


def test_the_schemas_on_file_are_fresh():
    on_file = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.json")}
    assert on_file == MADE, "run: python -m tests.generators.schemas"


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_is_draft_7_and_allows_the_fields_of_its_model_only(kind):
    schema = SCHEMAS[f"{kind.replace('_', '-')}.json"]
    text = json.dumps(schema)
    assert schema["$schema"] == DRAFT
    assert schema["additionalProperties"] is False
    assert set(schema["properties"]) == {info.alias or name for name, info in KINDS[kind].model_fields.items()}
    for word in ("$defs", "prefixItems", '"null"'):
        assert word not in text


def test_every_field_of_a_remedy_keeps_its_name_even_title():
    remedy = SCHEMAS["symptom.json"]["definitions"]["TradeRemedy"]
    assert {"title", "how", "lever", "move"} <= set(remedy["properties"])


def test_schemas_are_written_into_any_folder(tmp_path):
    assert {path.name for path in write_schemas(tmp_path / "new")} == set(MADE)


def json_types(value):
    """Say which JSON types a value of a file has for an editor, which reads 2026.1 as a number."""
    known = {bool: {"boolean"}, int: {"integer", "number"}, float: {"number"}, str: {"string"}, list: {"array"}}
    return known.get(type(value), {"object"})


def refused_by_schema(path):
    """Names of the values of a file that are of no type its schema allows."""
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    properties = SCHEMAS[f"{next(iter(data)).replace('_', '-')}.json"]["properties"]
    for name, value in data.items():
        allowed = properties[name].get("type", [])
        allowed = {allowed} if isinstance(allowed, str) else {*allowed}
        if allowed and not allowed & json_types(value):
            yield f"{path.name}: {name}"


def test_no_plain_value_of_a_pack_is_refused_by_its_own_schema():
    assert [one for path in PACK_FILES for one in refused_by_schema(path)] == []


def test_the_first_name_of_a_file_is_the_first_field_of_its_model():
    for kind, model in KINDS.items():
        assert next(iter(model.model_fields)) == kind
    assert set(NAMED) | set(SHELVED) <= set(KINDS)
