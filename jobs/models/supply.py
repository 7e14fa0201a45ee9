"""What things cost, when suppliers are closed, what was put on vans, and files of stock and prices that wait."""

import uuid

from django.db import models
from django.db.models import F, Q

from jobs.models.firm import FirmOwned


class Price(FirmOwned):
    """What a supplier asks for an item from a day on, without VAT; added and never edited.

    `pence` for `per_quantity` pieces or metres, so that a price of a box or a drum stays as it is written.
    """

    item = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, related_name="prices")
    supplier = models.ForeignKey("jobs.Supplier", on_delete=models.PROTECT, null=True, blank=True, related_name="prices")
    pence = models.PositiveIntegerField()
    per_quantity = models.DecimalField(max_digits=8, decimal_places=2, default=1)
    from_on = models.DateField()
    made_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["from_on", "made_at", "id"]
        constraints = [models.CheckConstraint(condition=Q(per_quantity__gt=0), name="price_quantity_positive")]
        indexes = [models.Index(fields=["firm", "item"])]


class SupplierClosure(FirmOwned):
    """Days on which a supplier neither takes orders nor delivers, beside weekends and bank holidays."""

    supplier = models.ForeignKey("jobs.Supplier", on_delete=models.CASCADE, related_name="closures")
    first_on = models.DateField()
    last_on = models.DateField()
    note = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first_on"]
        constraints = [models.CheckConstraint(condition=Q(last_on__gte=F("first_on")), name="closure_ends_after_start")]


class VanTick(FirmOwned):
    """Something was put on a van for a day, or taken off again; added and never edited. Stock moves by the same `op_id`."""

    op_id = models.UUIDField(default=uuid.uuid4)
    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, related_name="van_ticks")
    on = models.DateField()
    item = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, related_name="+")
    drum = models.ForeignKey("jobs.Drum", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    place = models.ForeignKey("jobs.Location", on_delete=models.PROTECT, related_name="+")
    quantity = models.DecimalField(max_digits=10, decimal_places=2)
    takes_back = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="taken_back")
    made_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["made_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "op_id"], name="van_tick_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="van_tick_positive"),
        ]
        indexes = [models.Index(fields=["firm", "on"])]


class StoresUpload(FirmOwned):
    """A stock or price list that was read; nothing of it is in the books until it is saved."""

    class Kind(models.TextChoices):
        STOCK = "stock", "Stock list"
        PRICES = "prices", "Price list"

    kind = models.CharField(max_length=6, choices=Kind.choices)
    op_id = models.UUIDField(default=uuid.uuid4)
    file_name = models.CharField(max_length=200)
    text = models.TextField(help_text="The list as CSV, as this product writes it")
    notes = models.JSONField(default=list, help_text="What was assumed while reading, a sentence each")
    seen = models.JSONField(default=list, help_text="What the books said of each row when the list was read; null: not counted")
    supplier = models.ForeignKey("jobs.Supplier", on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()
    saved_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
