"""What comes from phones: operations, applied once each whatever happens on the way."""

from django.db import models

from jobs.models.firm import FirmOwned


class SiteOperation(FirmOwned):
    """One thing a person did on site. Appended, never edited; `corrected_at` allows for a wrong phone clock."""

    class Outcome(models.TextChoices):
        APPLIED = "applied", "Applied"
        REFUSED = "refused", "Not accepted"

    op_id = models.UUIDField(unique=True)
    kind = models.CharField(max_length=20)
    user = models.ForeignKey("jobs.User", on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey("jobs.Person", on_delete=models.PROTECT, null=True, related_name="+")
    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, null=True, related_name="operations")
    subject = models.UUIDField(help_text="The line, point, room, package or person it is about")
    task = models.ForeignKey("jobs.RoomTask", on_delete=models.PROTECT, null=True, blank=True, related_name="operations")
    payload = models.JSONField(default=dict)
    body_hash = models.CharField(max_length=64)
    device_at = models.DateTimeField()
    received_at = models.DateTimeField()
    corrected_at = models.DateTimeField()
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["received_at", "id"]
        indexes = [models.Index(fields=["task", "kind"]), models.Index(fields=["job", "kind"])]
