from django.db import models

from jobs.core import deadlines
from jobs.models.firm import FirmOwned

DEADLINE_KINDS = [(kind.value, kind.label) for kind in deadlines.Kind]


class DeadlineMark(FirmOwned):
    """Somebody of the office said that a deadline of a job is dealt with, or is not after all.

    Rows are only added; the newest of a kind stands.
    """

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="deadline_marks")
    kind = models.CharField(max_length=20, choices=DEADLINE_KINDS)
    is_done = models.BooleanField()
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
