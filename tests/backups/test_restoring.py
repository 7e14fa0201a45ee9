import json
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.core.management import CommandError, call_command
from django.db import Error, transaction

from jobs.backups import BackupError, Manifest, make_backup, restore
from jobs.models import Area, Firm, Job
from tests.factories import NOW, make_firm, make_job

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def media(tmp_path: Path, settings: LazySettings) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.MEDIA_ROOT.mkdir()
    (settings.MEDIA_ROOT / "wall.jpg").write_bytes(b"a wall")
    return settings.MEDIA_ROOT


@pytest.fixture
def made(tmp_path: Path, media: Path) -> Manifest:
    make_job(firm=make_firm(name="Hazel Lane Electrics"), name="Mill Lane")
    return make_backup(folder=tmp_path / "kept", keep=2, now=NOW)


def rewrite(made: Manifest, **fields: object) -> None:
    made.path.write_text(json.dumps(json.loads(made.path.read_text()) | fields))


def test_everything_is_back_when_a_backup_is_restored(made: Manifest, media: Path) -> None:
    Job.objects.all().delete()
    Firm.objects.update(name="Somebody else")
    (media / "wall.jpg").unlink()
    restore(made.path)
    assert (Firm.objects.get().name, Job.objects.get().name) == ("Hazel Lane Electrics", "Mill Lane")
    assert (media / "wall.jpg").read_bytes() == b"a wall"


@pytest.mark.once
def test_what_came_later_is_gone_when_a_backup_is_restored(made: Manifest) -> None:
    make_firm(name="Came later")
    restore(made.path)
    assert Firm.objects.count() == 1


def test_walls_between_firms_stand_when_a_backup_was_restored(made: Manifest) -> None:
    restore(made.path)
    with pytest.raises(Error, match="another firm"), transaction.atomic():
        Area.objects.create(firm=make_firm("Another firm"), job=Job.objects.get(), name="Loft")


@pytest.mark.once
@pytest.mark.parametrize("is_photo", [False, True])
def test_nothing_changes_when_a_file_of_the_backup_is_damaged(made: Manifest, is_photo: bool) -> None:
    file = made.photo_folder / "wall.jpg" if is_photo else made.database_path
    file.write_bytes(file.read_bytes() + b" ")
    make_firm(name="Came later")
    with pytest.raises(BackupError, match="is damaged"):
        restore(made.path)
    assert Firm.objects.count() == 2


@pytest.mark.once
def test_missing_photo_is_named_when_a_backup_lacks_it(made: Manifest) -> None:
    (made.photo_folder / "wall.jpg").unlink()
    with pytest.raises(BackupError, match="wall.jpg is missing"):
        restore(made.path)


@pytest.mark.once
def test_newer_backup_is_refused_when_this_program_is_older(made: Manifest) -> None:
    rewrite(made, migrations=made.migrations | {"jobs": "9999_from_tomorrow"})
    with pytest.raises(BackupError, match="newer rewire"):
        restore(made.path)


@pytest.mark.once
def test_other_database_is_refused_when_the_kinds_differ(made: Manifest) -> None:
    rewrite(made, vendor="another")
    with pytest.raises(BackupError, match="This backup is of another"):
        restore(made.path)


@pytest.mark.once
def test_firms_are_not_overwritten_when_nobody_said_replace(made: Manifest) -> None:
    with pytest.raises(CommandError, match="--replace"):
        call_command("restore", str(made.path))


@pytest.mark.once
def test_both_commands_say_what_they_did_when_they_worked(
    tmp_path: Path, made: Manifest, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("backup", "--to", str(tmp_path / "by-hand"))
    [list_path] = (tmp_path / "by-hand").glob("*.json")
    call_command("restore", str(list_path), "--replace")
    out = capsys.readouterr().out
    assert "The copy was read back and agrees" in out
    assert "is back, 1 photo files with it" in out
