"""A job's survey and its firm's catalogue as the take-off reads them, and the take-off as pages show it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from django.db.models import F

from jobs.core import catalogue as figures
from jobs.core import takeoff as core
from jobs.core.cable import Averages, order_metres
from jobs.core.cable_ways import Box
from jobs.core.catalogue_text import read_figures
from jobs.core.checklists import Check
from jobs.core.circuit_takeoff import CircuitCable, list_circuit_cables, list_circuit_materials, list_unwired
from jobs.core.point_materials import count_ways, find_unit, list_point_materials
from jobs.core.stages import CircuitKind, DropCover, FloorKind, JoistRun, RoomKind, Stage, WallKind
from jobs.models import (
    Area,
    ChecklistLine,
    Circuit,
    CircuitRecipe,
    Firm,
    Item,
    Job,
    LabourNorm,
    Point,
    PointKind,
    RecipeLine,
    Room,
    RoomTask,
    Swap,
)


def load_house(job: Job) -> core.HouseSurvey:
    """The survey of a job with the lengths put right since; dropped points are left out."""
    points: dict[int, list[core.PointSurvey]] = defaultdict(list)
    rows = Point.objects.filter(job=job, firm_id=job.firm_id, is_dropped=False).order_by("pk")
    for room, kind, circuit, height_mm in rows.values_list("room_id", "kind__code", "circuit__reference", "height_mm"):
        points[room].append(core.PointSurvey(kind, circuit or "", Decimal(height_mm) / 1000 if height_mm else None))
    rooms = Room.objects.filter(job=job, firm_id=job.firm_id).select_related("area")
    rooms = rooms.order_by("area__position", "area__level", "position", "pk")
    circuits = Circuit.objects.filter(job=job, firm_id=job.firm_id).select_related("cable")
    corrected = load_corrected(job)
    return core.HouseSurvey(
        rooms=tuple(_room(row, points[row.pk]) for row in rooms),
        circuits=tuple(_circuit(row, corrected.get(row.reference, {})) for row in circuits),
        wall=WallKind(job.wall_kind),
        is_occupied=job.is_occupied,
        accessory_range=job.accessory_range.code if job.accessory_range else "",
    )


def load_corrected(job: Job) -> dict[str, dict[str, Decimal | None]]:
    """The latest lengths a person gave for each circuit's reference: "" is its own cable, else the branches of a cable.

    None where it was taken back.
    """
    latest: dict[str, dict[str, Decimal | None]] = defaultdict(dict)
    rows = job.length_corrections.order_by("pk").values_list("circuit_reference", "branch_cable__code", "cable_metres")
    for reference, code, metres in rows:
        latest[reference][code or ""] = metres
    return latest


def load_job_catalogue(job: Job) -> figures.Catalogue:
    """The figures a job's take-off uses: those of the version it keeps, else the firm's of today.

    Kinds of point that the survey names and the version has not got come from today's.
    """
    if job.catalogue_version is None:
        return load_catalogue(job.firm)
    kept = read_figures(job.catalogue_version.figures)
    used = set(job.points.filter(is_dropped=False).values_list("kind__code", flat=True).distinct())
    return figures.add_kinds(kept, load_catalogue(job.firm), used - kept.kinds.keys()) if used - kept.kinds.keys() else kept


def load_catalogue(firm: Firm) -> figures.Catalogue:
    """The firm's own figures of today, in eight queries whatever their number."""
    recipes = RecipeLine.objects.filter(firm=firm).order_by("pk")
    cables = Item.objects.filter(firm=firm, unit=Item.Unit.METRE, live_mm2__isnull=False)
    return figures.Catalogue(
        kinds={row.code: _point_kind(row) for row in PointKind.objects.filter(firm=firm)},
        recipes=tuple(map(_recipe, recipes.values_list(
            "point_kind__code", "stage", "item__code", "quantity", "wall_kind"
        ))),
        norms=tuple(map(_norm, LabourNorm.objects.filter(firm=firm).select_related("point_kind").order_by("pk"))),
        circuits=_circuit_recipes(firm),
        live_mm2=dict(cables.order_by("code").values_list("code", "live_mm2")),
        ways=dict(Item.objects.filter(firm=firm, ways__isnull=False).order_by("code").values_list("code", "ways")),
        swaps=tuple(_swaps(firm)),
        spare_ways_percent=firm.spare_ways_percent,
        slack_metres=Decimal(firm.cable_slack_metres),
        waste_percent=Decimal(firm.cable_waste_percent),
        occupied_factor=Decimal(firm.occupied_factor),
    )


