import json
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.db import connection

from jobs.backups import BackupError, Manifest, list_manifests, make_backup, making
from jobs.backups.databases import Content
from jobs.models import Firm
from tests.factories import NOW, make_firm

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def media(tmp_path: Path, settings: LazySettings) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    (settings.MEDIA_ROOT / "photos").mkdir(parents=True)
    (settings.MEDIA_ROOT / "photos" / "wall.jpg").write_bytes(b"a wall")
    return settings.MEDIA_ROOT


def back_up(folder: Path, *, keep: int = 14, days: int = 0) -> Manifest:
    return make_backup(folder=folder, keep=keep, now=NOW + timedelta(days=days))


def test_rows_and_photos_are_listed_when_a_backup_is_made(tmp_path: Path) -> None:
    make_firm()
    made = back_up(tmp_path / "kept")
    assert (made.rows["jobs_firm"], list(made.photos)) == (1, ["photos/wall.jpg"])
    assert (made.photo_folder / "photos/wall.jpg").read_bytes() == b"a wall"


@pytest.mark.once
def test_list_reads_back_the_same_when_it_was_written(tmp_path: Path) -> None:
    made = back_up(tmp_path / "kept")
    assert list_manifests(tmp_path / "kept") == [made]


@pytest.mark.once
def test_only_the_newest_stay_when_there_are_more_than_are_kept(tmp_path: Path, media: Path) -> None:
    back_up(tmp_path / "kept")
    (media / "photos" / "wall.jpg").rename(media / "photos" / "ceiling.jpg")
    for days in (1, 2):
        last = back_up(tmp_path / "kept", keep=2, days=days)
    files = {path.name for path in (tmp_path / "kept").rglob("*") if path.is_file() and path.suffix != ""}
    assert len(list_manifests(tmp_path / "kept")) == 2
    assert {last.path.name, last.database_path.name, "ceiling.jpg"} < files
    assert "wall.jpg" not in files


@pytest.mark.once
def test_nothing_stays_when_the_copy_lacks_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    make_firm()
    true = making.live_content()
    monkeypatch.setattr(making, "live_content", lambda: Content(true.rows | {"jobs_firm": 2}, true.migrations))
    with pytest.raises(BackupError, match="1 rows of jobs_firm, the database 2"):
        back_up(tmp_path / "kept")
    assert [path.name for path in (tmp_path / "kept").iterdir()] == [".lock"]


@pytest.mark.once
def test_second_backup_waits_its_turn_when_one_is_being_made(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    with making._alone_in(tmp_path / "kept"), pytest.raises(BackupError, match="Another backup"):
        back_up(tmp_path / "kept")


@pytest.mark.once
def test_damaged_list_is_passed_over_when_backups_are_listed(tmp_path: Path) -> None:
    (tmp_path / "2026-01-01T000000Z.json").write_text(json.dumps({"made_at": "never"}))
    assert list_manifests(tmp_path) == []


@pytest.mark.once
def test_copy_opens_by_itself_when_the_database_is_sqlite(tmp_path: Path) -> None:
    make_firm(name="Hazel Lane Electrics")
    made = back_up(tmp_path / "kept")
    assert connection.vendor == "sqlite"
    assert sqlite3.connect(made.database_path).execute("SELECT name FROM jobs_firm").fetchall() == [("Hazel Lane Electrics",)]
    assert Firm.objects.count() == 1
