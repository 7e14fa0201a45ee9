import subprocess
from pathlib import Path

import pytest

from tests import programs

pytestmark = pytest.mark.once


@pytest.fixture
def one_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(programs, "PROGRAMS", {"no-such-program": "no-such-package", "sh": "dash"})
    monkeypatch.setattr(programs, "FILES", {"/bin/s*": "dash"})
    monkeypatch.setattr(programs, "NODE_PACKAGES", {})


def test_one_line_says_what_to_install_when_not_root(one_missing: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(programs.os, "geteuid", lambda: 1000)
    with pytest.raises(SystemExit, match=r"The tests need no-such-package: install .*sudo apt install no-such-package"):
        programs.install_missing_programs()


def test_package_of_a_missing_file_is_named_when_not_root(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(programs, "PROGRAMS", {})
    monkeypatch.setattr(programs, "FILES", {"/no/such/*.file": "no-such-library"})
    monkeypatch.setattr(programs.os, "geteuid", lambda: 1000)
    with pytest.raises(SystemExit, match=r"The tests need no-such-library: install "):
        programs.install_missing_programs()


def test_missing_packages_are_installed_when_root_on_debian(one_missing: None, monkeypatch: pytest.MonkeyPatch) -> None:
    called: list[list[str]] = []
    monkeypatch.setattr(programs.os, "geteuid", lambda: 0)
    monkeypatch.setattr(programs.shutil, "which", lambda name: None if name == "no-such-program" else f"/usr/bin/{name}")
    monkeypatch.setattr(subprocess, "call", lambda command, env: called.append(command) or 0)
    programs.install_missing_programs()
    assert [command[3] for command in called] == ["update", "install"]
    assert called[1][-1] == "no-such-package"


def test_run_ends_when_the_packages_cannot_be_installed(one_missing: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(programs.os, "geteuid", lambda: 0)
    monkeypatch.setattr(programs.shutil, "which", lambda name: None if name == "no-such-program" else f"/usr/bin/{name}")
    monkeypatch.setattr(subprocess, "call", lambda command, env: 100)
    with pytest.raises(SystemExit, match="apt-get update failed"):
        programs.install_missing_programs()


def test_newest_server_is_taken_when_debian_has_several(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for version in ("9", "15"):
        folder = tmp_path / version / "bin"
        folder.mkdir(parents=True)
        (folder / "no-such-program").touch()
    monkeypatch.setattr(programs, "DEBIAN_POSTGRES", tmp_path)
    assert programs.find_program("no-such-program") == str(tmp_path / "15" / "bin" / "no-such-program")


@pytest.fixture
def no_node_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for kinds in ("PROGRAMS", "FILES"):
        monkeypatch.setattr(programs, kinds, {})
    monkeypatch.setattr(programs, "NODE_PACKAGES", {"no-such": "1.2.3"})
    monkeypatch.setattr(programs, "NODE_FOLDER", tmp_path)
    monkeypatch.setattr(programs, "find_program", lambda name: name)
    return tmp_path / "node_modules" / "no-such"


def test_pinned_node_package_is_installed_without_its_scripts_when_missing(no_node_package, monkeypatch) -> None:
    called: list[list[str]] = []
    monkeypatch.setattr(subprocess, "call", lambda command: called.append(command) or 0)
    programs.install_missing_programs()
    ((*options, pin),) = called
    assert ("--ignore-scripts" in options, pin) == (True, "no-such@1.2.3")


@pytest.mark.parametrize(("version", "calls"), [("1.2.3", 0), ("1.2.2", 1)])
def test_node_package_is_installed_anew_when_its_version_is_another(no_node_package, version, calls, monkeypatch) -> None:
    called: list[list[str]] = []
    monkeypatch.setattr(subprocess, "call", lambda command: called.append(command) or 0)
    no_node_package.mkdir(parents=True)
    (no_node_package / "package.json").write_text(f'{{"version": "{version}"}}')
    programs.install_missing_programs()
    assert len(called) == calls


def test_run_ends_when_a_node_package_cannot_be_installed(no_node_package, monkeypatch) -> None:
    monkeypatch.setattr(subprocess, "call", lambda command: 1)
    with pytest.raises(SystemExit, match="the tests need no-such@1.2.3"):
        programs.install_missing_programs()


def test_test_fails_when_its_node_package_is_missing(no_node_package) -> None:
    with pytest.raises(programs.ProgramMissingError, match=r"no-such 1.2.3 is not in .*manage.py test"):
        programs.find_node_package("no-such")


def test_test_fails_when_its_program_is_missing() -> None:
    with pytest.raises(programs.ProgramMissingError, match="no-such-program is not installed"):
        programs.find_program("no-such-program")
