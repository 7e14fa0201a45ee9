"""Archives read back: every row and file as it was, or nothing at all.

The archive itself is read with Python's zipfile and json, the columns with Django's own `values()`.
"""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.db import connection

from jobs.actions.firm_import import ArchiveError, import_firm
from jobs.models import Contact, Firm, Item, Photo, Reading, Room, SecretLink, User, VanTick
from jobs.queries.links import find_link, hash_token, token_of
from tests.archives import (
    NOW,
    Members,
    carried_models,
    empty_installation,
    export,
    fill,
    read_members,
    rows_of,
    stored_files,
    with_change,
)
from tests.factories import make_contact, make_firm, make_office

pytestmark = pytest.mark.django_db


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """Of a firm with a row of every model, made once for all tests; the installation is empty."""
    path = tmp_path / "firm.zip"
    if not _made:
        _made.append(export(fill(make_firm()).firm, path).read_bytes())
    empty_installation()
    path.write_bytes(_made[0])
    return path


_made: list[bytes] = []


def test_every_row_is_as_it_was_when_an_archive_is_read_back(tmp_path: Path) -> None:
    path = export(fill(make_firm()).firm, tmp_path / "firm.zip")
    before = {model.__name__: rows_of(model) for model in carried_models()}
    empty_installation()
    import_firm(path=path)
    after = {model.__name__: rows_of(model) for model in carried_models()}
    assert all(before.values())
    assert after == before


def test_every_file_is_as_it_was_when_an_archive_is_read_back(archive: Path) -> None:
    import_firm(path=archive)
    photo = Photo.objects.get()
    with photo.image.open() as image:
        assert image.read() == b"a wall"


def test_archive_of_what_was_read_back_is_the_same_when_made_again(archive: Path, tmp_path: Path) -> None:
    again = export(import_firm(path=archive), tmp_path / "again.zip")
    first, second = read_members(archive), read_members(again)
    assert {name for name in first if first[name] != second.get(name)} <= {"README.txt"}
    assert first.keys() == second.keys()


def test_rows_that_point_at_later_rows_of_their_table_come_back_when_read(tmp_path: Path) -> None:
    rows = fill(make_firm())
    first = rows[Item]
    second = Item.objects.create(firm=rows.firm, code="other", name="Other")
    Item.objects.filter(pk=first.pk).update(stands_in_for=second)
    reading = rows[Reading]
    other = Reading.objects.get(pk=reading.pk)
    other.pk, other.op_id, other.corrects = None, "7b1d6c0e-2f6f-4c1e-9a55-1f0a5b6f2d11", reading
    other.save(force_insert=True)
    path = export(rows.firm, tmp_path / "firm.zip")
    before = rows_of(Item), rows_of(Reading), rows_of(VanTick)
    empty_installation()
    import_firm(path=path)
    assert (rows_of(Item), rows_of(Reading), rows_of(VanTick)) == before


def test_new_rows_get_numbers_after_the_old_when_a_firm_is_back(archive: Path) -> None:
    firm = import_firm(path=archive)
    newest = Contact.objects.order_by("-pk").first().pk
    assert make_contact(firm, name="Somebody New").pk > newest


def test_nobody_signs_in_with_the_old_password_when_a_firm_is_back(tmp_path: Path) -> None:
    office = make_office(make_firm())
    office.set_password("copper and plaster")
    office.save()
    path = export(office.firm, tmp_path / "firm.zip")
    empty_installation()
    import_firm(path=path)
    assert not User.objects.get().has_usable_password()


def test_links_open_by_new_addresses_when_a_firm_is_back(archive: Path, settings: object) -> None:
    old = json.loads(read_members(archive)["json/SecretLink.jsonl"])
    settings.SECRET_KEY = "the key of another installation, long enough to be one"
    import_firm(path=archive)
    link = SecretLink.objects.get()
    assert link.token_hash == hash_token(token_of(link))
    assert find_link(token_of(link), link.purpose, now=NOW) == link
    assert "token_hash" not in old


def test_walls_and_append_only_hold_when_a_firm_is_back(archive: Path) -> None:
    import_firm(path=archive)
    with pytest.raises(Exception, match="added, never edited"):
        Reading.objects.update(text="0.1")


def test_nothing_is_read_back_when_there_is_a_firm_already(archive: Path) -> None:
    make_firm()
    with pytest.raises(ArchiveError, match="a firm here already"):
        import_firm(path=archive)
    assert Firm.objects.count() == 1


def newer_format(members: Members, manifest: dict) -> None:
    manifest["format"] = 2


def newer_change(members: Members, manifest: dict) -> None:
    manifest["migrations"].append("9999_more")


