"""The packs hold every weight; none is in the code."""

import pytest

from assistant.advice.wanted import derive_scale
from assistant.rules.knowledge import Knowledge
from tests.advice.synthetic import UNIT_CHANGES, effect_table, ranking


def test_the_usual_changes_of_the_base_pack_are_read_in_si():
    changes = {one.lever: one.change for one in derive_scale(effect_table(), ranking()).changes}
    assert changes == pytest.approx(UNIT_CHANGES)


def test_severities_are_read_in_order():
    assert ranking().severity_units == [1, 2, 3.5, 5, 8]
    assert ranking().severity_fallback == [0.2, 0.4, 0.8, 1.3, 2.0]


def test_a_missing_weight_is_never_replaced_by_a_hidden_one():
    with pytest.raises(ValueError, match="no pack states these weights of the ranking: unit_changes, severity_units"):
        _ = Knowledge().weights
