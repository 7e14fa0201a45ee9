"""The bench on two small instances: what it prints, and what it says when something is missing."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from jobs.management.bench import planning
from tests.published.planning.psplib_instances import TEXTS

NAMES = ("J30_281", "J30_401")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    optima = {name: optimum for name, optimum in TEXTS if name in NAMES}
    for (name, _), text in TEXTS.items():
        if name in NAMES:
            (tmp_path / f"{name}.txt").write_text(text)
    rows = [f"{name}.txt,{optimum}" for name, optimum in optima.items()]
    (tmp_path / "bks.csv").write_text("\n".join(["instance,best_known_makespan", *rows]))
    return tmp_path


def bench(folder: Path, seconds: float = 0.5, **options: object) -> list[str]:
    out = StringIO()
    call_command("bench", "planning", f"--instances={folder}", f"--seconds={seconds}", stdout=out, **options)
    return out.getvalue().splitlines()


def test_both_solvers_are_measured_when_instances_are_there(folder: Path) -> None:
    lines = bench(folder, seconds=20)
    measured = json.loads(lines[-1])["sets"]["J30"]
    assert (measured["n"], measured["ours"]["matched"], measured["ours"]["proven"]) == (2, 2, 2)
    assert measured["pyjobshop"].keys() == measured["ours"].keys()


def test_only_some_instances_are_measured_when_limited(folder: Path) -> None:
    assert json.loads(bench(folder, seconds=1, limit=1)[-1])["sets"]["J30"]["n"] == 1


def test_the_missing_list_is_named_when_it_is_not_there(folder: Path) -> None:
    (folder / "bks.csv").unlink()
    with pytest.raises(CommandError, match=r"bks\.csv cannot be read"):
        bench(folder)


def test_an_instance_is_named_when_the_list_does_not_know_it(folder: Path) -> None:
    (folder / "bks.csv").write_text("instance,best_known_makespan\n")
    with pytest.raises(CommandError, match=r"no line for J30_281\.txt"):
        bench(folder)


def test_the_folder_is_named_when_it_holds_no_instances(tmp_path: Path) -> None:
    (tmp_path / "bks.csv").write_text("instance,best_known_makespan\n")
    with pytest.raises(CommandError, match="holds no instances"):
        bench(tmp_path)


def test_what_to_install_is_said_when_packages_are_missing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(planning, "find_spec", lambda package: None)
    with pytest.raises(CommandError, match=r"pip install -r tests/requirements\.txt"):
        bench(folder)


def test_the_instance_is_named_when_a_solver_breaks_its_rules(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(planning.SOLVERS, "ours", lambda instance, seconds, workers: ([0] * 32, True))
    with pytest.raises(CommandError, match="ours gave no schedule of J30_281.txt: activity"):
        bench(folder)
