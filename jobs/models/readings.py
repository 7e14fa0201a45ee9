"""What was measured on circuits, with which instrument, by whom."""

import uuid

from django.db import models
from django.db.models import F, Q

from jobs.core.electrics.readings import LONGEST_TEXT, State
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.supply_tests import SupplyMeasure
from jobs.core.electrics.under_test import TEST_VOLTS, Measure, WhenTested
from jobs.models.firm import FirmOwned

TIMES_TESTED = [(one.value, one.label) for one in WhenTested]
MEASURES = [(one.value, one.label) for kind in (Measure, SocketMeasure, SupplyMeasure) for one in kind]
SUPPLY_MEASURES = [one.value for one in SupplyMeasure]
SOCKET_MEASURES = [one.value for one in SocketMeasure]
READING_STATES = [(one.value, one.label) for one in State]


class Instrument(FirmOwned):
    """A tester of the firm, in the firm's own words."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    name = models.CharField(max_length=60, help_text="As the crew call it, e.g. the blue multifunction tester")
    serial = models.CharField("serial number", max_length=40)
    calibrated_on = models.DateField("calibrated on")
    due_on = models.DateField("calibration due on")
    is_retired = models.BooleanField("no longer used", default=False)

    class Meta:
        ordering = ["is_retired", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["firm", "serial"], name="instrument_serial_once",
                violation_error_message="There is an instrument with this serial number already.",
            ),
            models.CheckConstraint(
                condition=Q(calibrated_on__lt=F("due_on")), name="instrument_due_after_calibration",
                violation_error_message="Its calibration falls due after the day it was calibrated.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, no. {self.serial}"


class Reading(FirmOwned):
    """One measure as somebody wrote it down. Added, never edited: a correction is a new row naming the old.

    Of a circuit, of a socket of a ring (`point`), or of the supply (no `circuit`, no `when_tested`). Of the same measure of
    the same thing at a time of testing the row tested last stands, by corrected time.
    """

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="readings")
    circuit = models.ForeignKey("jobs.Circuit", on_delete=models.PROTECT, null=True, blank=True, related_name="readings")
    point = models.ForeignKey("jobs.Point", on_delete=models.PROTECT, null=True, blank=True, related_name="readings")
    when_tested = models.CharField(max_length=10, choices=TIMES_TESTED, blank=True)
    measure = models.CharField(max_length=12, choices=MEASURES)
    text = models.CharField(max_length=LONGEST_TEXT + 1, help_text="As it was written")
    state = models.CharField(max_length=16, choices=READING_STATES)
    amount = models.DecimalField(max_digits=14, decimal_places=6, null=True, blank=True, help_text="In the measure's unit")
    test_volts = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Of an insulation test")
    note = models.CharField(max_length=200, blank=True)
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, null=True, blank=True, related_name="readings")
    calibrated_on = models.DateField(null=True, blank=True, help_text="The instrument's calibration as it was then")
    calibration_due_on = models.DateField(null=True, blank=True)
    tested_by = models.ForeignKey("jobs.Person", on_delete=models.PROTECT, related_name="readings")
    tested_at = models.DateTimeField()
    entered_by = models.ForeignKey("jobs.User", on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    corrects = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrections")
    op_id = models.UUIDField(default=uuid.uuid4, help_text="What said it; breaks a tie of time")

    class Meta:
        ordering = ["tested_at", "op_id", "pk"]
        indexes = [models.Index(fields=["job", "circuit"])]
        constraints = [
            models.UniqueConstraint(fields=["op_id", "measure"], condition=Q(point=None), name="reading_said_once"),
            models.UniqueConstraint(
                fields=["op_id", "measure", "point"], condition=~Q(point=None), name="socket_reading_said_once"
            ),
            models.CheckConstraint(
                condition=(
                    Q(measure__in=SUPPLY_MEASURES, circuit=None, point=None, when_tested="")
                    | (~Q(circuit=None) & ~Q(when_tested="") & Q(measure__in=SOCKET_MEASURES) & ~Q(point=None))
                    | (~Q(circuit=None) & ~Q(when_tested="") & Q(point=None)
                       & ~Q(measure__in=[*SUPPLY_MEASURES, *SOCKET_MEASURES]))
                ),
                name="reading_of_supply_circuit_or_socket",
            ),
            models.CheckConstraint(condition=Q(amount__isnull=True) | Q(amount__gte=0), name="reading_not_negative"),
            models.CheckConstraint(
                condition=Q(test_volts__isnull=True) | Q(test_volts__in=TEST_VOLTS), name="reading_volts_of_insulation"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.of_what}, {self.get_measure_display()}: {self.text}"

    @property
    def of_what(self) -> str:
        return self.circuit.reference if self.circuit else "the supply"


class ReadingsUpload(FirmOwned):
    """A file of readings that was read and waits for somebody to save it; nothing of it is in the readings yet."""

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="readings_uploads")
    file_name = models.CharField(max_length=200)
    text = models.TextField(help_text="The readings as CSV, as this product writes it")
    when_tested = models.CharField(max_length=10, choices=TIMES_TESTED)
    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    tested_by = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, related_name="+")
    tested_on = models.DateField()
    test_volts = models.PositiveSmallIntegerField(default=500)
    note = models.CharField(max_length=200, blank=True)
    op_id = models.UUIDField(default=uuid.uuid4)
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at"]
