"""The firm's own catalogue: what a point needs, how long it takes, what is checked, what waits for what.

Every row says where its value comes from (`source`): a clause or table, or `common practice, no source`.
"""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from jobs.core import stages
from jobs.models.firm import FirmOwned
from jobs.models.job import CIRCUIT_KINDS, DROP_COVERS, FLOOR_KINDS, ROOM_KINDS, STAGES, WALL_KINDS

TRADES = [(trade.value, trade.label) for trade in stages.Trade]


class PointKind(FirmOwned):
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    circuit_kind = models.CharField(max_length=16, blank=True, help_text="The circuit it usually hangs on")
    is_ceiling = models.BooleanField(default=False, help_text="Its centre is measured before a ceiling closes")
    cable_ends = models.PositiveSmallIntegerField(
        default=2, help_text="Ends of its circuit's cable at it: 2 on a loop, 1 at the end of a run, 0 = fed by its own recipe"
    )
    run_metres = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True,
        help_text="Usual run from the point before it; blank = its circuit's average",
    )
    places = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(10)],
        help_text="Places a cable goes to for one of them: a pair of switches has 2"
    )
    source = models.CharField(max_length=120, default="common practice, no source")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "code"], name="point_kind_code_once"),
            models.CheckConstraint(
                condition=Q(run_metres__isnull=True) | Q(run_metres__gte=0), name="point_kind_run_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class RecipeLine(FirmOwned):
    """A material that one point of a kind takes at a stage; blank wall kind = any wall."""

    point_kind = models.ForeignKey(PointKind, on_delete=models.CASCADE, related_name="recipe_lines")
    stage = models.CharField(max_length=12, choices=STAGES)
    wall_kind = models.CharField(max_length=12, choices=WALL_KINDS, blank=True)
    item = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, related_name="recipe_lines")
    quantity = models.DecimalField(
        max_digits=8, decimal_places=2, validators=[MinValueValidator(0)], help_text="Pieces, or metres for cable"
    )
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["point_kind", "stage", "wall_kind", "item"], name="recipe_line_once"
            ),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="recipe_quantity_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.item}, {self.point_kind}"


class CircuitRecipe(FirmOwned):
    """What a circuit of a kind takes, and the firm's average runs until its route is known."""

    circuit_kind = models.CharField(max_length=16, choices=CIRCUIT_KINDS)
    cable = models.ForeignKey(
        "jobs.Item", on_delete=models.PROTECT, related_name="+", help_text="Unless the circuit says otherwise"
    )
    clip = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    fire_clip = models.ForeignKey(
        "jobs.Item", on_delete=models.PROTECT, null=True, blank=True, related_name="+",
        help_text="Of metal, in place of every third clip",
    )
    device = models.ForeignKey(
        "jobs.Item", on_delete=models.PROTECT, null=True, blank=True, related_name="+", help_text="At the consumer unit"
    )
    board_run_metres = models.DecimalField(max_digits=5, decimal_places=2, help_text="From the board to the first point")
    between_metres = models.DecimalField(max_digits=5, decimal_places=2, help_text="From point to point")
    drop_metres = models.DecimalField(max_digits=4, decimal_places=2, help_text="From the run to a point, one way")
    board_leg_metres = models.DecimalField(max_digits=4, decimal_places=2, help_text="From the run to the board, one way")
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        ordering = ["circuit_kind"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "circuit_kind"], name="circuit_recipe_once"),
            models.CheckConstraint(
                condition=Q(board_run_metres__gte=0, between_metres__gte=0, drop_metres__gte=0, board_leg_metres__gte=0),
                name="circuit_recipe_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.get_circuit_kind_display()


class AccessoryRange(FirmOwned):
    """A range of second-fix accessories a job can be fitted with."""

    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["firm", "code"], name="accessory_range_code_once")]

    def __str__(self) -> str:
        return self.name


