"""README and DEVELOPERS stay true: folders, files, commands, settings and options they name exist, and none is missing."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SETTINGS = (ROOT / "rewire/settings.py").read_text(encoding="utf-8")
OWN_COMMANDS = sorted(name for name, app in get_commands().items() if app == "jobs")


def _folders_of_code() -> list[str]:
    return sorted(
        f"jobs/{path.name}/" for path in (ROOT / "jobs").iterdir() if path.is_dir() and not path.name.startswith("_")
    )


def _named(pattern: str, text: str) -> list[str]:
    return sorted(set(re.findall(pattern, text)))


@pytest.mark.parametrize("folder", _folders_of_code())
def test_folder_is_in_the_table_when_it_holds_code(folder):
    assert f"`{folder}" in DEVELOPERS


@pytest.mark.parametrize("path", _named(r"`((?:jobs|rewire|templates|tests|fixtures)/[\w./-]*)`", DEVELOPERS + README))
def test_file_exists_when_a_document_names_it(path):
    assert (ROOT / path).exists()


@pytest.mark.parametrize("command", _named(r"manage\.py (\w+)", README + DEVELOPERS))
def test_command_exists_when_a_document_names_it(command):
    assert command == "test" or command in get_commands()


@pytest.mark.parametrize("command", OWN_COMMANDS)
def test_command_is_documented_when_it_is_ours(command):
    assert f"manage.py {command}" in README + DEVELOPERS


@pytest.mark.parametrize("variable", _named(r'"((?:REWIRE|DATABASE|REDIS)_[A-Z_]+)"', SETTINGS))
def test_variable_is_documented_when_settings_read_it(variable):
    assert f"`{variable}`" in README + DEVELOPERS


def test_options_exist_when_the_readme_lists_them_for_the_demo():
    parser = load_command_class("jobs", "demo").create_parser("manage.py", "demo")
    options = {option for action in parser._actions for option in action.option_strings}
    assert set(re.findall(r"`(--[\w-]+)", README)) <= options
