import subprocess
import sys
from pathlib import Path

import pytest

from rewire import bootstrap


def write(folder: Path, text: str) -> Path:
    file = folder / "requirements.txt"
    file.write_text(text)
    return file


def test_nothing_is_missing_when_the_pinned_packages_are_here() -> None:
    assert bootstrap.missing_packages(bootstrap.ROOT / "tests" / "requirements.txt") == []


def test_package_is_missing_when_it_is_not_installed_or_another_version(tmp_path: Path) -> None:
    pins = ["no-such-package==1.0", "pytest==0.1", "psycopg[binary]==0.1"]
    requirements = write(tmp_path, "# pins\n" + "\n".join(pins))
    assert bootstrap.missing_packages(requirements) == pins


def test_package_is_missing_when_an_included_file_pins_it(tmp_path: Path) -> None:
    write(tmp_path, "no-such-package==1.0\n")
    inner = tmp_path / "tests"
    inner.mkdir()
    assert bootstrap.missing_packages(write(inner, "-r ../requirements.txt\n")) == ["no-such-package==1.0"]


def test_old_python_gets_a_sentence_when_it_starts_rewire(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 10, 4))
    with pytest.raises(SystemExit, match="needs Python 3.11 or newer"):
        bootstrap.enter(write(tmp_path, ""))


def test_missing_venv_module_gets_a_sentence_when_packages_are_needed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(bootstrap, "VENV_PYTHON", tmp_path / "none")
    monkeypatch.setattr(bootstrap.util, "find_spec", lambda name: None if name == "ensurepip" else name)
    with pytest.raises(SystemExit, match="apt install python3-venv"):
        bootstrap.make_venv()


def test_missing_network_gets_a_sentence_when_packages_cannot_be_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(subprocess, "call", lambda command: 1)
    with pytest.raises(SystemExit, match="Is there a network"):
        bootstrap.install(bootstrap.ROOT / "requirements.txt")


def test_command_starts_again_inside_venv_when_packages_are_missing_outside(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    started: list[list[str]] = []
    monkeypatch.setattr(bootstrap, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(bootstrap, "VENV_PYTHON", Path(sys.executable))
    monkeypatch.setattr(bootstrap.os, "execv", lambda program, command: started.append(command) or sys.exit(0))
    monkeypatch.setattr(sys, "argv", ["manage.py", "demo", "--no-serve"])
    with pytest.raises(SystemExit):
        bootstrap.enter(write(tmp_path, "no-such-package==1.0\n"))
    assert started == [[sys.executable, "manage.py", "demo", "--no-serve"]]


def test_venv_is_brought_up_to_date_when_the_pins_changed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    installed: list[str] = []
    monkeypatch.setattr(bootstrap, "VENV", Path(sys.prefix))
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    monkeypatch.setattr(subprocess, "call", lambda command: installed.append(command[-1]) or 0)
    requirements = write(tmp_path, "no-such-package==1.0\n")
    bootstrap.enter(requirements)
    assert installed == [str(requirements)]
