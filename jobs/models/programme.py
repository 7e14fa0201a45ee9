"""The programme of a job: work packages, visits of other trades, and what waits for what."""

import uuid

from django.db import models
from django.db.models import Q

from jobs.core import stages
from jobs.models.catalogue import DependencyRule
from jobs.models.firm import FirmOwned
from jobs.models.job import STAGES

HALVES = [(half.value, half.label) for half in stages.Half]


class WorkPackage(FirmOwned):
    """One stage in one area of one job: the unit that is planned. Labour in electrician person-hours."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="packages")
    area = models.ForeignKey("jobs.Area", on_delete=models.CASCADE, related_name="packages")
    stage = models.CharField(max_length=12, choices=STAGES)
    labour_hours = models.DecimalField(max_digits=7, decimal_places=2, help_text="From the take-off")
    corrected_hours = models.DecimalField(
        max_digits=7, decimal_places=2, null=True, blank=True, help_text="The contractor's own figure, if better"
    )
    most_people = models.PositiveSmallIntegerField(default=3)
    not_before_on = models.DateField(null=True, blank=True)
    must_close_same_day = models.BooleanField(default=False, help_text="From the survey")
    corrected_close_same_day = models.BooleanField(
        null=True, blank=True, help_text="The contractor's own choice, if one was made"
    )
    has_boards_open = models.BooleanField(default=False)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["job_id", "area__position", "id"]
        constraints = [
            models.UniqueConstraint(fields=["area", "stage"], name="package_once"),
            models.CheckConstraint(condition=Q(labour_hours__gte=0), name="package_hours_not_negative"),
            models.CheckConstraint(
                condition=Q(corrected_hours__isnull=True) | Q(corrected_hours__gte=0),
                name="package_corrected_not_negative",
            ),
            models.CheckConstraint(condition=Q(most_people__gt=0), name="package_people_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.get_stage_display()}, {self.area}"

    @property
    def closes_same_day(self) -> bool:
        """Whether it must be closed the day it is opened: the contractor's word before the survey's."""
        own = self.corrected_close_same_day
        return self.must_close_same_day if own is None else own


class PersonChoice(FirmOwned):
    """A person preferred on a job, or kept off it."""

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="person_choices")
    person = models.ForeignKey("jobs.Person", on_delete=models.CASCADE, related_name="job_choices")
    is_excluded = models.BooleanField(default=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "person"], name="person_choice_once")]


class Visit(FirmOwned):
    """Another trade's attendance on a job. An accepted visit has a date the planner must keep."""

    class State(models.TextChoices):
        PENCILLED = "pencilled", "Pencilled"
        ASKED = "asked", "Asked"
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Cannot make it"
        DONE = "done", "Done"
        CANCELLED = "cancelled", "Cancelled"

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="visits")
    area = models.ForeignKey("jobs.Area", on_delete=models.CASCADE, null=True, blank=True, related_name="visits")
    kind = models.ForeignKey("jobs.VisitKind", on_delete=models.PROTECT, related_name="visits")
    contact = models.ForeignKey("jobs.Contact", on_delete=models.PROTECT, null=True, blank=True, related_name="visits")
    length_days = models.DecimalField(max_digits=4, decimal_places=1)
    state = models.CharField(max_length=10, choices=State.choices, default=State.PENCILLED)
    not_before_on = models.DateField(null=True, blank=True)
    starts_on = models.DateField(null=True, blank=True, help_text="The slot asked for, accepted, or worked")
    starts_half = models.CharField(max_length=2, choices=HALVES, default=stages.Half.MORNING)
    answer_note = models.CharField(max_length=300, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["job_id", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(length_days__gt=0), name="visit_length_positive"),
            models.CheckConstraint(
                condition=~Q(state__in=["asked", "accepted", "done"]) | Q(starts_on__isnull=False),
                name="visit_told_has_date",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}, {self.area}" if self.area else str(self.kind)


class InForce(models.Manager):
    """Dependencies that hold; those a person waived are left out."""

    def get_queryset(self) -> models.QuerySet:
        return super().get_queryset().filter(is_waived=False)


class Dependency(FirmOwned):
    """`after` waits for `before`; each is one package or one visit of the same job.

    `objects` and `job.dependencies` leave out waived rows: those are kept only so that the template
    does not bring back a wait that a person took off this job.
    """

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="dependencies")
    before_package = models.ForeignKey(
        WorkPackage, on_delete=models.CASCADE, null=True, blank=True, related_name="releases"
    )
    before_visit = models.ForeignKey(Visit, on_delete=models.CASCADE, null=True, blank=True, related_name="releases")
    after_package = models.ForeignKey(
        WorkPackage, on_delete=models.CASCADE, null=True, blank=True, related_name="waits_for"
    )
    after_visit = models.ForeignKey(Visit, on_delete=models.CASCADE, null=True, blank=True, related_name="waits_for")
    kind = models.CharField(
        max_length=12, choices=DependencyRule.Kind.choices, default=DependencyRule.Kind.FINISH_START
    )
    lag_sessions = models.PositiveSmallIntegerField(default=0)
    lag_days = models.PositiveSmallIntegerField(default=0, help_text="Elapsed days: Sundays and holidays count")
    reason = models.CharField(max_length=160, blank=True)
    is_by_hand = models.BooleanField(default=False, help_text="Added by a person, not from the template")
    is_waived = models.BooleanField(default=False, help_text="The template asks for it; a person took it off this job")

    objects = InForce()
    with_waived = models.Manager()

    class Meta:
        verbose_name_plural = "dependencies"
        constraints = [
            models.CheckConstraint(
                condition=Q(before_package__isnull=False, before_visit__isnull=True)
                | Q(before_package__isnull=True, before_visit__isnull=False),
                name="dependency_one_before",
            ),
            models.CheckConstraint(
                condition=Q(after_package__isnull=False, after_visit__isnull=True)
                | Q(after_package__isnull=True, after_visit__isnull=False),
                name="dependency_one_after",
            ),
        ]


