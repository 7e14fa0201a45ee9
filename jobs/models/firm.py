"""The firm: one contractor's business. Everything else belongs to exactly one firm."""

from datetime import time
from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


def is_known_zone(name: str) -> None:
    if name not in available_timezones():
        raise ValidationError(f"“{name}” is not a time zone. Try Europe/London.")


class FirmOwned(models.Model):
    """Base of every row that belongs to one firm; `jobs.models.walls` makes the database hold it."""

    firm = models.ForeignKey("jobs.Firm", on_delete=models.CASCADE, related_name="+")

    class Meta:
        abstract = True


class Firm(models.Model):
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    address = models.TextField(blank=True)
    zone = models.CharField(max_length=60, default="Europe/London", validators=[is_known_zone])
    holiday_region = models.CharField(max_length=3, default="ENG", help_text="ENG, WLS, SCT or NIR")
    morning_starts = models.TimeField(default=time(8, 0))
    morning_ends = models.TimeField(default=time(12, 0))
    afternoon_starts = models.TimeField(default=time(12, 30))
    afternoon_ends = models.TimeField(default=time(16, 30))
    order_cut_off = models.TimeField(default=time(19, 0), help_text="Order by then for the next working day")
    morning_message_at = models.TimeField(default=time(6, 30), help_text="To everyone on the crew who wants it")
    evening_summary_at = models.TimeField(default=time(17, 0), help_text="To the firm's own e-mail address")
    wants_evening_summary = models.BooleanField(default=True)
    quiet_from = models.TimeField(default=time(19, 0), help_text="No message about dates leaves from then …")
    quiet_until = models.TimeField(default=time(7, 0), help_text="… until then")
    has_quiet_days = models.BooleanField(default=True, help_text="Nor on Sundays and bank holidays")
    reminds_trades = models.BooleanField(default=True, help_text="The working day before a visit")
    chase_after_days = models.PositiveSmallIntegerField(
        default=2, validators=[MaxValueValidator(20)], help_text="Working days without an answer; 0 = nobody is chased"
    )
    prompts_at = models.TimeField(default=time(14, 0), help_text="When reminders and chasers leave, on working days")
    cable_slack_metres = models.DecimalField(
        max_digits=4, decimal_places=2, default="0.30", validators=[MinValueValidator(0), MaxValueValidator(10)]
    )
    cable_waste_percent = models.DecimalField(
        max_digits=4, decimal_places=1, default="10.0", validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    occupied_factor = models.DecimalField(
        max_digits=3, decimal_places=2, default="1.30", validators=[MinValueValidator(1), MaxValueValidator(5)]
    )
    spare_ways_percent = models.PositiveSmallIntegerField(
        default=20, validators=[MaxValueValidator(100)], help_text="Ways of a consumer unit beyond its circuits"
    )
    is_forgetting = models.BooleanField(default=False, help_text="Only while the trail lets go of what is to be forgotten")
    calendar_version = models.PositiveBigIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(morning_starts__lt=models.F("morning_ends"))
                & models.Q(morning_ends__lte=models.F("afternoon_starts"))
                & models.Q(afternoon_starts__lt=models.F("afternoon_ends")),
                name="firm_sessions_in_order",
                violation_error_message="A day goes forward: the morning starts, ends, then the afternoon starts, ends.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CalendarDay(FirmOwned):
    """A day on which the firm works or rests against its usual calendar."""

    on = models.DateField()
    is_working = models.BooleanField(default=False)
    name = models.CharField(max_length=80)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["firm", "on"], name="calendar_day_once")]
        ordering = ["on"]

    def __str__(self) -> str:
        return f"{self.on}: {self.name}"
