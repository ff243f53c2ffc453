import io
import os
import re
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest

from assistant import __version__
from assistant.car.files import read_case
from assistant.cli import BAD_INPUT, BROKEN, DONE, LEFT, main
from assistant.commands import BANNER
from assistant.commands.own import new_files, write_new
from assistant.commands.table import COMMANDS, COMMON, LAST, read_arguments
from assistant.notebook.book import Notebook
from assistant.notebook.cars import find_car, remember_file
from tests.generators.commands_page import commands_page
from tests.test_structure import MODULES, imports_of

ROOT = Path(__file__).parents[1]
NAMES = [command.name for command in COMMANDS]


def run(*words, **more):
    env = {**os.environ, "PYTHONPATH": str(ROOT), **more.pop("env", {})}
    return subprocess.run(
        [sys.executable, "-m", "assistant", *words],
        capture_output=True,
        text=True,
        timeout=60,
        env=env,
        check=False,
        **more,
    )


def refused(capsys, *words):
    assert main(words) == BAD_INPUT
    captured = capsys.readouterr()
    assert captured.out == ""
    return captured.err


@pytest.mark.parametrize("name", NAMES)
def test_every_command_has_help(name, capsys):
    with pytest.raises(SystemExit) as left:
        main([name, "--help"])
    assert left.value.code == 0
    assert f"usage: halfturn {name}" in capsys.readouterr().out


@pytest.mark.parametrize("name", NAMES)
def test_every_command_takes_the_common_options(name, capsys):
    with pytest.raises(SystemExit):
        main([name, "--help"])
    shown = capsys.readouterr().out
    assert all(argument.names[0] in shown for argument in COMMON)


def test_the_page_of_commands_is_fresh():
    assert (ROOT / "docs" / "commands.md").read_text(encoding="utf-8") == commands_page()


@pytest.mark.parametrize("name", NAMES)
def test_every_command_is_on_the_page(name):
    assert f"## halfturn {name}\n" in commands_page()


def test_the_version_is_printed(capsys):
    assert main(["--version"]) == DONE
    assert capsys.readouterr().out == f"halfturn {__version__}\n"


def test_the_version_is_printed_after_other_options_too(capsys):
    with pytest.raises(SystemExit) as left:
        main(["--units", "si", "--version"])
    assert left.value.code == 0
    assert capsys.readouterr().out == f"halfturn {__version__}\n"


def test_help_and_version_import_nothing_heavy():
    code = "import sys; sys.argv = ['halfturn', '--version']\nimport atexit\n"
    heavy = {"numpy", "pydantic", "yaml", "prompt_toolkit", "jinja2"}
    code += f"atexit.register(lambda: print(sorted({heavy} & set(sys.modules))))\n"
    code += "from assistant.cli import main; main()"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.splitlines() == [f"halfturn {__version__}", "[]"]


