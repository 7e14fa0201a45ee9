import uuid

from django.db import models

from jobs.models.firm import FirmOwned


class Snag(FirmOwned):
    """Something left to put right; its line in the room is the planned work, and ticking that line settles it."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    room = models.ForeignKey("jobs.Room", on_delete=models.PROTECT, related_name="snags")
    words = models.CharField(max_length=200)
    labour_hours = models.DecimalField(max_digits=5, decimal_places=2)
    task = models.OneToOneField("jobs.RoomTask", on_delete=models.PROTECT, related_name="snag")
    photo = models.ForeignKey("jobs.Photo", on_delete=models.PROTECT, null=True, blank=True, related_name="snags")
    made_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["made_at", "id"]
        constraints = [
            models.CheckConstraint(condition=models.Q(labour_hours__gt=0), name="snag_hours_positive"),
        ]

    def __str__(self) -> str:
        return self.words
