"""Stores: items, where they lie, drums of cable, and the append-only moves that make the balance."""

import uuid
from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from jobs.models.firm import FirmOwned


class Supplier(FirmOwned):
    name = models.CharField(max_length=80)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    lead_working_days = models.PositiveSmallIntegerField(default=1)
    order_cut_off = models.TimeField(null=True, blank=True, help_text="Blank = the firm's own")

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["firm", "name"], name="supplier_name_once")]

    def __str__(self) -> str:
        return self.name


class Item(FirmOwned):
    class Unit(models.TextChoices):
        PIECE = "piece", "each"
        METRE = "metre", "m"

    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=100)
    unit = models.CharField(max_length=6, choices=Unit.choices, default=Unit.PIECE)
    pack_size = models.DecimalField(
        max_digits=8, decimal_places=2, default=1, validators=[MinValueValidator(0)],
        help_text="Pieces in a box, or metres on a new drum",
    )
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="items")
    keep_at_least = models.DecimalField(max_digits=8, decimal_places=2, default=0)
    live_mm2 = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    cores = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Cores besides the earth")
    ways = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Of a consumer unit")
    stands_in_for = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, blank=True, related_name="other_packs",
        help_text="The same thing in another pack: needs of either are met by both",
    )
    warranty_months = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(600)],
        help_text="As the maker or supplier gives it; stands in handover packs",
    )
    warranty_needs = models.CharField(
        max_length=200, blank=True, help_text="What keeps it valid, e.g. registered within 30 days, receipt kept"
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "code"], name="item_code_once"),
            models.CheckConstraint(condition=Q(pack_size__gt=0), name="item_pack_positive"),
            models.CheckConstraint(condition=Q(keep_at_least__gte=0), name="item_minimum_not_negative"),
            models.CheckConstraint(
                condition=Q(stands_in_for__isnull=True) | ~Q(stands_in_for=F("pk")), name="item_stands_in_for_another"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_cable(self) -> bool:
        return self.unit == self.Unit.METRE


class Location(FirmOwned):
    class Kind(models.TextChoices):
        SUPPLIER = "supplier", "Supplier"
        UNIT = "unit", "Unit"
        VAN = "van", "Van"
        SITE = "site", "On site"
        FITTED = "fitted", "Fitted in the house"
        WASTE = "waste", "Waste"
        COUNT = "count", "Counting differences"

    kind = models.CharField(max_length=8, choices=Kind.choices)
    name = models.CharField(max_length=80)
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, null=True, blank=True, related_name="locations")
    person = models.ForeignKey("jobs.Person", on_delete=models.SET_NULL, null=True, blank=True, related_name="vans")

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "kind", "name"], name="location_once"),
            models.CheckConstraint(
                condition=Q(kind__in=["site", "fitted"], job__isnull=False)
                | (~Q(kind__in=["site", "fitted"]) & Q(job__isnull=True)),
                name="location_site_has_job",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_ours(self) -> bool:
        """Whether what lies here is stock the firm can still use."""
        return self.kind in {self.Kind.UNIT, self.Kind.VAN, self.Kind.SITE}


class Drum(FirmOwned):
    """A drum or offcut of cable with a label; its metres left are the sum of its moves."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="drums")
    label = models.CharField(max_length=20)
    full_metres = models.DecimalField(max_digits=7, decimal_places=2, help_text="Metres when it came in")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["label"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "label"], name="drum_label_once"),
            models.CheckConstraint(condition=Q(full_metres__gt=0), name="drum_metres_positive"),
        ]

    def __str__(self) -> str:
        return self.label


class StockMove(FirmOwned):
    """One movement, added and never edited: pieces of an item, or metres of one drum.

    Metres whose drum nobody knows stand in `pieces`. One thing a person does may make several rows: they share the
    operation's `op_id` and are told apart by `line`.
    """

    class Reason(models.TextChoices):
        RECEIVE = "receive", "Received"
        MOVE = "move", "Moved"
        USE = "use", "Used"
        BRING_BACK = "bring_back", "Brought back"
        COUNT = "count", "Counted"
        WASTE = "waste", "Wasted"
        RETURN = "return", "Returned to the supplier"
        UNDO = "undo", "Taken back"

    op_id = models.UUIDField(default=uuid.uuid4)
    line = models.PositiveSmallIntegerField(default=0)
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="moves")
    drum = models.ForeignKey(Drum, on_delete=models.PROTECT, null=True, blank=True, related_name="moves")
    pieces = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    cable_metres = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    moved_from = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="moves_out")
    moved_to = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="moves_in")
    reason = models.CharField(max_length=10, choices=Reason.choices)
    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, null=True, blank=True, related_name="stock_moves")
    task = models.ForeignKey("jobs.RoomTask", on_delete=models.SET_NULL, null=True, blank=True, related_name="stock_moves")
    order_line = models.ForeignKey(
        "jobs.OrderLine", on_delete=models.PROTECT, null=True, blank=True, related_name="moves"
    )
    corrects = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrections")
    made_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["made_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "op_id", "line"], name="move_operation_once"),
            models.CheckConstraint(
                condition=Q(pieces__isnull=False, drum__isnull=True, cable_metres__isnull=True)
                | Q(pieces__isnull=True, drum__isnull=False, cable_metres__isnull=False),
                name="move_pieces_or_drum",
            ),
            models.CheckConstraint(condition=Q(pieces__isnull=True) | Q(pieces__gt=0), name="move_pieces_positive"),
            models.CheckConstraint(
                condition=Q(cable_metres__isnull=True) | Q(cable_metres__gt=0), name="move_metres_positive"
            ),
            models.CheckConstraint(condition=~Q(moved_from=F("moved_to")), name="move_goes_somewhere"),
        ]
        indexes = [models.Index(fields=["firm", "item"]), models.Index(fields=["firm", "drum"])]

    @property
    def quantity(self) -> Decimal:
        return self.cable_metres if self.pieces is None else self.pieces


class Order(FirmOwned):
    """What was ordered and when it should come."""

    class State(models.TextChoices):
        WRITTEN = "written", "Not sent yet"
        PLACED = "placed", "Ordered"
        ARRIVED = "arrived", "Arrived"
        CANCELLED = "cancelled", "Cancelled"

    op_id = models.UUIDField(default=uuid.uuid4)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    job = models.ForeignKey("jobs.Job", on_delete=models.SET_NULL, null=True, blank=True, related_name="orders")
    reference = models.CharField(max_length=30)
    placed_on = models.DateField()
    promised_on = models.DateField(help_text="When the supplier said it would come")
    expected_on = models.DateField(help_text="When it is expected now")
    state = models.CharField(max_length=10, choices=State.choices, default=State.PLACED)
    note = models.CharField(max_length=400, blank=True, help_text="For the supplier")
    message_id = models.CharField(max_length=200, blank=True)
    mail_asked_at = models.DateTimeField(null=True, blank=True)
    mailed_at = models.DateTimeField(null=True, blank=True)
    mailed_to = models.EmailField(blank=True)
    cancel_message_id = models.CharField(max_length=200, blank=True)
    cancel_asked_at = models.DateTimeField(null=True, blank=True, help_text="When its cancellation was to be mailed")
    cancel_mailed_at = models.DateTimeField(null=True, blank=True)
    cancel_told_at = models.DateTimeField(null=True, blank=True, help_text="When somebody said the supplier was rung")

    class Meta:
        ordering = ["expected_on"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "reference"], name="order_reference_once"),
            models.UniqueConstraint(fields=["firm", "op_id"], name="order_operation_once"),
        ]

    def __str__(self) -> str:
        return self.reference

    @property
    def is_late(self) -> bool:
        return self.expected_on > self.promised_on


class OrderLine(FirmOwned):
    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="order_lines")
    quantity = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(quantity__gt=0), name="order_quantity_positive")]
