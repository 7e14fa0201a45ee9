"""Photos of rooms: kept once, whatever they are sent as, with a thumbnail drawn in the background."""

import uuid
from collections.abc import Mapping
from datetime import datetime

from django.core.files.base import ContentFile
from django.db import transaction

from jobs import outbox
from jobs.actions.permission import Refused, require_member
from jobs.actions.pictures import Picture, draw_thumbnail
from jobs.models import Photo, Point, Room, User


@transaction.atomic
def keep_photo(
    *, room: Room, details: Mapping[str, str], picture: Picture, uid: uuid.UUID, by: User, at: datetime
) -> Photo:
    """`details` are stage, surface, words and the uid of a point of the room, the last three perhaps blank.

    The same bytes in the same room are one photo.
    """
    require_member(by, room)
    known = Photo.objects.filter(room=room, sha256=picture.sha256).first()
    if known:
        return known
    photo = Photo(
        firm_id=room.firm_id, uid=uid, room=room, stage=details["stage"], surface=details["surface"],
        words=details["words"], point=_point(room, details["point"]), sha256=picture.sha256,
        width_px=picture.width_px, height_px=picture.height_px, made_by=by, taken_at=at,
    )
    photo.image.save("photo.jpg", ContentFile(picture.jpeg), save=False)
    photo.save()
    outbox.enqueue(
        key=f"thumbnail:{photo.pk}", task="make_thumbnail", payload={"photo_pk": photo.pk}, due_at=at, firm=room.firm
    )
    return photo


def make_thumbnail(*, photo_pk: int) -> None:
    """Safe to run twice: the second drawing takes the place of the first."""
    photo = Photo.objects.get(pk=photo_pk)
    if photo.thumbnail:
        return
    with photo.image.open() as image:
        small = draw_thumbnail(image.read())
    photo.thumbnail.save("small.jpg", ContentFile(small), save=False)
    Photo.objects.filter(pk=photo_pk).update(thumbnail=photo.thumbnail.name)


def _point(room: Room, uid: str) -> Point | None:
    if not uid:
        return None
    point = Point.objects.filter(room=room, uid=uid).first()
    if point is None:
        raise Refused("That point is not in this room any more. Send the photo without it.")
    return point
