"""The shape of the code: who may import whom, what templates may hold, what lies at the top."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from rewire.bootstrap import ROOT

pytestmark = pytest.mark.once

TOP_LEVEL = {
    "DEVELOPERS.md",
    "README.md",
    "fixtures",
    "jobs",
    "manage.py",
    "requirements.txt",
    "rewire",
    "templates",
    "tests",
}
LAYERS = {
    "core": {"core"},
    "calendars": {"calendars", "core"},
    "models": {"models", "core"},
    "messenger": set(),
    "outbox": {"messenger", "models"},
    "queries": {"backups", "queries", "models", "core", "calendars"},
    "pdf": {"pdf", "core"},
    "actions": {"actions", "pdf", "queries", "models", "core", "calendars", "outbox"},
    "backups": {"backups"},
    "tasks": {"backups", "actions", "queries", "models", "core", "calendars", "outbox"},
    "web": {"web", "actions", "queries", "models", "core", "calendars"},
    "templatetags": {"queries", "models", "core"},
    "checkpoints": set(),
    "runner": {"checkpoints", "messenger", "outbox"},
    "serving": {"runner"},
    "management": {"backups", "management", "serving", "runner", "actions", "queries", "models", "core", "calendars", "outbox"},
    "checks": set(),
    "apps": {"checks", "models", "web"},
    "urls": {"web"},
    "migrations": {"models", "core"},
}
"""Each part of `jobs` and the parts it may import."""
CORE_EXTRAS = {
    "ortools": ("jobs/core/planning/solver/", "jobs/core/cutting/exact.py"),
    "numpy": ("jobs/core/planning/risk.py",),
    "openpyxl": ("jobs/core/survey_file/", "jobs/core/stores_file/writing.py"),
    "holidays": ("jobs/core/workdays.py",),
}
"""Packages that a place in the core may import; the rest of the core needs the standard library alone."""


def source_files(folder: str = "jobs") -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


@cache
def tree(file: Path) -> ast.Module:
    return ast.parse(file.read_text())


def imported_names(file: Path) -> Iterator[str]:
    """Every module a file imports, in full; names after `from … import` count, as they may be modules."""
    for node in ast.walk(tree(file)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def layer_of(file: Path) -> str:
    return file.relative_to(ROOT / "jobs").with_suffix("").parts[0]


def within(file: Path) -> str:
    return file.relative_to(ROOT).as_posix()


def test_every_part_of_jobs_has_its_place_when_imports_are_judged() -> None:
    parts = {layer_of(file) for file in source_files()} - {"__init__"}
    assert parts - set(LAYERS) == set()


def test_imports_point_one_way_when_parts_use_each_other() -> None:
    wrong = [
        f"{within(file)} imports {name}"
        for file in source_files()
        for name in imported_names(file)
        if name.startswith("jobs.") and layer_of(file) != "__init__"
        if name.split(".")[1] not in LAYERS[layer_of(file)]
    ]
    assert wrong == []


def test_no_import_is_relative_when_a_module_names_another() -> None:
    wrong = [
        within(file)
        for file in [*source_files(), *source_files("rewire"), *source_files("tests")]
        for node in ast.walk(tree(file))
        if isinstance(node, ast.ImportFrom) and node.level
    ]
    assert wrong == []


def test_core_needs_the_standard_library_alone_when_it_is_imported() -> None:
    wrong = [
        f"{within(file)} imports {name}"
        for file in source_files("jobs/core")
        for name in imported_names(file)
        if not may_core_import(file, name.split(".")[0])
    ]
    assert wrong == []


def may_core_import(file: Path, package: str) -> bool:
    is_own = package == "jobs" or package in sys.stdlib_module_names
    return is_own or within(file).startswith(CORE_EXTRAS.get(package, ()))


def test_solver_library_stays_unloaded_when_the_pages_are_imported() -> None:
    """Its import takes most of a second, which only solving should pay."""
    load = "import django, sys; django.setup(); import rewire.urls, jobs.tasks; sys.exit('ortools' in sys.modules)"
    assert subprocess.call([sys.executable, "-c", load], cwd=ROOT) == 0


def test_rules_know_nothing_of_the_solver_when_they_judge_its_plans() -> None:
    reached, waiting = set(), ["jobs.core.planning.rules"]
    while waiting:
        module = waiting.pop()
        reached.add(module)
        waiting += [name for name in core_modules_of(module) if name not in reached]
    assert [name for name in sorted(reached) if name.startswith("jobs.core.planning.solver")] == []


def core_modules_of(module: str) -> set[str]:
    file = file_of(module)
    names = {name if file_of(name) else name.rpartition(".")[0] for name in imported_names(file)}
    return {name for name in names if name.startswith("jobs.core.")}


def file_of(module: str) -> Path | None:
    path = ROOT.joinpath(*module.split("."))
    return next((file for file in (path.with_suffix(".py"), path / "__init__.py") if file.exists()), None)


FORBIDDEN_IN_TEMPLATES = {
    "unescaped output": r"\|\s*safe\b|\bautoescape off\b",
    "inline script": r"<script(?![^>]*\bsrc=)",
    "inline style": r"<style\b|\sstyle\s*=",
    "event attribute": r"\son[a-z]+\s*=|\bhx-on\b",
    "script in an attribute": r"javascript:|[\"'=]\s*js:",
    "address of another site": r"(?:src|href)\s*=\s*[\"'](?:https?:)?//",
}


@pytest.mark.parametrize("what", FORBIDDEN_IN_TEMPLATES)
def test_templates_hold_nothing_the_content_policy_forbids_when_they_are_read(what: str) -> None:
    pattern = re.compile(FORBIDDEN_IN_TEMPLATES[what], re.IGNORECASE)
    wrong = [
        f"{within(file)}:{number}: {line.strip()}"
        for file in sorted((ROOT / "templates").rglob("*.html"))
        for number, line in enumerate(file.read_text().splitlines(), 1)
        if pattern.search(line)
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("what", "line"),
    [
        ("unescaped output", "{{ note|safe }}"),
        ("inline script", "<script>alert(1)</script>"),
        ("inline style", '<p style="color: red">'),
        ("event attribute", '<a onclick="x()">'),
        ("event attribute", '<a hx-on:click="x()">'),
        ("script in an attribute", """<a hx-vals='js:{a: 1}'>"""),
        ("address of another site", '<script src="//cdn.example/x.js">'),
    ],
)
def test_forbidden_line_is_found_when_a_template_holds_it(what: str, line: str) -> None:
    assert re.search(FORBIDDEN_IN_TEMPLATES[what], line, re.IGNORECASE)


def test_views_say_which_method_they_answer_when_they_are_defined() -> None:
    wrong = [
        f"{within(file)}: {node.name}"
        for file in source_files("jobs/web/views")
        for node in tree(file).body
        if isinstance(node, ast.FunctionDef) and is_view(node) and not states_method(node)
    ]
    assert wrong == []


def is_view(node: ast.FunctionDef) -> bool:
    first = node.args.args[:1]
    is_public = not node.name.startswith("_")
    return is_public and bool(first) and first[0].arg == "request" and "Response" in ast.unparse(node.returns or first[0])


def states_method(node: ast.FunctionDef) -> bool:
    return any(re.match(r"require_(GET|POST|safe|http_methods)\b", ast.unparse(mark)) for mark in node.decorator_list)


def test_every_test_folder_is_a_package_when_files_share_names() -> None:
    folders = {file.parent for file in source_files("tests")}
    assert [within(folder) for folder in sorted(folders) if not (folder / "__init__.py").exists()] == []


def test_lint_finds_nothing_when_it_reads_everything() -> None:
    lint = subprocess.run([sys.executable, "-m", "ruff", "check", "--quiet"], cwd=ROOT, capture_output=True, text=True)
    assert (lint.stdout, lint.returncode) == ("", 0)


def test_top_level_holds_only_what_is_known_when_listed() -> None:
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert seen - {"var", "__pycache__"} == TOP_LEVEL


@pytest.mark.django_db
def test_migrations_match_the_models_when_checked() -> None:
    call_command("makemigrations", check=True, dry_run=True, stdout=StringIO())
