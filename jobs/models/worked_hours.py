import uuid

from django.db import models

from jobs.models.firm import FirmOwned


class WorkedHours(FirmOwned):
    """Hours a person worked on a package on a day; what was said last, by corrected time, stands."""

    package = models.ForeignKey("jobs.WorkPackage", on_delete=models.CASCADE, related_name="worked_hours")
    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, related_name="worked_hours")
    on = models.DateField()
    hours = models.DecimalField(max_digits=4, decimal_places=2)
    said_at = models.DateTimeField()
    op_id = models.UUIDField(default=uuid.uuid4, help_text="What said it; breaks a tie of time")

    class Meta:
        ordering = ["-on", "person__name"]
        verbose_name_plural = "worked hours"
        constraints = [
            models.UniqueConstraint(fields=["package", "person", "on"], name="worked_hours_once"),
            models.CheckConstraint(
                condition=models.Q(hours__gte=0) & models.Q(hours__lte=24), name="worked_hours_fit_a_day"
            ),
        ]
