"""What an archive holds, and what it never holds. Read with Python's own zipfile, csv and json."""

import csv
import io
import json
from pathlib import Path

import pytest
from django.apps import apps

from jobs.models import Contact, Photo, User
from jobs.queries.firm_archive import LEFT_OUT, SECRETS
from tests.archives import carried_models, export, fill, read_members
from tests.factories import make_contact, make_firm, make_office

pytestmark = pytest.mark.django_db
HARMLESS = {"Photo.sha256", "SiteOperation.body_hash", "CalendarEntry.key", "RoomTask.key"}
"""Sums of what is in the archive itself, and names."""


def words_of(members: dict[str, bytes]) -> str:
    return "\n".join(content.decode("utf-8", "replace") for content in members.values())


def test_archive_has_a_table_of_every_model_when_it_is_made(tmp_path: Path) -> None:
    members = read_members(export(fill(make_firm()).firm, tmp_path / "firm.zip"))
    for model in carried_models():
        assert len(members[f"json/{model.__name__}.jsonl"].splitlines()) >= 1
        assert len(list(csv.reader(io.StringIO(members[f"csv/{model.__name__}.csv"].decode("utf-8-sig"))))) >= 2


def test_archive_holds_no_row_or_file_of_another_firm_when_there_are_two(tmp_path: Path) -> None:
    theirs = fill(make_firm("Other Wires"))
    Photo.objects.filter(pk=theirs[Photo].pk).update(words="their wall")
    members = read_members(export(make_office(make_firm("Own Wires")).firm, tmp_path / "firm.zip"))
    assert "Other Wires" not in words_of(members)
    assert "their wall" not in words_of(members)
    assert not [name for name in members if name.startswith("files/")]


def test_archive_holds_no_password_or_token_when_it_is_made(tmp_path: Path) -> None:
    rows = fill(make_firm())
    secret = SECRETS | {"Device": ("session_key_hash",), "SignInCode": ("token_hash", "code_hash")}
    columns = [(apps.get_model("jobs", name), field) for name, fields in secret.items() for field in fields]
    secrets = [value for model, field in columns for value in model.objects.values_list(field, flat=True) if value]
    words = words_of(read_members(export(rows.firm, tmp_path / "firm.zip")))
    assert len(secrets) >= 4
    assert [secret for secret in secrets if secret in words] == []


def test_every_column_that_sounds_like_a_secret_is_judged_when_a_model_has_one() -> None:
    """A new one must be named here as harmless, or left out of archives."""
    suspicious = {
        f"{model.__name__}.{field.name}"
        for model in carried_models()
        for field in model._meta.concrete_fields
        if any(word in field.name for word in ("hash", "password", "token", "secret", "key", "sha256"))
        and not field.is_relation
    }
    left_out = {f"{name}.{field}" for name, fields in SECRETS.items() for field in fields}
    assert suspicious - left_out <= HARMLESS
    assert {"OutboxEntry", "SignInCode", "Device", "FirmArchive"} == set(LEFT_OUT)


def test_spreadsheet_works_nothing_out_when_a_cell_looks_like_a_formula(tmp_path: Path) -> None:
    firm = make_firm()
    make_contact(firm, name="=1+1")
    members = read_members(export(firm, tmp_path / "firm.zip"))
    [line] = list(csv.DictReader(io.StringIO(members["csv/Contact.csv"].decode("utf-8-sig"))))
    assert line["name"] == "'=1+1"
    assert json.loads(members["json/Contact.jsonl"])["name"] == "=1+1"


def test_names_of_any_script_are_kept_when_an_archive_is_made(tmp_path: Path) -> None:
    firm = make_firm()
    make_contact(firm, name="Żaneta Ωμέγα 王 🔌\u2028line")
    members = read_members(export(firm, tmp_path / "firm.zip"))
    assert json.loads(members["json/Contact.jsonl"])["name"] == Contact.objects.get().name


def test_readme_says_what_is_in_it_and_how_to_read_it_back_when_an_archive_is_made(tmp_path: Path) -> None:
    firm = make_office(make_firm("Own Wires")).firm
    words = read_members(export(firm, tmp_path / "firm.zip"))["README.txt"].decode()
    assert "Own Wires" in words
    assert "manage.py import_firm" in words
    assert f"  User: {User.objects.count()}" in words
