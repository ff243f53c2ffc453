"""docs/files.md says what the program reads."""

from __future__ import annotations

from assistant.car.keys import SETUP_KEYS
from assistant.ground.quantities import QUANTITIES
from tests.generators.files_page import PAGE, page


def test_the_page_of_files_is_fresh():
    assert PAGE.read_text(encoding="utf-8") == page(), "run python -m tests.generators.files_page"


def test_the_page_names_every_key_of_a_setup_with_its_unit_and_meaning():
    rows = page().splitlines()
    for key in SETUP_KEYS:
        row = next(line for line in rows if line.startswith(f"| `{': '.join(key.path)}` |"))
        assert key.meaning in row
        assert QUANTITIES[key.kind].trade_unit in row