def test_the_first_words_of_a_talk_come_before_any_import_of_ours(tmp_path):
    code = "import sys; sys.argv = ['halfturn']\nfrom assistant import cli\n"
    code += (
        "cli._run = lambda _: print(sorted(name for name in sys.modules if name.startswith('assistant.')))\ncli.main()"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.splitlines() == [BANNER, "['assistant.cli', 'assistant.commands']"]


def test_the_first_words_fit_one_line_of_a_plain_terminal():
    assert len(BANNER) <= 80


def test_a_wrong_command_gets_the_nearest_one(capsys):
    assert (
        refused(capsys, "advize", "demo") == "command line: there is no command 'advize'\n    did you mean 'advise'?\n"
    )


def test_a_case_where_a_command_belongs_is_told_how_to_open_it(capsys):
    assert "for a case file: halfturn talk demo.yaml" in refused(capsys, "demo.yaml")


def test_one_strange_word_is_told_how_to_say_what_the_car_does(capsys):
    assert 'what the car does is more than one word: halfturn "loose off late"' in refused(capsys, "moon")


@pytest.mark.parametrize("before", [("--units", "si"), ("--units=si",), ("--accessible", "--units", "si")])
def test_options_of_every_command_may_stand_before_a_car_or_what_it_does(before):
    options = read_arguments([*before, "demo"])
    assert (options.command, options.case, options.units) == ("talk", "demo", "si")
    options = read_arguments([*before, "loose off late"])
    assert (options.command, options.complaint, options.units) == ("advise", "loose off late", "si")


@pytest.mark.parametrize("words", [("loose off late",), ("loose", "off", "late"), ("loose", "off", "--json")])
def test_several_words_are_what_the_car_does_and_the_car_is_the_one_used_last(words, tmp_path, monkeypatch):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    options = read_arguments(words)
    assert (options.command, options.case) == ("advise", "demo")
    assert options.complaint in {"loose off late", "loose off"}


def test_a_car_of_ones_own_is_opened_by_its_name_wherever_a_case_is_wanted(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    write_new(new_files("case", "car 7", tmp_path / "car-7", "trade"))
    case = str(tmp_path / "car-7" / "case.yaml")
    remember_file(book := Notebook(), find_car(book, case), Path(case))
    assert (read_arguments(["Car 7"]).command, read_arguments(["car", "7"]).case) == ("talk", "car 7")
    assert read_arguments(["levers", LAST]).case == "car-7"
    assert read_case("Car 7").file == read_case(tmp_path / "car-7").file == case
    assert main(["cars"]) == 0
    assert "car-7:" in capsys.readouterr().out


def test_without_a_car_of_ones_own_the_list_says_how_to_get_one(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("HALFTURN_FOLDER", str(tmp_path))
    assert main(["cars"]) == 0
    assert "mine in a talk describes one" in capsys.readouterr().out


def test_a_wrong_option_gets_the_nearest_one(capsys):
    said = refused(capsys, "advise", "demo", "--jsn")
    assert said == "command line: halfturn advise has no option '--jsn'\n    did you mean '--json'?\n"


def test_a_missing_word_is_named(capsys):
    said = refused(capsys, "advise")
    form = "write: halfturn advise CASE [PART]; help: halfturn advise --help"
    assert said == f"command line: the following arguments are required: CASE\n    {form}\n"


def test_a_word_too_many_is_named(capsys):
    assert "does not know what to do with 'more'" in refused(capsys, "advise", "demo", "all", "more")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("advise", "demo", "al"), "there is no part 'al'\n    did you mean 'all'?"),
        (("forecast", "demo", "gear"), "there is no part 'gear'\n    did you mean 'gears'?"),
        (("corner", "demo", "load"), "there is no part 'load'\n    did you mean 'loads'?"),
    ],
)
def test_a_part_nobody_knows_gets_the_nearest(capsys, words, says):
    assert refused(capsys, *words) == f"command line: {says}\n"


def test_a_wrong_choice_lists_the_right_ones(capsys):
    assert (
        refused(capsys, "check", "--units", "metric")
        == "command line: --units cannot be 'metric'\n    allowed: trade, si\n"
    )


def test_an_escape_on_the_command_line_is_shown_not_sent(capsys):
    said = refused(capsys, "\x1b[2Jadvise")
    assert "\x1b" not in said


def test_common_options_may_stand_before_the_command_or_after_it():
    from assistant.commands.table import read_arguments

    assert read_arguments(["--units", "si", "advise", "demo"]).units == "si"
    assert read_arguments(["advise", "demo", "--units", "si"]).units == "si"
    assert read_arguments(["advise", "demo"]).units == "trade"


def test_ctrl_c_ends_with_130(monkeypatch):
    def interrupted(_):
        raise KeyboardInterrupt

    monkeypatch.setattr("assistant.cli._run", interrupted)
    assert main(["advise", "demo"]) == LEFT


def ended(body):
    """Run `leave` with another main, as a program of its own."""
    code = f"from assistant import cli\ndef main():\n    {body}\ncli.main = main\ncli.leave()\n"
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, env=env)


def test_a_breakdown_of_the_program_is_no_answer():
    done = ended("raise ZeroDivisionError")
    assert done.returncode == BROKEN
    assert "ZeroDivisionError" in done.stderr


