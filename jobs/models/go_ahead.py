from django.db import models

from jobs.models.firm import FirmOwned


class GoAhead(FirmOwned):
    """A trade was told that it may cover work up. Added, never edited; the newest to the visit's contact stands."""

    visit = models.ForeignKey("jobs.Visit", on_delete=models.PROTECT, related_name="go_aheads")
    contact = models.ForeignKey("jobs.Contact", on_delete=models.PROTECT, related_name="+")
    notice = models.ForeignKey("jobs.Notice", on_delete=models.PROTECT, related_name="+")
    given_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, related_name="+")
    given_at = models.DateTimeField()
    missing = models.JSONField(default=list, help_text="What was not recorded then, a sentence each")
    override_reason = models.CharField(max_length=300, blank=True, help_text="Why it was given all the same")

    class Meta:
        ordering = ["given_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(missing=[]) | ~models.Q(override_reason=""), name="go_ahead_complete_or_with_reason"
            ),
        ]