def load_checks(firm: Firm) -> list[Check]:
    rows = ChecklistLine.objects.filter(firm=firm).order_by("stage", "position", "pk")
    return [
        Check(row.code, Stage(row.stage), row.text, RoomKind(row.room_kind) if row.room_kind else None, row.is_hold_point)
        for row in rows
    ]


@dataclass(frozen=True)
class PackageHours:
    area: Area
    stage: Stage
    labour_hours: Decimal
    tasks: tuple[core.Task, ...]


@dataclass(frozen=True)
class MaterialRow:
    """What a job takes of an item, by stage and in all; `to_order` is whole metres for cable."""

    item: Item
    by_stage: dict[Stage, Decimal]

    @property
    def quantity(self) -> Decimal:
        return sum(self.by_stage.values(), Decimal(0))

    @property
    def to_order(self) -> int:
        return order_metres(self.quantity)


@dataclass(frozen=True)
class CableRow:
    """`branches`: the cables to points that the circuit's own does not reach, such as switches, with their metres."""

    line: CircuitCable
    item: Item
    branches: tuple[tuple[Item, Decimal], ...] = ()

    @property
    def branch_basis(self) -> str:
        return " and ".join(dict.fromkeys(branch.basis.label for branch in self.line.branches))

    @property
    def to_order(self) -> int:
        return order_metres(self.line.metres)


@dataclass(frozen=True)
class Takeoff:
    """Labour, materials and cable of one job. `remarks` are sentences about what could not be counted."""

    packages: tuple[PackageHours, ...]
    materials: tuple[MaterialRow, ...]
    cables: tuple[CableRow, ...]
    remarks: tuple[str, ...]

    @cached_property
    def labour_hours(self) -> Decimal:
        return sum((package.labour_hours for package in self.packages), Decimal(0))


def load_takeoff(job: Job) -> Takeoff:
    """The take-off of a job worked out afresh from its survey and the recipes it keeps."""
    house, catalogue = load_house(job), load_job_catalogue(job)
    items = {item.code: item for item in Item.objects.filter(firm_id=job.firm_id)}
    cables = list_circuit_cables(house, catalogue)
    return Takeoff(
        packages=tuple(_package_hours(job, core.list_tasks(house, catalogue))),
        materials=tuple(_material_rows(list_materials(house, catalogue), items)),
        cables=tuple(CableRow(line, items[line.cable], list_branches(line, items)) for line in cables),
        remarks=tuple(_remarks(house, catalogue)),
    )


def list_branches(line: CircuitCable, items: dict[str, Item]) -> tuple[tuple[Item, Decimal], ...]:
    """Cables of a circuit's branches with their metres."""
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for branch in line.branches:
        sums[branch.cable] += branch.metres
    return tuple((items[code], metres) for code, metres in sums.items())


def list_branch_cables(circuit: Circuit) -> list[Item]:
    """What branches off a circuit, such as the cable of its switch drops."""
    house, catalogue = load_house(circuit.job), load_job_catalogue(circuit.job)
    lines = (line for line in list_circuit_cables(house, catalogue) if line.circuit.reference == circuit.reference)
    codes = {branch.cable for line in lines for branch in line.branches}
    return list(Item.objects.filter(firm_id=circuit.firm_id, code__in=codes))


def list_materials(house: core.HouseSurvey, catalogue: figures.Catalogue) -> list[core.Material]:
    """Everything the points and the circuits take."""
    return list_point_materials(house, catalogue) + list_circuit_materials(house, catalogue)


def load_line_materials(line: RoomTask) -> dict[int, Decimal]:
    """What all of a line takes, by item pk, as worked out when the programme was made."""
    return dict(line.materials.values_list("item_id", "quantity"))


def _package_hours(job: Job, tasks: Iterable[core.Task]) -> Iterable[PackageHours]:
    by_package: dict[tuple[int, Stage], list[core.Task]] = defaultdict(list)
    for task in tasks:
        by_package[task.area, task.stage].append(task)
    areas = {area.pk: area for area in Area.objects.filter(job=job, firm_id=job.firm_id)}
    for area in areas:
        for stage in Stage:
            if own := by_package.get((area, stage)):
                yield PackageHours(areas[area], stage, sum((task.hours for task in own), Decimal(0)), tuple(own))


