from django.db import models

from jobs.models.firm import FirmOwned


class TrailEntry(FirmOwned):
    """What somebody of the office changed: which page's form, on which job, with what entered in it."""

    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_by_name = models.CharField(max_length=150)
    made_at = models.DateTimeField()
    what = models.CharField(max_length=80, help_text="The name of the form's address")
    address = models.CharField(max_length=200)
    job_pk = models.BigIntegerField(null=True, blank=True, help_text="A number, as the entry outlives the job")
    entered = models.JSONField(default=dict)

    class Meta:
        ordering = ["-made_at", "-id"]
        indexes = [models.Index(fields=["firm", "-made_at"], name="trail_newest")]
