"""The commands that write a firm's archive and read it back."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from jobs.models import Firm
from tests.archives import empty_installation
from tests.factories import make_firm, make_office

pytestmark = pytest.mark.django_db


def run(*words: object) -> str:
    said = StringIO()
    call_command(*map(str, words), stdout=said, stderr=said)
    return said.getvalue()


def test_firm_comes_back_when_its_archive_is_written_and_read(tmp_path: Path) -> None:
    office = make_office(make_firm("Own Wires"))
    path = tmp_path / "firm.zip"
    assert "rows" in run("export_firm", "Own Wires", "--to", path)
    empty_installation()
    assert f"changepassword {office.username}" in run("import_firm", path)
    assert Firm.objects.get().name == "Own Wires"


def test_firm_is_found_by_its_number_when_it_is_named_so(tmp_path: Path) -> None:
    firm = make_firm("Own Wires")
    assert "Own Wires" in run("export_firm", firm.pk, "--to", tmp_path / "firm.zip")


def test_command_says_which_firms_there_are_when_the_name_is_wrong(tmp_path: Path) -> None:
    make_firm("Own Wires")
    with pytest.raises(CommandError, match="names 0 firms.*Own Wires"):
        run("export_firm", "Owen", "--to", tmp_path / "firm.zip")
    assert not list(tmp_path.iterdir())


def test_file_is_not_written_over_when_it_is_there(tmp_path: Path) -> None:
    make_firm("Own Wires")
    path = tmp_path / "firm.zip"
    path.write_text("mine")
    with pytest.raises(CommandError, match="there already"):
        run("export_firm", "Own Wires", "--to", path)
    assert path.read_text() == "mine"


@pytest.mark.parametrize("content", [None, b"", b"not a zip at all"], ids=["missing", "empty", "text"])
def test_command_says_what_is_wrong_when_a_file_is_no_archive(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "firm.zip"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(CommandError, match=r"firm\.zip cannot be read as an archive"):
        run("import_firm", path)
