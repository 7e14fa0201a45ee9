"""Photos of a job by room and stage, and of one room."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from django.db.models import QuerySet

from jobs.core.centres import SURFACES
from jobs.core.stages import Stage
from jobs.models import Job, Photo, Room


@dataclass(frozen=True)
class PhotoGroup:
    """The photos of one room at one stage."""

    room: Room
    stage: Stage
    photos: tuple[Photo, ...]


def load_job_photos(job: Job) -> list[PhotoGroup]:
    """Room by room in the order of the house, in each the stages in the order of work."""
    order = list(Stage)
    photos = sorted(_list(room__job=job), key=lambda one: (_room_place(one.room), order.index(Stage(one.stage))))
    grouped = groupby(photos, key=lambda one: (one.room, Stage(one.stage)))
    return [PhotoGroup(room, stage, tuple(found)) for (room, stage), found in grouped]


def list_room_photos(room: Room) -> QuerySet[Photo]:
    return _list(room=room)


def find_unseen(photos: Iterable[Photo]) -> dict[str, str]:
    """Walls and ceiling, with their words, that no photo of first fix shows."""
    seen = {photo.surface for photo in photos if photo.stage == Stage.FIRST_FIX}
    return {surface: words for surface, words in SURFACES.items() if surface not in seen | {"floor"}}


def _list(**only: object) -> QuerySet[Photo]:
    related = ("room__area", "point__kind", "made_by__person")
    return Photo.objects.filter(**only).select_related(*related).order_by("taken_at", "pk")


def _room_place(room: Room) -> tuple[int, int, int]:
    return room.area.position, room.position, room.pk
