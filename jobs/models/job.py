"""A job and the survey of its house: areas, rooms, circuits, points."""

import uuid

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from jobs.core import deadlines, stages
from jobs.models.firm import FirmOwned

STAGES = [(stage.value, stage.label) for stage in stages.Stage]
ROOM_KINDS = [(kind.value, kind.label) for kind in stages.RoomKind]
WALL_KINDS = [(kind.value, kind.label) for kind in stages.WallKind]
FLOOR_KINDS = [(kind.value, kind.label) for kind in stages.FloorKind]
JOIST_RUNS = [(run.value, run.label) for run in stages.JoistRun]
DROP_COVERS = [(cover.value, cover.label) for cover in stages.DropCover]
NOTICE_ROUTES = [(route.value, route.label) for route in deadlines.Route]
CIRCUIT_KINDS = [(kind.value, kind.label) for kind in stages.CircuitKind]


class Job(FirmOwned):
    class State(models.TextChoices):
        SURVEYED = "surveyed", "Being surveyed"
        BOOKED = "booked", "Booked"
        ON_SITE = "on_site", "On site"
        HANDED_OVER = "handed_over", "Handed over"
        DROPPED = "dropped", "Dropped"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    name = models.CharField(max_length=80, help_text="What the crew call it")
    house = models.CharField(max_length=120, blank=True, help_text="e.g. two-bed mid-terrace, about 1900")
    address = models.TextField(blank=True)
    postcode = models.CharField(max_length=10, blank=True)
    access_notes = models.TextField(blank=True, help_text="Keys, parking, dog, who is at home")
    state = models.CharField(max_length=12, choices=State.choices, default=State.SURVEYED)
    customer = models.ForeignKey("jobs.Contact", on_delete=models.PROTECT, null=True, blank=True, related_name="jobs")
    is_occupied = models.BooleanField(default=False, help_text="Power goes back on each evening")
    wall_kind = models.CharField(max_length=12, choices=WALL_KINDS, default=stages.WallKind.MASONRY)
    plaster_system = models.CharField(max_length=30, default="backing_and_skim")
    plaster_thickness_mm = models.PositiveSmallIntegerField(default=13)
    accessory_range = models.ForeignKey(
        "jobs.AccessoryRange", on_delete=models.PROTECT, null=True, blank=True, related_name="jobs",
        help_text="Blank = as the recipes say",
    )
    catalogue_version = models.ForeignKey(
        "jobs.CatalogueVersion", on_delete=models.PROTECT, null=True, blank=True, related_name="+", editable=False,
        help_text="The recipes its take-off uses; empty until its first programme",
    )
    is_cold_or_damp = models.BooleanField(default=False, help_text="Unheated: plaster dries more slowly")
    earliest_start_on = models.DateField(null=True, blank=True)
    promised_finish_on = models.DateField(null=True, blank=True)
    finished_on = models.DateField(null=True, blank=True)
    notice_route = models.CharField(
        max_length=12, choices=NOTICE_ROUTES, default=deadlines.Route.SCHEME,
        help_text="Who tells building control: a registered firm afterwards, or a notice before the start",
    )
    has_licensed_asbestos = models.BooleanField(
        default=False, help_text="The survey found asbestos that only a licensed firm may remove"
    )
    open_snags_reason = models.CharField(
        max_length=300, blank=True, help_text="Why it was handed over with snags open, and by whom"
    )
    open_readings_reason = models.CharField(
        max_length=500, blank=True, help_text="Why it was handed over with readings missing or out, and by whom"
    )

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["firm", "name"], name="job_name_once")]

    def __str__(self) -> str:
        return self.name

    @property
    def address_line(self) -> str:
        """Address and postcode on one line."""
        parts = [*self.address.splitlines(), self.postcode]
        return ", ".join(part.strip(" ,") for part in parts if part.strip(" ,"))


