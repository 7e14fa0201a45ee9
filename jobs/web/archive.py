"""Many photos as one archive, made while it is sent, so that a large job needs no more memory than one photo."""

import re
from collections.abc import Iterable, Iterator
from io import RawIOBase
from zipfile import ZIP_STORED, ZipFile, ZipInfo

from django.utils import timezone

from jobs.models import Photo
from jobs.queries.photos import PhotoGroup


class _Pipe(RawIOBase):
    """Holds what was written until it is taken."""

    def __init__(self) -> None:
        self._parts: list[bytes] = []

    def writable(self) -> bool:
        return True

    def write(self, data: bytes) -> int:
        self._parts.append(bytes(data))
        return len(data)

    def take(self) -> bytes:
        taken, self._parts = b"".join(self._parts), []
        return taken


def stream_photos(groups: Iterable[PhotoGroup]) -> Iterator[bytes]:
    """A zip archive with a folder for each room; photos are stored as they are, JPEG does not shrink."""
    pipe = _Pipe()
    with ZipFile(pipe, "w", ZIP_STORED) as archive:
        for group in groups:
            for number, photo in enumerate(group.photos, 1):
                _add(archive, _name(group, photo, number), photo)
                yield pipe.take()
    yield pipe.take()


def _add(archive: ZipFile, name: str, photo: Photo) -> None:
    taken_at = timezone.localtime(photo.taken_at)
    info = ZipInfo(name, date_time=taken_at.timetuple()[:6])
    with photo.image.open() as image:
        archive.writestr(info, image.read())


def _name(group: PhotoGroup, photo: Photo, number: int) -> str:
    surface = f" {photo.get_surface_display()}" if photo.surface else ""
    return f"{_plain(group.room.name)} {group.room.pk}/{_plain(group.stage.label)} {number:03}{surface}.jpg"


def _plain(words: str) -> str:
    """Letters, figures, blanks and dashes alone: nothing that leads out of the folder."""
    return " ".join(re.sub(r"[^\w -]", " ", words).split()) or "room"