class RoomTask(FirmOwned):
    """A line a crew member ticks: work on a kind of point in a room, or a check of the stage.

    `labour_hours` of a package's tasks add up to the package's labour. `done_share` is folded from ticks.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    package = models.ForeignKey(WorkPackage, on_delete=models.CASCADE, related_name="tasks")
    room = models.ForeignKey("jobs.Room", on_delete=models.CASCADE, related_name="tasks")
    code = models.CharField(max_length=60, help_text="Stable within the room and stage")
    text = models.CharField(max_length=200)
    point_kind = models.ForeignKey("jobs.PointKind", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    point_count = models.PositiveSmallIntegerField(default=0)
    labour_hours = models.DecimalField(max_digits=7, decimal_places=3, default=0)
    is_hold_point = models.BooleanField(default=False)
    is_withdrawn = models.BooleanField(default=False, help_text="The survey no longer asks for it")
    position = models.PositiveSmallIntegerField(default=0)
    done_share = models.DecimalField(max_digits=4, decimal_places=3, default=0)
    done_by = models.ForeignKey("jobs.Person", on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    done_at = models.DateTimeField(null=True, blank=True)
    not_needed = models.CharField(max_length=200, blank=True, help_text="The reason; the line then counts as done")

    class Meta:
        ordering = ["room_id", "position", "id"]
        indexes = [models.Index(fields=["firm", "done_at"], name="task_done_at")]
        constraints = [
            models.UniqueConstraint(fields=["package", "room", "code"], name="room_task_once"),
            models.CheckConstraint(condition=Q(labour_hours__gte=0), name="task_hours_not_negative"),
            models.CheckConstraint(condition=Q(done_share__gte=0) & Q(done_share__lte=1), name="task_share_zero_to_one"),
        ]

    @property
    def is_done(self) -> bool:
        return self.done_share >= 1


class MaterialNeed(FirmOwned):
    """What the take-off says a package takes of an item: pieces, or metres of cable."""

    package = models.ForeignKey(WorkPackage, on_delete=models.CASCADE, related_name="needs")
    item = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, related_name="needs")
    quantity = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["package", "item"], name="material_need_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="need_quantity_positive"),
        ]


class LineMaterial(FirmOwned):
    """What all of a line takes of an item: pieces, or metres of cable. A tick uses its share of it."""

    task = models.ForeignKey(RoomTask, on_delete=models.CASCADE, related_name="materials")
    item = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, related_name="+")
    quantity = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["task", "item"], name="line_material_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="line_quantity_positive"),
        ]
