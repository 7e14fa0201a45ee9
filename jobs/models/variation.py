import uuid

from django.db import models

from jobs.models.firm import FirmOwned


class Variation(FirmOwned):
    """Points found or asked for on site that the survey lacks; the office accepts or declines them."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waits for the office"
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    room = models.ForeignKey("jobs.Room", on_delete=models.PROTECT, related_name="variations")
    kind = models.ForeignKey("jobs.PointKind", on_delete=models.PROTECT, related_name="+")
    circuit = models.ForeignKey("jobs.Circuit", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    quantity = models.PositiveSmallIntegerField(default=1)
    label = models.CharField(max_length=80, blank=True)
    height_mm = models.PositiveIntegerField(null=True, blank=True)
    words = models.CharField(max_length=200, blank=True, help_text="Why, and who asked for it")
    made_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    answered_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "id"]
        constraints = [models.CheckConstraint(condition=models.Q(quantity__gt=0), name="variation_quantity_positive")]

    def __str__(self) -> str:
        return f"{self.kind} × {self.quantity}"


class VariationAnswer(FirmOwned):
    """What the customer said to a variation on their page; rows are only added, and the newest stands."""

    variation = models.ForeignKey(Variation, on_delete=models.CASCADE, related_name="customer_answers")
    link = models.ForeignKey("jobs.SecretLink", on_delete=models.SET_NULL, null=True, related_name="+")
    is_agreed = models.BooleanField()
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return "Customer agreed" if self.is_agreed else "Customer declined"