def _material_rows(materials: Iterable[core.Material], items: dict[str, Item]) -> list[MaterialRow]:
    totals: dict[str, dict[Stage, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for material in materials:
        totals[material.item][material.stage] += material.quantity
    rows = [MaterialRow(items[code], dict(by_stage)) for code, by_stage in totals.items()]
    return sorted(rows, key=lambda row: (row.item.unit != Item.Unit.METRE, row.item.name))


def _remarks(house: core.HouseSurvey, catalogue: figures.Catalogue) -> Iterable[str]:
    for room, kind, count in list_unwired(house, catalogue):
        yield f"{room.name}: {catalogue.kinds[kind].name} × {count} on no circuit, so no cable is counted for it."
    unknown = {circuit.kind.label for circuit in house.circuits if circuit.kind not in catalogue.circuits}
    for label in sorted(unknown):
        yield f"The catalogue says nothing about circuits of the kind “{label}”, so their cable is not counted."
    needed, unit = count_ways(house, catalogue), find_unit(house, catalogue)
    if unit and unit[1] < needed:
        yield f"The board needs {needed} ways; the largest unit of the catalogue has {unit[1]}."


def _room(row: Room, points: list[core.PointSurvey]) -> core.RoomSurvey:
    return core.RoomSurvey(
        key=row.pk,
        area=row.area_id,
        name=row.name,
        kind=RoomKind(row.kind),
        wall=WallKind(row.wall_kind),
        floor=FloorKind(row.floor_kind),
        points=tuple(points),
        box=_box(row),
        drop_cover=DropCover(row.drop_cover),
    )


def _box(row: Room) -> Box | None:
    """A room's place on the grid; None while a part of it is not surveyed."""
    sides = (row.grid_x_metres, row.grid_y_metres, row.length_metres, row.width_metres)
    joists = JoistRun(row.joists) if row.joists else None
    return None if None in sides else Box(*sides, height=row.height_metres, level=row.area.level, joists=joists)


def _circuit(row: Circuit, corrected: dict[str, Decimal | None]) -> core.CircuitSurvey:
    return core.CircuitSurvey(
        reference=row.reference,
        name=row.name,
        kind=CircuitKind(row.kind),
        cable=row.cable.code if row.cable else "",
        measured_metres=row.cable_metres,
        corrected_metres=corrected.get(""),
        branch_metres=tuple((code, metres) for code, metres in corrected.items() if code and metres is not None),
    )


def _point_kind(row: PointKind) -> figures.PointKind:
    return figures.PointKind(row.code, row.name, row.cable_ends, row.run_metres, row.is_ceiling, row.places)


def _recipe(row: tuple[str, str, str, Decimal, str]) -> figures.Recipe:
    kind, stage, item, quantity, wall = row
    return figures.Recipe(kind, Stage(stage), item, quantity, WallKind(wall) if wall else None)


def _norm(row: LabourNorm) -> figures.Norm:
    return figures.Norm(
        per=row.per,
        stage=Stage(row.stage),
        task=row.task,
        hours=row.labour_hours,
        point_kind=row.point_kind.code if row.point_kind else "",
        room_kind=RoomKind(row.room_kind) if row.room_kind else None,
        wall=WallKind(row.wall_kind) if row.wall_kind else None,
        floor=FloorKind(row.floor_kind) if row.floor_kind else None,
    )


def _swaps(firm: Firm) -> Iterable[figures.Swap]:
    rows = Swap.objects.filter(firm=firm).order_by("pk")
    names = ("accessory_range__code", "drop_cover", "in_place_of__code", "item__code", "quantity")
    for accessory_range, cover, *swapped in rows.values_list(*names):
        yield figures.Swap(accessory_range or cover, *swapped)


def _circuit_recipes(firm: Firm) -> dict[CircuitKind, figures.CircuitRecipe]:
    rows = CircuitRecipe.objects.filter(firm=firm).annotate(
        cable_code=F("cable__code"), clip_code=F("clip__code"), device_code=F("device__code"),
        fire_clip_code=F("fire_clip__code"),
    )
    return {
        CircuitKind(row.circuit_kind): figures.CircuitRecipe(
            cable=row.cable_code,
            averages=Averages(row.board_run_metres, row.between_metres, row.drop_metres, row.board_leg_metres),
            clip=row.clip_code or "",
            device=row.device_code or "",
            fire_clip=row.fire_clip_code or "",
        )
        for row in rows
    }