def unknown_table(members: Members, manifest: dict) -> None:
    manifest["tables"]["Robot"] = 0


def unknown_field(members: Members, manifest: dict) -> None:
    _edit(members, "Room", colour="red")


def no_number(members: Members, manifest: dict) -> None:
    _edit(members, "Room", id=None)


def bad_moment(members: Members, manifest: dict) -> None:
    _edit(members, "Photo", taken_at="soon")


def other_firm(members: Members, manifest: dict) -> None:
    _edit(members, "Contact", firm=10**6)


def nowhere(members: Members, manifest: dict) -> None:
    _edit(members, "Room", area=10**6)


def huge(members: Members, manifest: dict) -> None:
    _edit(members, "Room", id=10**30)


def broken_line(members: Members, manifest: dict) -> None:
    members["json/Room.jsonl"] = b'{"id": 1,\n'


def lost_row(members: Members, manifest: dict) -> None:
    members["json/Room.jsonl"] = b""


def lost_photo(members: Members, manifest: dict) -> None:
    del members[next(name for name in members if name.startswith("files/photos/"))]


def way_out(members: Members, manifest: dict) -> None:
    _edit(members, "Photo", image="../../outside.jpg")
    members["files/../../outside.jpg"] = b"out"


def _edit(members: Members, table: str, **values: object) -> None:
    row = json.loads(members[f"json/{table}.jsonl"].splitlines()[0])
    members[f"json/{table}.jsonl"] = json.dumps(row | values).encode()


WRONG = {
    newer_format: r"manifest\.json.*newer rewire \(format 2",
    newer_change: "newer rewire.*9999_more",
    unknown_table: r"Robot\.jsonl.*no such table",
    unknown_field: r"Room\.jsonl, line 1: there is no field colour",
    no_number: r"Room\.jsonl, line 1: .*no number",
    bad_moment: r"Photo\.jsonl, line 1: .*soon",
    other_firm: r"Contact\.jsonl, line 1: the row is of another firm",
    nowhere: r"Room\.jsonl",
    huge: r"Room\.jsonl",
    broken_line: r"Room\.jsonl, line 1",
    lost_row: r"Room\.jsonl has 0 rows, its list says 1",
    lost_photo: r"files/photos/.*missing",
    way_out: r"outside\.jpg",
}


@pytest.mark.parametrize("change", WRONG, ids=lambda change: change.__name__)
def test_nothing_is_read_back_when_an_archive_is_wrong(archive: Path, change: Callable) -> None:
    with pytest.raises(ArchiveError, match=WRONG[change]):
        import_firm(path=with_change(archive, change))
    assert not any(rows_of(model) for model in carried_models())
    assert stored_files() == []


def test_damage_is_named_by_file_when_a_byte_of_an_archive_flips(archive: Path) -> None:
    def flip(members: Members, manifest: dict) -> None:
        members["json/Job.jsonl"] = members["json/Job.jsonl"].replace(b"e", b"3", 1)

    with pytest.raises(ArchiveError, match=r"json/Job\.jsonl is damaged"):
        import_firm(path=with_change(archive, flip, is_listed=False))


@pytest.mark.parametrize("kept", [0.02, 0.5, 0.98])
def test_archive_is_refused_when_its_end_is_cut_off(archive: Path, kept: float) -> None:
    whole = archive.read_bytes()
    archive.write_bytes(whole[: int(len(whole) * kept)])
    with pytest.raises(ArchiveError, match="cannot be read as an archive"):
        import_firm(path=archive)


def test_archive_is_refused_when_it_holds_what_its_list_does_not_say(archive: Path) -> None:
    def add(members: Members, manifest: dict) -> None:
        members["json/More.jsonl"] = b"{}"

    with pytest.raises(ArchiveError, match=r"json/More\.jsonl is not in the archive's own list"):
        import_firm(path=with_change(archive, add, is_listed=False))


def test_files_are_taken_back_when_the_last_step_fails(archive: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*args: object) -> list[str]:
        raise OSError("the disk is full")

    monkeypatch.setattr(connection.ops, "sequence_reset_sql", fail)
    with pytest.raises(ArchiveError, match="the disk is full"):
        import_firm(path=archive)
    assert (Room.objects.count(), stored_files()) == (0, [])


def test_photo_that_was_lost_before_stays_lost_when_an_archive_is_read_back(tmp_path: Path) -> None:
    rows = fill(make_firm())
    default_storage.delete(rows[Photo].image.name)
    path = export(rows.firm, tmp_path / "firm.zip")
    empty_installation()
    import_firm(path=path)
    assert not default_storage.exists(Photo.objects.get().image.name)
