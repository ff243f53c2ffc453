"""A talk killed at every moment at which it writes: each start after it goes on, and file and notebook agree."""

import pytest

from assistant.car.files import read_case, read_setup
from assistant.notebook.store import Store
from assistant.shell import keep
from tests.notebook.talks import cut_off_about, record_in

WRITES_OF_A_LINE = 5
"""As many as any line does, and one more: then nobody is killed."""
BEFORE = ("made stagger 2 1/4", "cross 52.3", "made rr spring 250")
LAST = ("made rr pressure 20", "cross 52", "undo", "put back")


class Killed(BaseException):
    """What no code catches."""


class Kill:
    """Kills a program before it writes once more than `count` from now; None while nobody kills."""

    def __init__(self):
        self.count, self.dead = None, False

    def over(self, write):
        def killing(*words, **more):
            self.dead |= self.count == 0
            if self.dead:
                raise Killed
            self.count = None if self.count is None else self.count - 1
            return write(*words, **more)

        return killing

    def ends(self):
        """The next start begins."""
        self.count, self.dead = None, False


@pytest.fixture
def kill(monkeypatch):
    one = Kill()
    monkeypatch.setattr(Store, "write", one.over(Store.write))
    monkeypatch.setattr(keep, "replace_own", one.over(keep.replace_own))
    return one


@pytest.mark.parametrize("count", range(WRITES_OF_A_LINE))
@pytest.mark.parametrize("last", LAST)
def test_a_talk_killed_at_any_write_goes_on_and_its_file_holds_what_it_knows(make_talk, own, kill, last, count):
    folder = own.parent / "book"
    talk = make_talk(read_case(own), record=record_in(folder, f"at {own}"))
    talk.type(*BEFORE)
    kill.count = count
    try:
        talk.type(last)
    except Killed:
        assert kill.dead
    else:
        assert count == WRITES_OF_A_LINE - 1
    kill.ends()
    talk.conversation.record.close()
    for line in ("not run yet", "made lf spring 235"):
        case = read_case(own)
        again = make_talk(case, record=record_in(folder, f"at {own}"), cut_off=cut_off_about(folder, own))
        first = again.type("not run yet")
        assert "Where you left" in first, line
        known = again.state.bench.case.setup.values
        assert read_setup(own.with_name("setup.yaml")).values == pytest.approx(dict(known))
        again.type(line)
        again.conversation.record.close()
