import uuid

from django.db import models

from jobs.core.centres import SURFACES
from jobs.models.firm import FirmOwned
from jobs.models.job import STAGES


def photo_path(photo: "Photo", name: str) -> str:
    return f"photos/{photo.firm_id}/{photo.sha256}.jpg"


def thumbnail_path(photo: "Photo", name: str) -> str:
    return f"photos/{photo.firm_id}/{photo.sha256}-small.jpg"


class Photo(FirmOwned):
    """A picture taken in a room, as it was re-encoded here: without the place and the phone it came from."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    room = models.ForeignKey("jobs.Room", on_delete=models.PROTECT, related_name="photos")
    stage = models.CharField(max_length=12, choices=STAGES)
    surface = models.CharField(max_length=8, choices=list(SURFACES.items()), blank=True, help_text="Wall or ceiling shown")
    point = models.ForeignKey("jobs.Point", on_delete=models.SET_NULL, null=True, blank=True, related_name="photos")
    words = models.CharField(max_length=200, blank=True)
    image = models.FileField(upload_to=photo_path, max_length=200)
    thumbnail = models.FileField(upload_to=thumbnail_path, max_length=200, blank=True)
    sha256 = models.CharField(max_length=64, help_text="Of the bytes as they came")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    made_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    is_for_customer = models.BooleanField(default=False, help_text="Shown on the customer's page")

    class Meta:
        ordering = ["taken_at", "id"]
        constraints = [models.UniqueConstraint(fields=["room", "sha256"], name="photo_once_in_room")]
