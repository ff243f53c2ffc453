"""Pages made from the rules are fresh: fields, sources, and the trade beside the model."""

import re

import pytest

from assistant.ground.folders import knowledge_folder
from tests.generators.audit_page import DIGEST, TRACKS, audit_tracks, digest_inputs
from tests.generators.rule_pages import fields_page, sources_page

DOCS = knowledge_folder().parent / "docs"
CLOSE, SHARE = 0.005, 0.02
"""A figure on the page may be off by so much, or by this share of it: another solver or library is no news."""


def page(name):
    return (DOCS / name).read_text(encoding="utf-8")


def test_the_page_of_rule_fields_is_fresh():
    assert page("rule-fields.md") == fields_page()


def test_the_page_of_sources_is_fresh(base):
    assert page("sources.md") == sources_page(base)


def test_the_comparison_with_the_trade_was_made_from_the_files_as_they_are(base):
    assert f"{DIGEST}`{digest_inputs(base)}`" in page("trade-comparison.md")


@pytest.fixture(scope="module")
def rows():
    """The figures on the page: lever title and phase to the cells of the three tracks."""
    text = page("trade-comparison.md").partition("## Every lever and phase")[2].partition("## Where")[0]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in text.splitlines() if line[:1] == "|"]
    return {(title, phase): rest for title, phase, _, *rest in cells[2:]}


def test_the_figures_of_the_comparison_are_those_computed_now(base, rows):
    compared = 0
    for at, audited in enumerate(audit_tracks(base).values()):
        for one in audited.levers:
            lever = base.levers[one.claim.lever]
            cell = rows[f"{lever.title}, {lever.plus_word}", one.claim.phases[0]][at]
            said = re.search(r"[+-]\d+\.\d+", cell)
            if said is not None:
                compared += 1
                assert float(said[0]) == pytest.approx(one.change, abs=CLOSE, rel=SHARE), (
                    lever.title,
                    one.claim.phases,
                    at,
                )
    assert compared > 50 * len(TRACKS)


def test_every_disagreement_on_the_page_stands_there_with_a_reason(base):
    misses = page("trade-comparison.md").partition("and why\n")[2].partition("\n## ")[0].strip().split("\n- ")
    assert len(misses) > 5
    for miss in misses:
        assert re.search(r"\n  (Depends on|Model lacks|Disputed): ", miss), miss


def test_every_field_of_a_rule_file_is_explained():
    rows = re.findall(r"^\| `(\w+)` \| .+ \| ([^|]*) \|$", fields_page(), re.MULTILINE)
    assert len(rows) > 200
    bare = r"(\*\*needed\*\*|Else [^.]*|)"
    assert [name for name, means in rows if re.fullmatch(bare, means.strip())] == []
