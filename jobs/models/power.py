from django.db import models

from jobs.models.firm import FirmOwned


class PowerOverride(FirmOwned):
    """Somebody of the office let power go on although readings were missing or out. Added, never edited.

    It stands for what held then and for nothing new: another reading that fails holds again.
    """

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="power_overrides")
    circuit = models.ForeignKey(
        "jobs.Circuit", on_delete=models.PROTECT, null=True, blank=True, related_name="+", help_text="Blank: the supply"
    )
    holds = models.JSONField(default=list, help_text="What was missing or out then, a sentence each")
    reason = models.CharField(max_length=300, help_text="Why power may go on all the same")
    given_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, related_name="+")
    given_at = models.DateTimeField()

    class Meta:
        ordering = ["given_at", "id"]
        constraints = [models.CheckConstraint(condition=~models.Q(reason=""), name="power_override_with_reason")]

    @property
    def of_what(self) -> str:
        return self.circuit.reference if self.circuit else "the supply"
