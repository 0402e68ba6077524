"""The set-up's logic, with the commands it runs and the lines it says passed in."""

from __future__ import annotations

import importlib.util
import json
import os
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from drill import setup_env as tested
from drill import setup_make as making
from drill import setup_state as there

PROJECT = b"""
[project]
dependencies = ["textual>=8.2,<9", "numpy"]
[project.optional-dependencies]
simpleaudio = ["simpleaudio>=1.0.4; python_version < '3.12'"]
[dependency-groups]
dev = ["pytest>=8"]
"""
OLD_ENOUGH = (3, 11, 7)


class Machine:
    """Plays the commands of a set-up: makes the files that they would make, and notes them."""

    def __init__(self, env: Path) -> None:
        self.env = env
        self.commands: list[list[str]] = []
        self.said: list[str] = []
        self.answers: dict[str, tuple[int, str]] = {}
        """What the command that holds a word gives, in place of success."""

    def say(self, line: str) -> None:
        self.said.append(line)

    def run(self, command: list[str], heard: Callable[[str], None] | None) -> tuple[int, str]:
        self.commands.append(command)
        code, printed = next(
            (answer for word, answer in self.answers.items() if word in " ".join(command)), (0, "")
        )
        if "venv" in command and not code:
            (self.env / "bin").mkdir(parents=True, exist_ok=True)
            (self.env / "bin" / "python").touch()
            (self.env / "site").mkdir(exist_ok=True)
        if "sysconfig" in command[-1] and not code:
            printed = f"{self.env / 'site'}\n"
        for line in printed.splitlines():
            if heard is not None:
                heard(line)
        return code, printed

    def ran(self, word: str) -> bool:
        return any(word in part for command in self.commands for part in command)


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A checkout with nothing in it but its project file."""
    monkeypatch.setattr(there, "WINDOWS", False)  # the machine played is a POSIX one
    folder = tmp_path / "checkout"
    folder.mkdir()
    (folder / "pyproject.toml").write_bytes(PROJECT)
    return folder


@pytest.fixture
def machine(root: Path) -> Machine:
    return Machine(root / ".drill-env")


def build(root: Path, machine: Machine, kind: there.EnvKind = there.PROGRAM) -> None:
    making.build(str(root), str(machine.env), kind, machine.run, machine.say)


# -- the stamp


def test_nothing_is_there_at_first(root: Path) -> None:
    assert there.find(str(root), there.PROGRAM) is None


def test_what_was_built_is_found(root: Path, machine: Machine) -> None:
    build(root, machine)
    assert there.find(str(root), there.PROGRAM) == str(machine.env)


def test_a_second_build_runs_nothing(root: Path, machine: Machine) -> None:
    build(root, machine)
    machine.commands.clear()
    build(root, machine)
    assert machine.commands == []


def test_a_changed_project_file_is_seen_and_brought_up_to_date(
    root: Path, machine: Machine
) -> None:
    build(root, machine)
    (root / "pyproject.toml").write_bytes(PROJECT.replace(b'"numpy"', b'"numpy", "tomlkit"'))
    assert there.find(str(root), there.PROGRAM) is None
    machine.commands.clear()
    build(root, machine)
    assert there.find(str(root), there.PROGRAM) == str(machine.env)
    assert machine.ran("tomlkit")
    assert not machine.ran("venv")  # what is installed stays


def test_another_python_makes_the_environment_anew(
    root: Path, machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    build(root, machine)
    for module in (there, making):
        monkeypatch.setattr(module, "python_tag", lambda: b"cpython-399")
    assert there.state(str(machine.env), PROJECT) == "none"
    machine.commands.clear()
    build(root, machine)
    assert machine.commands[0][2:5] == ["-m", "venv", "--clear"]
    assert there.state(str(machine.env), PROJECT) == "whole"


def test_a_python_that_was_removed_is_noticed(
    root: Path, machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(making, "this_python", lambda: str(root / "gone"))
    build(root, machine)
    assert there.state(str(machine.env), PROJECT) == "none"


@pytest.mark.parametrize("content", [b"", b"drill", b"a\nb\nc\nd", b"\xff\n\xff\n\xff\n\xff"])
def test_a_spoilt_stamp_is_no_stamp(root: Path, machine: Machine, content: bytes) -> None:
    build(root, machine)
    (machine.env / there.STAMP).write_bytes(content)
    assert there.state(str(machine.env), PROJECT) == "none"


def test_a_missing_project_file_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(there.SetupError, match="cannot read .*pyproject.toml"):
        there.find(str(tmp_path), there.PROGRAM)


@pytest.mark.parametrize("step", ["-m venv", "-m pip install", "sysconfig"])
def test_an_interrupted_set_up_is_begun_again(root: Path, machine: Machine, step: str) -> None:
    def killed(command: list[str], heard: Callable[[str], None] | None) -> tuple[int, str]:
        if step in " ".join(command):
            raise KeyboardInterrupt
        return machine.run(command, heard)

    with pytest.raises(KeyboardInterrupt):
        making.build(str(root), str(machine.env), there.PROGRAM, killed, machine.say)
    assert there.find(str(root), there.PROGRAM) is None
    machine.commands.clear()
    build(root, machine)
    assert machine.ran("--clear")
    assert there.find(str(root), there.PROGRAM) == str(machine.env)


def test_an_interrupted_update_is_made_anew(root: Path, machine: Machine) -> None:
    build(root, machine)
    (root / "pyproject.toml").write_bytes(PROJECT + b"# changed")
    machine.answers["pip install"] = (1, "ERROR: no room")
    with pytest.raises(there.SetupError):
        build(root, machine)
    assert there.state(str(machine.env), PROJECT + b"# changed") == "none"


# -- what is installed


def test_the_program_s_environment_has_no_test_packages(root: Path, machine: Machine) -> None:
    build(root, machine)
    assert machine.ran("textual>=8.2,<9")
    assert not machine.ran("pytest>=8")


def test_the_tests_environment_has_both(root: Path) -> None:
    machine = Machine(root / ".drill-env-tests")
    build(root, machine, there.TESTS)
    assert machine.ran("textual>=8.2,<9")
    assert machine.ran("pytest>=8")


def test_the_checkout_s_code_runs_wherever_it_is_moved(root: Path, machine: Machine) -> None:
    build(root, machine)
    assert (machine.env / "site/drill-checkout.pth").read_text() == "../..\n"


def test_an_environment_elsewhere_knows_the_checkout_by_its_full_path(
    root: Path, tmp_path: Path
) -> None:
    machine = Machine(tmp_path / "caches" / "env")
    build(root, machine)
    assert (machine.env / "site/drill-checkout.pth").read_text() == f"{root}\n"


def test_each_asked_for_package_is_told_as_it_comes(root: Path, machine: Machine) -> None:
    printed = (
        "Collecting textual<9,>=8.2\nCollecting rich>=14\nInstalling collected packages: rich, a, b"
    )
    machine.answers["textual"] = (0, printed)
    build(root, machine)
    assert machine.said[1:3] == ["fetching textual", "installing 3 packages"]
    assert printed in (machine.env / making.LOG).read_text()


def test_the_real_project_file_can_be_read(checkout: Path) -> None:
    project = there.read_project(str(checkout))
    wanted, extra, _ = making.requirements(project, ("dev",))
    names = {making.canonical(requirement) for requirement in wanted}
    assert {"textual", "music21", "numpy", "miniaudio", "pytest", "ruff"} <= names
    assert [making.canonical(requirement) for requirement in extra] == ["simpleaudio"]


def test_the_extras_are_among_the_test_packages(checkout: Path) -> None:
    import tomllib

    table = tomllib.loads(there.read_project(str(checkout)).decode())
    extras = table["project"]["optional-dependencies"]
    dev = set(table["dependency-groups"]["dev"])
    assert {req for name in extras if name != "simpleaudio" for req in extras[name]} <= dev


# -- simpleaudio


def add(machine: Machine, version: tuple[int, ...]) -> None:
    machine.env.mkdir()
    making.add_simpleaudio(str(machine.env), ["simpleaudio"], machine.run, machine.say, version)


def test_simpleaudio_that_builds_is_not_spoken_of(machine: Machine) -> None:
    add(machine, OLD_ENOUGH)
    assert machine.said == []
    assert machine.commands[-1][-1] == "import simpleaudio"


def test_simpleaudio_is_not_tried_where_it_crashes(machine: Machine) -> None:
    add(machine, (3, 12, 0))
    assert machine.commands == []
    assert [line for line in machine.said if "miniaudio" in line] == machine.said
    assert len(machine.said) == 1


def test_simpleaudio_that_does_not_build_is_one_line(machine: Machine) -> None:
    machine.answers["pip install"] = (1, "fatal error: alsa/asoundlib.h: no such file")
    add(machine, OLD_ENOUGH)
    assert len(machine.said) == 1
    assert "does not build here" in machine.said[0]
    assert "asoundlib" in (machine.env / making.LOG).read_text()


def test_simpleaudio_that_is_another_than_the_lock_names_is_told_so(machine: Machine) -> None:
    machine.answers["pip install"] = (1, "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES")
    add(machine, OLD_ENOUGH)
    assert "which is not the one that the lock names" in machine.said[0]


def test_simpleaudio_that_does_not_load_is_taken_out_again(machine: Machine) -> None:
    machine.answers["import simpleaudio"] = (1, "ImportError: libasound.so.2")
    add(machine, OLD_ENOUGH)
    assert machine.ran("uninstall")
    assert len(machine.said) == 1


# -- the engraver


def test_the_engraver_is_added_from_wheels_and_by_hash(machine: Machine) -> None:
    machine.env.mkdir()
    making.add_engraver(
        str(machine.env), ["typst"], machine.run, machine.say, "typst==1 --hash=sha256:00\n"
    )
    (command,) = machine.commands
    assert command[command.index("--only-binary") + 1] == ":all:"
    assert "--require-hashes" in command
    assert machine.said == ["fetching what engraves pages (some 45 MB)"]


@pytest.mark.parametrize(
    ("printed", "why"),
    [
        ("ERROR: No matching distribution found for verovio", "is not made for this machine"),
        (making.LOST, "could not be fetched"),
        (
            "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.",
            "is not the one that the lock names",
        ),
    ],
)
def test_without_the_engraver_the_set_up_goes_on(machine: Machine, printed: str, why: str) -> None:
    machine.env.mkdir()
    machine.answers["pip install"] = (1, printed)
    making.add_engraver(str(machine.env), ["verovio"], machine.run, machine.say)
    assert len(machine.said) == 2
    assert machine.said[1].startswith(f"without the engraver, which {why} (")
    assert printed in (machine.env / making.LOG).read_text()


def test_players_get_the_engraver_and_the_tests_have_it(checkout: Path) -> None:
    project = there.read_project(str(checkout))
    names = [making.canonical(each) for each in making.requirements(project, ())[2]]
    assert names == ["verovio", "typst"]
    assert making.requirements(project, ("dev",))[2] == []


# -- what can be missing


def test_a_python_without_ensurepip_is_one_line_and_72(
    root: Path, machine: Machine, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "ensurepip" else real(name)
    )
    with pytest.raises(there.SetupError, match=r"lacks venv or ensurepip.*python3-venv") as caught:
        build(root, machine)
    assert caught.value.code == making.NO_VENV == 72
    assert machine.commands == []


def test_an_ensurepip_that_fails_is_one_line_and_72(root: Path, machine: Machine) -> None:
    machine.answers["-m venv"] = (1, "Error: Command '... -m ensurepip ...' returned status 1")
    with pytest.raises(there.SetupError, match="python3-venv") as caught:
        build(root, machine)
    assert caught.value.code == making.NO_VENV


DEAD = (
    "WARNING: Retrying (Retry(total=1)) after connection broken by 'NewConnectionError': /simple/\n"
    "ERROR: No matching distribution found for textual\n"
)
"""As pip 23 prints it without a network."""


def test_no_network_is_one_line_and_69(root: Path, machine: Machine) -> None:
    machine.answers["pip install"] = (1, DEAD)
    with pytest.raises(there.SetupError, match="is there a network") as caught:
        build(root, machine)
    assert caught.value.code == making.OFFLINE == 69
    assert "\n" not in str(caught.value)
    assert there.state(str(machine.env), PROJECT) == "none"


def test_without_a_network_the_old_environment_is_kept(root: Path, machine: Machine) -> None:
    build(root, machine)
    (root / "pyproject.toml").write_bytes(PROJECT + b"# changed")
    machine.answers["pip install"] = (1, DEAD)
    with pytest.raises(there.SetupError):
        build(root, machine)
    assert there.state(str(machine.env), PROJECT) == "whole"


def test_another_failure_of_pip_shows_its_last_error(root: Path, machine: Machine) -> None:
    machine.answers["pip install"] = (1, "ERROR: first\nERROR: No space left on device\nnote: x\n")
    with pytest.raises(there.SetupError, match="pip failed: ERROR: No space left") as caught:
        build(root, machine)
    assert caught.value.code == 1


def test_a_faulty_project_file_is_one_line(root: Path, machine: Machine) -> None:
    (root / "pyproject.toml").write_bytes(b"[project")
    with pytest.raises(there.SetupError, match="pyproject.toml cannot be read"):
        build(root, machine)


def test_a_fault_ends_the_start_with_its_line_and_code(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert tested.start(str(tmp_path), there.PROGRAM, ["--version"]) == 1
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert err.startswith("drill: cannot read ")


def test_no_folder_that_can_be_written_is_73(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wall = tmp_path / "wall"
    wall.touch()  # a file where a folder should be
    monkeypatch.setattr(making, "spare_folder", lambda *_: str(wall / "a" / "b"))
    with pytest.raises(there.SetupError, match="can be written") as caught:
        making.make(str(wall / "checkout"), there.PROGRAM)
    assert caught.value.code == making.NO_ROOM == 73


def test_the_spare_folder_is_in_the_caches_and_each_checkout_s_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(there, "WINDOWS", False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    one, two = (there.spare_folder(f"/clone/{n}", there.PROGRAM) for n in (1, 2))
    assert os.path.dirname(one) == str(tmp_path / "drill")
    assert one != two


# -- processes


@pytest.mark.parametrize(
    ("windows", "parts"), [(True, ("Scripts", "python.exe")), (False, ("bin", "python"))]
)
def test_the_interpreter_lies_where_the_system_has_it(
    windows: bool, parts: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(there, "WINDOWS", windows)
    assert there.python_of("env") == os.path.join("env", *parts)


def test_where_a_process_cannot_be_replaced_its_exit_code_is_passed_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(tested, "WINDOWS", True)
    assert tested.become([sys.executable, "-c", "raise SystemExit(7)"]) == 7


def test_a_python_that_does_not_know_its_own_file_is_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    if not os.path.exists("/proc/self/exe"):
        pytest.skip("this system does not tell a process its own file")
    monkeypatch.setattr(sys, "_base_executable", "")
    monkeypatch.setattr(sys, "executable", "")
    assert os.path.samefile(making.this_python(), "/proc/self/exe")


@pytest.mark.skipif(sys.platform == "win32", reason="locks of this kind are POSIX")
def test_a_second_set_up_waits_for_the_first(tmp_path: Path) -> None:
    first, second = (os.open(tmp_path / "lock", os.O_RDWR | os.O_CREAT) for _ in range(2))
    told, done = threading.Event(), threading.Event()
    making.wait_for(first, lambda _: pytest.fail("there was nobody to wait for"))

    def wait() -> None:
        making.wait_for(second, lambda _: told.set())
        done.set()

    waiting = threading.Thread(target=wait, daemon=True)
    waiting.start()
    assert told.wait(60)
    assert not done.is_set()
    os.close(first)
    assert done.wait(60)
    waiting.join()
    os.close(second)


@pytest.mark.skipif(sys.platform == "win32", reason="locks of this kind are POSIX")
def test_a_command_keeps_the_lock_and_a_clean_surrounding(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("PATH", raising=False)
    monkeypatch.setenv("PIP_TARGET", "/elsewhere")
    held = os.open(tmp_path / "lock", os.O_RDWR | os.O_CREAT)
    look = (
        f"import json, os; os.fstat({held}); "
        "print(json.dumps([os.environ.get(n) for n in ('PIP_TARGET', 'PIP_USER', 'PATH')]))"
    )
    lines: list[str] = []
    code, printed = making.runner(held)([sys.executable, "-c", look], lines.append)
    os.close(held)
    assert code == 0
    assert json.loads(printed) == [None, "0", os.defpath]
    assert "".join(lines) == printed
