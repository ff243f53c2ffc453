"""The base pack is the same for every test: it is read once, by the program's own reader, and then remembered.

Packs that a test writes are read anew each time; how packs are laid over the base and checked is never remembered.
"""

import gc
import hashlib
import os
import shutil
import sys
import threading
from dataclasses import fields, replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from xdist.scheduler import LoadFileScheduling

os.environ.setdefault("HALFTURN_CARS", "64")

from assistant.belief import garage
from assistant.belief import model as model_of
from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.rules import pack

FOLDER = Path(__file__).parent

gc.set_threshold(100_000, 20, 50)
"""Five thousand tests in memory make the collector slow: it looks through them all, again and again."""

_read, _load = pack.read_pack, pack.load_packs
_read_model = model_of.read_model


@cache
def _base_files():
    return _read(pack.base_folder())


@cache
def _base_knowledge():
    return _load()


def _read_or_know(folder):
    if str(folder) != str(pack.base_folder()):
        return _read(folder)
    found, problems = _base_files()
    return found, list(problems)


def _load_or_know(folders=()):
    return _load(folders) if [str(one) for one in folders] not in ([], [str(pack.base_folder())]) else _base_knowledge()


pack.read_pack, pack.load_packs = _read_or_know, _load_or_know


STORE = "HALFTURN_TESTS_DRIVEN"
HANG_ON = ("ground", "car", "physics", "belief")
"""The packages that what is driven hangs on."""


def _store():
    """Where driven cars are kept, for all processes and from run to run; those of other code are removed."""
    if STORE not in os.environ:
        digest = hashlib.sha256(f"{np.__version__} {os.environ['HALFTURN_CARS']}".encode())
        for part in HANG_ON:
            for file in sorted((FOLDER.parent / "assistant" / part).glob("*.py")):
                digest.update(file.read_bytes())
        folder = FOLDER.parent / ".driven" / digest.hexdigest()[:16]
        for other in {*folder.parent.glob("*")} - {folder}:
            shutil.rmtree(other, ignore_errors=True)
        folder.mkdir(parents=True, exist_ok=True)
        os.environ[STORE] = str(folder)
    return Path(os.environ[STORE])


DRIVEN = _store()
if sys.dont_write_bytecode:  # each process, and each program that tests start, would compile everything anew
    sys.dont_write_bytecode, sys.pycache_prefix = False, str(DRIVEN / "code")
    os.environ.setdefault("PYTHONPYCACHEPREFIX", sys.pycache_prefix)
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def share_driven(folder):
    """Let a program with a folder of its own find the cars that were driven in this run."""
    Path(folder).mkdir(parents=True, exist_ok=True)
    place = Path(folder) / garage.DRIVEN
    if not place.is_symlink():
        place.symlink_to(DRIVEN)


ALONE = threading.Lock()
SAID = {"name", "id", "file", "complaint", "answers", "at_hand", "measured"}
CAR_FIELDS = [field.name for field in fields(Case) if field.name not in SAID]
"""What of a case the car hangs on: what is said and read of it, and where its files are, moves no number."""
_written, _garages, _models = {}, {}, {}


def _write_once(part):
    """The text of a part of a case, which is held so that nothing else takes its place in memory."""
    if id(part) not in _written:
        _written[id(part)] = part, repr(part)
    return _written[id(part)][1]


def car_of(case):
    return tuple(_write_once(getattr(case, name)) for name in CAR_FIELDS)


def _drive_or_know(case):
    """A few plausible cars of a case, driven once for all tests."""
    key = car_of(case)
    with ALONE:
        if key not in _garages:
            _garages[key] = garage.Garage(case, folder=DRIVEN)
            _garages[key].drive()
        return _garages[key]


def _model_or_know(case):
    """The plainest car of a case, driven once for all tests."""
    key = car_of(case)
    if key not in _models:
        _models[key] = _read_model(case)
    return replace(_models[key], case=case)


garage.open_garage, model_of.read_model = _drive_or_know, _model_or_know


