from datetime import date

import pytest

from assistant.commands.advise import advised
from assistant.commands.runner import Runner
from assistant.commands.table import read_arguments
from assistant.pages.advice import offers_of
from assistant.pages.paper import read_other
from assistant.pages.setups import Other
from assistant.pages.sheet_page import make_page

DAY = date(2026, 5, 4)


@pytest.fixture(scope="session")
def demo():
    return advised(Runner(read_arguments(["sheet", "demo"])))


@pytest.fixture(scope="session")
def page_of():
    def make(done, **more):
        offers = more.pop("offers", offers_of(done.advice))
        return make_page(done.case, done.knowledge, done.session, done.advice, offers, today=DAY, **more)

    return make


@pytest.fixture(scope="session")
def page(demo, page_of):
    other = read_other("demo-tight", demo.case)
    return page_of(demo, against=Other(other.name, other.setup, other.about))
