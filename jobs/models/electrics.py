"""What the office says of a house's supply and of each circuit; what is blank is assumed, and pages say so.

A circuit's design hangs on its reference, not its row, so that it outlives a survey that is replaced.
"""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from jobs.core.electrics.cables import HOTTEST_C, MOST_GROUPED, Method
from jobs.core.electrics.circuit import Curve, Earthing, RcdType
from jobs.core.electrics.demand import LoadKind
from jobs.models.firm import FirmOwned

EARTHINGS = [(one.value, one.label) for one in Earthing]
CURVES = [(one.value, one.label) for one in Curve]
RCD_TYPES = [(one.value, one.label) for one in RcdType]
LOAD_KINDS = [(one.value, one.label) for one in LoadKind]
METHODS = [(one.value, one.label) for one in Method]


def between(least: str, most: str) -> list:
    return [MinValueValidator(Decimal(least)), MaxValueValidator(Decimal(most))]


class HouseSupply(FirmOwned):
    """The supply as found or told, and the consumer unit."""

    job = models.OneToOneField("jobs.Job", on_delete=models.CASCADE, related_name="supply")
    earthing = models.CharField(max_length=6, choices=EARTHINGS, blank=True)
    ze_ohms = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True, validators=between("0", "2000"))
    fault_kiloamps = models.DecimalField(max_digits=5, decimal_places=2, null=True, blank=True, validators=between("0.01", "50"))
    fuse_amps = models.DecimalField(max_digits=4, decimal_places=0, null=True, blank=True, validators=between("5", "200"))
    board_ways = models.PositiveSmallIntegerField(null=True, blank=True, validators=between("1", "60"))
    has_surge_device = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(fuse_amps__isnull=True) | Q(fuse_amps__gt=0), name="supply_fuse_positive"),
            models.CheckConstraint(condition=Q(ze_ohms__isnull=True) | Q(ze_ohms__gte=0), name="supply_ze_not_negative"),
        ]

    def __str__(self) -> str:
        return f"supply of {self.job}"


class CircuitDesign(FirmOwned):
    """Device, load and make-up of a circuit as its designer says; blank = as surveyed, else assumed."""

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="circuit_designs")
    circuit_reference = models.CharField(max_length=12)
    curve = models.CharField(max_length=1, choices=CURVES, blank=True)
    rcd_milliamps = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(500)], help_text="0 = no RCD"
    )
    rcd_type = models.CharField(max_length=2, choices=RCD_TYPES, blank=True)
    load_kind = models.CharField(max_length=8, choices=LOAD_KINDS, blank=True)
    load_watts = models.DecimalField(max_digits=7, decimal_places=0, null=True, blank=True, validators=between("0", "50000"))
    has_cooker_socket = models.BooleanField(default=False)
    spurs = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MaxValueValidator(200)])
    longest_spur_metres = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, validators=between("0", "200")
    )
    floor_area_m2 = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True, validators=between("1", "5000"))
    is_deep_or_covered = models.BooleanField(default=False)

    class Meta:
        ordering = ["circuit_reference"]
        constraints = [models.UniqueConstraint(fields=["job", "circuit_reference"], name="circuit_design_once")]

    def __str__(self) -> str:
        return f"design of {self.circuit_reference}"


class CircuitPart(FirmOwned):
    """A length of a circuit's route that lies one way; without metres it takes the rest of the route."""

    design = models.ForeignKey(CircuitDesign, on_delete=models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField(default=0)
    metres = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True, validators=between("0.1", "2000"))
    method = models.CharField(max_length=3, choices=METHODS)
    grouped = models.PositiveSmallIntegerField(default=1, validators=between("1", str(MOST_GROUPED)))
    is_side_by_side = models.BooleanField(default=False)
    surrounded_mm = models.PositiveSmallIntegerField(default=0, validators=[MaxValueValidator(20_000)])
    ambient_c = models.SmallIntegerField(default=30, validators=between("-20", str(HOTTEST_C)))

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(metres__isnull=True) | Q(metres__gt=0), name="circuit_part_metres_positive"),
            models.CheckConstraint(condition=Q(grouped__gte=1, grouped__lte=MOST_GROUPED), name="circuit_part_grouped_in_table"),
        ]

    def __str__(self) -> str:
        return f"{self.metres or 'rest'} by {self.method}"
