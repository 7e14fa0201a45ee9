"""The crew and when they are away."""

import uuid

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from jobs.models.firm import FirmOwned


class Grade(models.TextChoices):
    ELECTRICIAN = "electrician", "Electrician"
    IMPROVER = "improver", "Improver"
    APPRENTICE = "apprentice", "Apprentice"
    LABOURER = "labourer", "Labourer"


class Person(FirmOwned):
    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    name = models.CharField(max_length=80)
    grade = models.CharField(max_length=12, choices=Grade.choices)
    may_test = models.BooleanField(default=False, help_text="Competent to carry out and sign tests")
    needs_supervision = models.BooleanField(default=False)
    born_on = models.DateField(null=True, blank=True, help_text="Needed for anyone who may be under 18")
    productivity = models.DecimalField(
        max_digits=3, decimal_places=2, default="1.00",
        validators=[MinValueValidator(0), MaxValueValidator(2)],
        help_text="1.00 = an electrician working alone; an apprentice counts 0.3 to 0.85",
    )
    hours_per_week = models.DecimalField(max_digits=4, decimal_places=1, default="40.0")
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    wants_morning_message = models.BooleanField(
        default=True, help_text="On days with work, to their e-mail address"
    )
    away_changed_at = models.DateTimeField(
        null=True, blank=True, editable=False, help_text="When absences or college days last changed"
    )
    is_active = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "people"
        constraints = [
            models.UniqueConstraint(fields=["firm", "name"], name="person_name_once"),
            models.CheckConstraint(condition=models.Q(productivity__gte=0), name="person_productivity_not_negative"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def initials(self) -> str:
        return "".join(word[0] for word in self.name.split()[:2]).upper()


class Part(models.TextChoices):
    ALL_DAY = "all", "All day"
    MORNING = "am", "Morning"
    AFTERNOON = "pm", "Afternoon"


class Absence(FirmOwned):
    class Kind(models.TextChoices):
        HOLIDAY = "holiday", "Holiday"
        SICK = "sick", "Sick"
        COLLEGE = "college", "College"
        OTHER = "other", "Away"

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="absences")
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.HOLIDAY)
    starts_on = models.DateField()
    ends_on = models.DateField()
    part = models.CharField(max_length=3, choices=Part.choices, default=Part.ALL_DAY)
    note = models.CharField(max_length=200, blank=True)
    source = models.ForeignKey(
        "jobs.AbsenceSource", on_delete=models.CASCADE, null=True, blank=True, related_name="absences",
        help_text="The calendar it was read from; empty when somebody typed it",
    )

    class Meta:
        ordering = ["starts_on"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(starts_on__lte=models.F("ends_on")),
                name="absence_in_order",
                violation_error_message="The last day comes before the first.",
            ),
        ]


WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class DayRelease(FirmOwned):
    """A weekday an apprentice spends at college, between two dates."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="day_releases")
    weekday = models.PositiveSmallIntegerField(choices=list(enumerate(WEEKDAYS)))
    starts_on = models.DateField()
    ends_on = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(weekday__lte=6), name="day_release_weekday"),
            models.CheckConstraint(condition=models.Q(starts_on__lte=models.F("ends_on")), name="day_release_in_order"),
        ]
