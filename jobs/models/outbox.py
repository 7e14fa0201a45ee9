"""Work that a change asked for, stored beside the change and done after it."""

from django.db import models
from django.db.models import Q


class OutboxEntry(models.Model):
    """One piece of background work, asked for once by its key; `jobs.outbox` alone moves its state."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        LEASED = "leased", "Being done"
        DONE = "done", "Done"
        DEAD = "dead", "Given up"

    firm = models.ForeignKey("jobs.Firm", on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    key = models.CharField(max_length=200, unique=True)
    task = models.CharField(max_length=60)
    payload = models.JSONField(default=dict, blank=True)
    due_at = models.DateTimeField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    lease_until = models.DateTimeField(null=True, blank=True)
    lease_by = models.CharField(max_length=100, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    last_error = models.TextField(blank=True)

    class Meta:
        ordering = ["due_at", "id"]
        indexes = [models.Index(fields=["state", "due_at"], name="outbox_due")]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="leased", lease_until__isnull=False) | ~Q(state="leased") & Q(lease_until__isnull=True),
                name="outbox_leased_has_an_end",
            ),
            models.CheckConstraint(
                condition=Q(state="done", done_at__isnull=False) | ~Q(state="done") & Q(done_at__isnull=True),
                name="outbox_done_has_a_moment",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key} ({self.state})"
