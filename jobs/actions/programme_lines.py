"""The lines crews tick and the materials packages take, brought up to the survey."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.db.models import QuerySet

from jobs.core.checklists import Line, base_code, spread_line
from jobs.core.stages import Stage
from jobs.core.takeoff import HouseSurvey, Material, count_kinds, point_code
from jobs.models import Item, Job, LineMaterial, MaterialNeed, PointKind, RoomTask, WorkPackage

Packages = Mapping[tuple[int, Stage], WorkPackage]
LINE_FIELDS = ["text", "point_kind", "point_count", "labour_hours", "is_hold_point", "is_withdrawn", "position"]


def renew_lines(job: Job, packages: Packages, lines: Iterable[Line]) -> None:
    """Bring the job's lines up to `lines`. Ticks stay; what is no longer asked for is withdrawn and weighs nothing."""
    had = _lines_had(job)
    kinds = dict(PointKind.objects.filter(firm=job.firm).values_list("code", "pk"))
    rows = [
        _line_row(job, packages[line.area, line.stage], line, position, kinds)
        for position, whole in enumerate(lines)
        for line in _spread(whole, packages, had)
    ]
    RoomTask.objects.filter(package__job=job).update(is_withdrawn=True, labour_hours=0)
    RoomTask.objects.bulk_create(
        rows, update_conflicts=True, unique_fields=["package", "room", "code"], update_fields=LINE_FIELDS
    )


def renew_needs(job: Job, packages: Packages, materials: Mapping[tuple[int, Stage, str], Decimal]) -> None:
    """Replace what the job's packages take by `materials`."""
    items = dict(Item.objects.filter(firm=job.firm).values_list("code", "pk"))
    MaterialNeed.objects.filter(package__job=job).delete()
    MaterialNeed.objects.bulk_create(
        MaterialNeed(firm=job.firm, package=packages[area, stage], item_id=items[item], quantity=quantity)
        for (area, stage, item), quantity in materials.items()
    )


def renew_line_materials(job: Job, house: HouseSurvey, taken: Iterable[Material]) -> None:
    """Replace what the job's lines take: their points' recipes and their part of the circuits' cable."""
    items = dict(Item.objects.filter(firm=job.firm).values_list("code", "pk"))
    of_points = _sum_by_line(taken)
    counts = {(room.key, kind): count for room in house.rooms for kind, count in count_kinds(room).items()}
    LineMaterial.objects.filter(task__package__job=job).delete()
    LineMaterial.objects.bulk_create(
        LineMaterial(firm=job.firm, task=line, item_id=items[item], quantity=quantity)
        for line in _lines_of_points(job)
        for item, whole in of_points[line.room_id, line.package.stage, point_code(line.point_kind.code)].items()
        if (quantity := _part(whole, line, counts.get((line.room_id, line.point_kind.code), 0))) > 0
    )


def _sum_by_line(taken: Iterable[Material]) -> Mapping[tuple[int, str, str], Mapping[str, Decimal]]:
    """(room, stage, line's own code) → item → quantity."""
    sums: dict[tuple[int, str, str], dict[str, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for material in taken:
        sums[material.room, material.stage, material.code][material.item] += material.quantity
    return sums


def _lines_of_points(job: Job) -> QuerySet[RoomTask]:
    lines = RoomTask.objects.filter(package__job=job, point_kind__isnull=False, point_count__gt=0, is_withdrawn=False)
    return lines.select_related("package", "point_kind")


def _part(whole: Decimal, line: RoomTask, surveyed: int) -> Decimal:
    """Where a room has several lines for the points of a kind, each takes its part by points."""
    return round(whole * line.point_count / max(surveyed, line.point_count), 2)


def _lines_had(job: Job) -> dict[tuple[int, int, str], list[RoomTask]]:
    """The job's lines by package, room and the code they were named after."""
    had = defaultdict(list)
    for row in RoomTask.objects.filter(package__job=job).order_by("pk"):
        had[row.package_id, row.room_id, base_code(row.code)].append(row)
    return had


def _spread(line: Line, packages: Packages, had: dict[tuple[int, int, str], list[RoomTask]]) -> list[Line]:
    own = had.get((packages[line.area, line.stage].pk, line.room, line.code), [])
    started = {row.code for row in own if row.done_share > 0 or row.not_needed}
    return spread_line(line, {row.code: row.point_count for row in own}, started)


def _line_row(job: Job, package: WorkPackage, line: Line, position: int, kinds: Mapping[str, int]) -> RoomTask:
    return RoomTask(
        firm=job.firm,
        package=package,
        room_id=line.room,
        code=line.code,
        text=line.text,
        point_kind_id=kinds.get(line.point_kind),
        point_count=line.count,
        labour_hours=line.hours,
        is_hold_point=line.is_hold_point,
        position=position,
    )
