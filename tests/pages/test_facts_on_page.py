"""The facts of a lever on the page for somebody else."""

from assistant.advice.results import Remedy
from assistant.belief.model import read_model
from assistant.pages.advice import offers_of
from assistant.pages.lever_facts import OF_LEVER, facts
from assistant.pages.paper import write_page
from assistant.pages.sheet_page import MOST_FACTS


def test_every_lever_on_the_page_tells_its_first_facts_and_nothing_else_does(page):
    assert any(change.facts for change in page.changes)
    for change in page.changes:
        assert len(change.facts) <= MOST_FACTS
        assert bool(change.facts) == (change.kind == "lever" and change.id in OF_LEVER), change.id


def test_both_formats_hold_every_one_of_them(page):
    for form in ("html", "markdown"):
        text = write_page(page, form)
        assert text.count("On this car") == sum(bool(change.facts) for change in page.changes)


def test_they_are_those_of_the_change_that_is_asked_for(page, demo):
    offers = [offer for offer in offers_of(demo.advice) if isinstance(offer, Remedy) and offer.id == "cross_weight"]
    told = {change.facts[0] for change in page.changes if change.id == "cross_weight"}
    assert told == {facts(read_model(demo.case), offer.id, offer.change)[0] for offer in offers}
    assert told
