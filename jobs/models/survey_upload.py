"""A survey file that was read and waits for somebody to save it."""

from django.db import models

from jobs.models.firm import FirmOwned


class SurveyUpload(FirmOwned):
    """What was understood of a file, written again as a survey file; nothing of it is in the survey yet."""

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="survey_uploads")
    file_name = models.CharField(max_length=200)
    text = models.TextField(help_text="The survey as CSV, as this product writes it")
    notes = models.JSONField(default=list, help_text="What was assumed while reading, a sentence each")
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at"]