class Swap(FirmOwned):
    """What is taken in place of an item of the recipes, where a range is chosen or drops are covered another way.

    Several rows for the same item are all taken; quantity 0 takes nothing in its place.
    """

    accessory_range = models.ForeignKey(
        AccessoryRange, on_delete=models.CASCADE, null=True, blank=True, related_name="swaps"
    )
    drop_cover = models.CharField(max_length=8, choices=DROP_COVERS, blank=True)
    in_place_of = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, related_name="+")
    item = models.ForeignKey("jobs.Item", on_delete=models.PROTECT, related_name="+")
    quantity = models.DecimalField(
        max_digits=6, decimal_places=2, default=1, validators=[MinValueValidator(0)], help_text="For each; 0 = none"
    )
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        ordering = ["accessory_range", "drop_cover", "in_place_of__name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["firm", "accessory_range", "drop_cover", "in_place_of", "item"], name="swap_once"
            ),
            models.CheckConstraint(
                condition=(Q(accessory_range__isnull=True) & ~Q(drop_cover=""))
                | (Q(accessory_range__isnull=False) & Q(drop_cover="")),
                name="swap_for_range_or_cover",
                violation_error_message="Choose a range or a cover of drops, one of the two.",
            ),
            models.CheckConstraint(condition=Q(quantity__gte=0), name="swap_quantity_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.item} in place of {self.in_place_of}"


class CatalogueVersion(FirmOwned):
    """The figures of the catalogue as they stood from a change on, whole, so that a job can keep the ones it used."""

    number = models.PositiveIntegerField()
    figures = models.JSONField()
    what = models.CharField(max_length=300, help_text="What changed")
    made_by = models.ForeignKey("jobs.User", on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [models.UniqueConstraint(fields=["firm", "number"], name="catalogue_version_once")]

    def __str__(self) -> str:
        return f"version {self.number}"


class LabourNorm(FirmOwned):
    """Person-hours of an electrician: per point of a kind, per room (of a kind), per circuit or per house."""

    class Per(models.TextChoices):
        POINT = "point", "each point"
        ROOM = "room", "each room"
        CIRCUIT = "circuit", "each circuit"
        JOB = "job", "the house"

    per = models.CharField(max_length=8, choices=Per.choices)
    point_kind = models.ForeignKey(
        PointKind, on_delete=models.CASCADE, null=True, blank=True, related_name="labour_norms"
    )
    room_kind = models.CharField(max_length=16, choices=ROOM_KINDS, blank=True)
    stage = models.CharField(max_length=12, choices=STAGES)
    wall_kind = models.CharField(max_length=12, choices=WALL_KINDS, blank=True)
    floor_kind = models.CharField(max_length=12, choices=FLOOR_KINDS, blank=True)
    task = models.CharField(max_length=120)
    labour_hours = models.DecimalField(max_digits=6, decimal_places=2, validators=[MinValueValidator(0)])
    low_hours = models.DecimalField(max_digits=6, decimal_places=2)
    high_hours = models.DecimalField(max_digits=6, decimal_places=2)
    learned_packages = models.PositiveIntegerField(default=0, help_text="Finished packages that the hours already take in")
    learned_weight = models.DecimalField(
        max_digits=8, decimal_places=2, default=0, help_text="What those packages count for: each by its share of such work"
    )
    learned_until = models.DateTimeField(null=True, blank=True, help_text="Packages finished until then are taken in")
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        ordering = ["stage", "per", "task"]
        constraints = [
            models.CheckConstraint(condition=Q(labour_hours__gte=0), name="norm_hours_not_negative"),
            models.CheckConstraint(
                condition=(Q(per="point") & Q(point_kind__isnull=False))
                | (~Q(per="point") & Q(point_kind__isnull=True)),
                name="norm_point_kind_iff_per_point",
            ),
        ]

    def __str__(self) -> str:
        return self.task


class ChecklistLine(FirmOwned):
    """A check of a stage: common to all rooms (blank kind), or extra for one kind of room."""

    code = models.CharField(max_length=12)
    stage = models.CharField(max_length=12, choices=STAGES)
    room_kind = models.CharField(max_length=16, choices=ROOM_KINDS, blank=True)
    text = models.CharField(max_length=200)
    is_hold_point = models.BooleanField(default=False, help_text="Must be recorded before cover-up or energising")
    position = models.PositiveSmallIntegerField(default=0)
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        ordering = ["stage", "room_kind", "position"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "code", "room_kind"], name="checklist_line_once"),
        ]

    def __str__(self) -> str:
        return self.text


class DryingRule(FirmOwned):
    system = models.SlugField(max_length=30)
    name = models.CharField(max_length=80)
    minimum_days = models.PositiveSmallIntegerField()
    cold_minimum_days = models.PositiveSmallIntegerField()
    days_per_mm = models.DecimalField(max_digits=4, decimal_places=2, default="0.00")
    cold_days_per_mm = models.DecimalField(max_digits=4, decimal_places=2, default="0.00")
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        ordering = ["minimum_days"]
        constraints = [models.UniqueConstraint(fields=["firm", "system"], name="drying_system_once")]

    def __str__(self) -> str:
        return self.name


class VisitKind(FirmOwned):
    """A visit by another trade that a rewire usually needs."""

    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    trade = models.CharField(max_length=20, choices=TRADES)
    length_days = models.DecimalField(max_digits=4, decimal_places=1, help_text="0.5 = one session")
    lead_days = models.PositiveSmallIntegerField(default=0, help_text="Calendar days they want to be asked ahead")
    covers_up = models.BooleanField(default=False, help_text="Closes walls or ceilings")
    per_area = models.BooleanField(default=False)
    is_usual = models.BooleanField(default=True, help_text="Part of every new programme")
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["firm", "code"], name="visit_kind_once"),
            models.CheckConstraint(condition=Q(length_days__gt=0), name="visit_kind_length_positive"),
        ]

    def __str__(self) -> str:
        return self.name


class DependencyRule(FirmOwned):
    """Template: what must finish (or start) before what, between stages and visit kinds of one house."""

    class Kind(models.TextChoices):
        FINISH_START = "finish_start", "after it ends"
        START_START = "start_start", "after it starts"
        INSIDE = "inside", "while it runs"

    before = models.CharField(max_length=40, help_text="Stage or visit code")
    after = models.CharField(max_length=40, help_text="Stage or visit code")
    kind = models.CharField(max_length=12, choices=Kind.choices, default=Kind.FINISH_START)
    lag_sessions = models.PositiveSmallIntegerField(default=0)
    lag_days = models.PositiveSmallIntegerField(default=0)
    waits_for_plaster = models.BooleanField(default=False, help_text="Lag comes from the drying table")
    same_area = models.BooleanField(default=True, help_text="Area by area; else the whole house")
    reason = models.CharField(max_length=160)
    source = models.CharField(max_length=120, default="common practice, no source")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["firm", "before", "after", "kind"], name="dependency_rule_once"),
        ]

    def __str__(self) -> str:
        after, before = (code.replace("_", " ").replace("-", " ") for code in (self.after, self.before))
        return f"{after.capitalize()} waits for {before}"