class Area(FirmOwned):
    """Part of a house planned together: a floor, the loft, outside, a kitchen with its own rhythm."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="areas")
    name = models.CharField(max_length=60)
    level = models.SmallIntegerField(default=0, help_text="0 = ground floor, 1 = first floor, -1 = cellar")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "level", "name"]
        constraints = [models.UniqueConstraint(fields=["job", "name"], name="area_name_once")]

    def __str__(self) -> str:
        return self.name


class Room(FirmOwned):
    """Where points are, checklists hang and crews tick. Sizes and position in metres on the floor's grid."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="rooms")
    area = models.ForeignKey(Area, on_delete=models.CASCADE, related_name="rooms")
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=16, choices=ROOM_KINDS)
    wall_kind = models.CharField(max_length=12, choices=WALL_KINDS, default=stages.WallKind.MASONRY)
    floor_kind = models.CharField(max_length=12, choices=FLOOR_KINDS, default=stages.FloorKind.TIMBER)
    joists = models.CharField(
        max_length=1, choices=JOIST_RUNS, blank=True, help_text="Which way they run, in floor and ceiling; blank = not known"
    )
    drop_cover = models.CharField(
        max_length=8, choices=DROP_COVERS, default=stages.DropCover.CAPPING, help_text="Over cables down masonry walls"
    )
    length_metres = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    width_metres = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    height_metres = models.DecimalField(max_digits=4, decimal_places=2, default="2.40")
    grid_x_metres = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    grid_y_metres = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["area__position", "position", "name"]
        constraints = [
            models.UniqueConstraint(fields=["job", "name"], name="room_name_once"),
            models.CheckConstraint(
                condition=Q(length_metres__isnull=True) | Q(length_metres__gt=0), name="room_length_positive"
            ),
            models.CheckConstraint(
                condition=Q(width_metres__isnull=True) | Q(width_metres__gt=0), name="room_width_positive"
            ),
            models.CheckConstraint(condition=Q(height_metres__gt=0), name="room_height_positive"),
        ]

    def __str__(self) -> str:
        return self.name


class Circuit(FirmOwned):
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="circuits")
    reference = models.CharField(max_length=12, help_text="As written on the sheath, e.g. R1, L2, CK")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=16, choices=CIRCUIT_KINDS)
    cable = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, null=True, blank=True, related_name="circuits")
    device = models.CharField(max_length=40, blank=True, help_text="e.g. RCBO type A, B curve")
    device_rating_amps = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(125)]
    )
    cable_metres = models.DecimalField(
        max_digits=7, decimal_places=2, null=True, blank=True, help_text="Measured or corrected by a person; else worked out"
    )

    class Meta:
        ordering = ["reference"]
        constraints = [
            models.UniqueConstraint(fields=["job", "reference"], name="circuit_reference_once"),
            models.CheckConstraint(
                condition=Q(cable_metres__isnull=True) | Q(cable_metres__gt=0), name="circuit_metres_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.reference} {self.name}"


class LengthCorrection(FirmOwned):
    """A circuit's length as a person put it right; rows are only added, and the latest of a reference and cable stands.

    It hangs on the circuit's reference, not its row, so that it outlives a survey that is replaced.
    """

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="length_corrections")
    circuit_reference = models.CharField(max_length=12)
    branch_cable = models.ForeignKey(
        "jobs.Item", on_delete=models.PROTECT, null=True, blank=True, related_name="+",
        help_text="Empty = the circuit's own cable; else all of this cable that branches off it, such as switch drops",
    )
    cable_metres = models.DecimalField(
        max_digits=7, decimal_places=2, null=True, blank=True, help_text="Empty = the length worked out counts again"
    )
    reason = models.CharField(max_length=200)
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(cable_metres__isnull=True) | Q(cable_metres__gt=0), name="corrected_length_positive"
            ),
        ]

    def __str__(self) -> str:
        length = f"{self.cable_metres} m" if self.cable_metres else "as worked out"
        return f"{self.circuit_reference}: {length}"


class Point(FirmOwned):
    """One socket, switch, light, alarm or fixed appliance."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="points")
    room = models.ForeignKey(Room, on_delete=models.CASCADE, related_name="points")
    kind = models.ForeignKey("jobs.PointKind", on_delete=models.PROTECT, related_name="points")
    circuit = models.ForeignKey(Circuit, on_delete=models.PROTECT, null=True, blank=True, related_name="points")
    label = models.CharField(max_length=80, blank=True)
    height_mm = models.PositiveIntegerField(null=True, blank=True)
    is_dropped = models.BooleanField(default=False)

    class Meta:
        ordering = ["room_id", "id"]
