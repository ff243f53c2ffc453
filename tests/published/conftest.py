"""The `published` marker: where a check's numbers come from, how well they were read, how close we must be."""

import pytest


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line(
        "markers",
        "published(source, grade, tolerance): a check against the outside world; docs/checks.md is made from it",
    )