def test_what_libraries_tell_programmers_is_not_shown():
    done = ended("import warnings; warnings.warn('in sqrt', RuntimeWarning); return 0")
    assert (done.returncode, done.stderr) == (DONE, "")


def test_an_answer_that_found_no_room_is_not_done():
    done = ended("import sys, io; sys.stdout = open('/dev/full', 'w'); print('x'); return 0")
    assert done.returncode == BAD_INPUT


def test_a_mistake_that_cannot_be_shown_is_still_a_mistake(monkeypatch):
    class Full(io.StringIO):
        def write(self, _):
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(sys, "stderr", Full())
    assert main(["advise", "nosuch"]) == BAD_INPUT


def test_a_very_long_change_is_refused_at_once(capsys):
    began = time.monotonic()
    assert "no lever of this car" in refused(capsys, "try", "demo", " " * 4000)
    assert time.monotonic() - began < 10


def test_everything_imported_is_declared_with_what_it_needs():
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    least = dict(one.split(">=") for one in declared)
    found = {module.split(".")[0] for path in MODULES for module, _, _ in imports_of(path)}
    outside = found - sys.stdlib_module_names - {"assistant", "pydantic_core"}  # the core comes with pydantic
    named = {"pyyaml": "yaml", "ruamel.yaml": "ruamel"}
    assert outside == {named.get(name, name) for name in least}
    assert [int(least["numpy"].split(".")[0]), int(least["pydantic"].split(".")[1])] >= [
        2,
        10,
    ]  # trapezoid; model_change


def test_a_reader_who_had_enough_is_no_error(monkeypatch, tmp_path):
    def broken(_):
        raise BrokenPipeError

    with (tmp_path / "out").open("w") as stream:
        monkeypatch.setattr(sys, "stdout", stream)
        monkeypatch.setattr("assistant.cli._run", broken)
        assert main(["help"]) == DONE


def test_our_own_mistake_stays_loud(monkeypatch):
    def wrong(_):
        raise ZeroDivisionError

    monkeypatch.setattr("assistant.cli._run", wrong)
    with pytest.raises(ZeroDivisionError):
        main(["help"])


@pytest.mark.parametrize(
    ("words", "code"), [(["help", "try"], 0), (["--version"], 0), (["advize"], 2), (["--help"], 0)]
)
def test_the_program_ends_with_the_code_of_its_command_and_all_its_words(words, code):
    done = run(*words)
    assert done.returncode == code
    assert (done.stdout or done.stderr).strip()


def test_help_on_a_command_is_the_commands_help(capsys):
    assert main(["help", "try"]) == DONE
    assert "usage: halfturn try" in capsys.readouterr().out


def test_problems_are_shown_in_the_encoding_of_the_terminal(monkeypatch):
    class Old(io.StringIO):
        encoding = "ascii"

    stream = Old()
    monkeypatch.setattr(sys, "stderr", stream)
    assert main(["½"]) == BAD_INPUT
    stream.getvalue().encode("ascii")


def test_the_list_of_changes_names_every_command_and_which_of_them_take_json():
    page = (ROOT / "docs" / "changes.md").read_text(encoding="utf-8")
    with_json, without = re.search(r"also with `--json`: (.*?)\. For people only: (.*?)\.", page).groups()
    takes = {one.name for one in COMMANDS if any("--json" in argument.names for argument in one.arguments)}
    assert set(re.findall(r"`(\w+)`", with_json)) == takes
    assert set(re.findall(r"`(\w+)`", without)) == {one.name for one in COMMANDS} - takes


def test_british_spellings_of_commands_kinds_and_parts_are_understood():
    from assistant.commands.table import read_arguments

    assert read_arguments(["tyres", "demo"]).command == "tires"
    assert read_arguments(["--units", "si", "new", "tyre", "my tyres"]).kind == "tire"
    assert read_arguments(["forecast", "demo", "tyres"]).part == "tires"
    assert read_arguments(["advise", "tyres"]).case == "tyres"


def test_the_old_name_of_a_command_is_refused_with_the_new_one(capsys):
    assert refused(capsys, "whatif", "demo") == "command line: 'whatif' is called 'try' now\n    halfturn try\n"