@pytest.fixture(scope="session")
def knowledge():
    """The base pack."""
    return pack.load_packs()


@pytest.fixture(scope="session")
def case():
    """The demo case; whoever wants another makes it from this one."""
    return read_case("demo")


@pytest.fixture(scope="session")
def model(case):
    """The demo's car on its track, driven once for all tests that look at its run."""
    return model_of.read_model(case)


@pytest.fixture(scope="session", autouse=True)
def leave_the_base_pack_as_it_was():
    """What is remembered must not be changed by any test: at the end it is what the files say."""
    yield
    if _base_files.cache_info().currsize:
        assert repr(_base_files()) == repr(_read(pack.base_folder()))
        _base_files.cache_clear()
    if _base_knowledge.cache_info().currsize:
        assert repr(_base_knowledge()) == repr(_load())


SLOW = (
    "shell/test_conversation.py",
    "shell/test_after_change.py",
    "belief/test_log_fit.py",
    "shell/test_taken_up.py",
    "knowledge/test_write_rules.py",
    "shell/test_commands.py",
    "advice/test_offers_and_try.py",
    "knowledge/test_said_of_the_model.py",
    "shell/test_told.py",
    "diagnosis/test_complaint_hostile.py",
    "notebook/test_kills.py",
    "shell/test_calibrate_and_tires.py",
    "belief/test_believe.py",
    "belief/test_bad_input.py",
    "diagnosis/test_heard.py",
    "shell/test_verb_tools.py",
    "terminal/test_sessions.py",
    "shell/test_killed.py",
    "physics/test_lap_energy.py",
    "knowledge/test_audit.py",
    "shell/test_whole_program.py",
    "shell/test_own_car.py",
    "advice/test_case_runner.py",
    "test_forecast_command.py",
    "advice/test_said_changes.py",
    "belief/test_one_run.py",
    "diagnosis/test_never_again.py",
    "knowledge/test_cases.py",
    "advice/test_advise.py",
    "attacks/test_wrong_folders.py",
    "shell/test_temps.py",
    "belief/test_as_said.py",
    "advice/test_advice_on_the_demo.py",
    "test_readme.py",
    "attacks/test_any_legal_setup.py",
    "knowledge/test_generated_pages.py",
    "shell/test_bench.py",
    "golden/test_golden.py",
    "advice/test_own_levers.py",
    "attacks/test_hostile_packs.py",
    "belief/test_look_ahead.py",
    "belief/test_weigh.py",
    "physics/test_in_hand.py",
    "ground/test_read_model.py",
    "pages/test_page.py",
    "pages/test_data.py",
    "belief/test_felt.py",
    "belief/test_true_to_words.py",
    "physics/test_corner_limit.py",
    "ground/test_yaml_file.py",
    "notebook/test_store.py",
    "diagnosis/test_patience.py",
    "physics/test_load_sums.py",
    "rules/test_pack.py",
    "advice/test_coach_page.py",
    "rules/test_schema.py",
    "test_cli.py",
    "attacks/test_careless_typing.py",
    "shell/test_first_session.py",
    "attacks/test_hostile_fits.py",
    "belief/test_gauges.py",
    "test_docs.py",
)
"""Files whose tests take some seconds together, the slowest first; `pytest -m "not slow"` leaves them out."""


def pytest_collection_finish():
    """Leave what stands to the end of the tests out of every search for rubbish."""
    gc.freeze()


PLACES = {FOLDER / name: place for place, name in enumerate(SLOW)}


def pytest_ignore_collect(collection_path, config):
    """Files that are left out anyhow are not even read."""
    return True if config.option.markexpr == "not slow" and collection_path in PLACES else None


def pytest_collection_modifyitems(items):
    """Mark the slow files, and run the slowest first: what is left over at the end is short."""
    for item in items:
        if item.path in PLACES:
            item.add_marker(pytest.mark.slow)
    items.sort(key=lambda item: PLACES.get(item.path, len(SLOW)))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Give a whole file to one process: what its tests share is worked out once."""
    config.option.loadscopereorder = False
    return LoadFileScheduling(config, log)
