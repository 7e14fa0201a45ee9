"""Plans: drafts being worked on, and the one that people were told."""

from django.db import models
from django.db.models import Q

from jobs.models.firm import FirmOwned
from jobs.models.programme import HALVES


class Plan(FirmOwned):
    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        ISSUED = "issued", "Issued"
        REPLACED = "replaced", "Replaced"

    number = models.PositiveIntegerField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    version = models.PositiveIntegerField(default=1, help_text="Rises with every change, so two planners notice each other")
    status = models.CharField(max_length=12, default="feasible")
    message = models.TextField(blank=True)
    facts = models.JSONField(default=dict, blank=True, help_text="Objective terms, bound, gap, conflicts")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    issued_at = models.DateTimeField(null=True, blank=True)
    issued_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "number"], name="plan_number_once"),
            models.UniqueConstraint(fields=["firm"], condition=Q(state="draft"), name="plan_one_draft"),
            models.UniqueConstraint(fields=["firm"], condition=Q(state="issued"), name="plan_one_issued"),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(issued_at__isnull=False), name="plan_issued_has_time"
            ),
        ]


class Booking(FirmOwned):
    """A person on a work package for a session (or part of one)."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="bookings")
    person = models.ForeignKey("jobs.Person", on_delete=models.PROTECT, related_name="bookings")
    package = models.ForeignKey("jobs.WorkPackage", on_delete=models.CASCADE, related_name="bookings")
    on = models.DateField()
    half = models.CharField(max_length=2, choices=HALVES)
    hours = models.DecimalField(max_digits=4, decimal_places=2, help_text="Hours of the session this package takes")
    is_alongside = models.BooleanField(default=False, help_text="Helps and learns beside those who do the work")

    class Meta:
        ordering = ["on", "half", "person_id"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "person", "package", "on", "half"], name="booking_once"),
            models.CheckConstraint(condition=Q(hours__gt=0), name="booking_hours_positive"),
        ]
        indexes = [models.Index(fields=["plan", "on"])]


class Span(FirmOwned):
    """Where a plan puts a package or a visit, and why it starts no earlier."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="spans")
    package = models.ForeignKey("jobs.WorkPackage", on_delete=models.CASCADE, null=True, blank=True, related_name="spans")
    visit = models.ForeignKey("jobs.Visit", on_delete=models.CASCADE, null=True, blank=True, related_name="spans")
    starts_on = models.DateField()
    starts_half = models.CharField(max_length=2, choices=HALVES)
    ends_on = models.DateField(help_text="The last day worked")
    ends_half = models.CharField(max_length=2, choices=HALVES)
    starts_share = models.DecimalField(
        max_digits=4, decimal_places=3, default=0, help_text="Share of the first session gone when it starts"
    )
    ends_share = models.DecimalField(
        max_digits=4, decimal_places=3, default=1, help_text="Share of the last session gone when it ends"
    )
    likely_on = models.DateField(null=True, blank=True, help_text="Start as likely as not by then (P50)")
    safe_on = models.DateField(null=True, blank=True, help_text="Start four times in five by then (P80)")
    likely_end_on = models.DateField(null=True, blank=True, help_text="End as likely as not by then (P50)")
    safe_end_on = models.DateField(null=True, blank=True, help_text="End four times in five by then (P80)")
    holds_percent = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Chance that it starts no later than agreed or told, else planned"
    )
    cause = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(package__isnull=False, visit__isnull=True) | Q(package__isnull=True, visit__isnull=False),
                name="span_package_or_visit",
            ),
            models.CheckConstraint(condition=Q(starts_on__lte=models.F("ends_on")), name="span_in_order"),
            models.CheckConstraint(
                condition=Q(starts_share__gte=0, starts_share__lte=1, ends_share__gte=0, ends_share__lte=1),
                name="span_shares_zero_to_one",
            ),
            models.CheckConstraint(
                condition=Q(holds_percent__isnull=True) | Q(holds_percent__lte=100), name="span_holds_percent_to_100"
            ),
            models.UniqueConstraint(fields=["plan", "package"], name="span_package_once"),
            models.UniqueConstraint(fields=["plan", "visit"], name="span_visit_once"),
        ]


class Pin(FirmOwned):
    """A hand decision the planner must keep: a person and package in a session, or a package's or visit's start."""

    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, null=True, blank=True, related_name="pins")
    package = models.ForeignKey("jobs.WorkPackage", on_delete=models.CASCADE, null=True, blank=True, related_name="pins")
    visit = models.ForeignKey("jobs.Visit", on_delete=models.CASCADE, null=True, blank=True, related_name="pins")
    on = models.DateField()
    half = models.CharField(max_length=2, choices=HALVES)
    was_on = models.DateField(null=True, blank=True, help_text="Where the plan had it before the hand move")
    was_half = models.CharField(max_length=2, choices=HALVES, blank=True)
    was_person = models.ForeignKey("jobs.Person", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    is_alongside = models.BooleanField(default=False, help_text="The person goes along; others do the work")
    was_pinned = models.BooleanField(default=False, help_text="It was held there by hand too")
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["made_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(package__isnull=False, visit__isnull=True)
                | Q(package__isnull=True, visit__isnull=False, person__isnull=True),
                name="pin_package_or_visit",
            ),
            models.CheckConstraint(
                condition=Q(was_on__isnull=True, was_half="") | Q(was_on__isnull=False) & ~Q(was_half=""),
                name="pin_was_a_session",
            ),
        ]


class PlanRun(FirmOwned):
    """One run of the planner, so that long work shows progress and can be left."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        RUNNING = "running", "Planning"
        DONE = "done", "Done"
        STOPPED = "stopped", "Stopped"
        FAILED = "failed", "Failed"

    state = models.CharField(max_length=8, choices=State.choices, default=State.WAITING)
    seconds = models.PositiveSmallIntegerField(default=5)
    progress = models.JSONField(default=dict, blank=True, help_text="Best, bound, gap, seconds so far")
    message = models.TextField(blank=True)
    should_stop = models.BooleanField(default=False)
    plan = models.ForeignKey(Plan, on_delete=models.SET_NULL, null=True, blank=True, related_name="runs")
    asked_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    asked_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at"]
