from django.db import models
from django.db.models import Q

from jobs.models.firm import FirmOwned


class DayMessage(FirmOwned):
    """What somebody on the crew was told in the morning, or the office in the evening: one a day, never edited."""

    class Kind(models.TextChoices):
        MORNING = "morning", "Morning message"
        EVENING = "evening", "Evening summary"

    kind = models.CharField(max_length=10, choices=Kind.choices)
    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, null=True, blank=True, related_name="day_messages")
    on = models.DateField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    sent_to = models.CharField(max_length=254)
    sent_at = models.DateTimeField()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["person", "on"], condition=Q(kind="morning"), name="morning_message_once"),
            models.UniqueConstraint(fields=["firm", "on"], condition=Q(kind="evening"), name="evening_summary_once"),
            models.CheckConstraint(
                condition=Q(kind="morning", person__isnull=False) | Q(kind="evening", person__isnull=True),
                name="day_message_fits_kind",
            ),
        ]
