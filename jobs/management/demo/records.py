"""What the crew recorded beside their ticks: hours, centres, photos and snags, as their phones would have sent them."""

from collections import defaultdict
from datetime import date, datetime
from decimal import Decimal
from uuid import NAMESPACE_URL, uuid5

from django.utils import timezone

from jobs.actions.operations import REFUSED, Answer, apply_operation
from jobs.management.demo.drawing import draw_photo
from jobs.management.demo.story import Story
from jobs.models import Job, Point, Room, RoomTask, User, WorkPackage

LONGEST_DAY, QUARTER = Decimal(9), Decimal("0.25")
SLOWER = Decimal("1.1")
"""The invented crew takes a little longer than the catalogue says."""
Ticked = tuple[RoomTask, User, date]


def send(user: User, kind: str, item: object, value: dict[str, object], at: datetime, **more: object) -> Answer:
    """One operation, sent as it was made; its id follows from what it is, so that a demo is always the same."""
    stamp = at.astimezone(timezone.get_default_timezone()).isoformat()
    op_id = str(uuid5(NAMESPACE_URL, f"{kind}:{item}:{stamp}:{sorted(value.items())}"))
    body = {"op_id": op_id, "kind": kind, "item": str(item), "value": value, "device_at": stamp, "sent_at": stamp}
    return _checked(apply_operation(user=user, body=body, now=at, **more))


def _checked(answer: Answer) -> Answer:
    if answer.result in {REFUSED, "bad"}:
        raise ValueError(f"The demo's crew sent what cannot be: {answer.reason}")
    return answer


def say_hours(story: Story, ticked: list[Ticked]) -> None:
    """Each evening's hours, from what was ticked that day; nobody works longer than `LONGEST_DAY`."""
    worked: dict[tuple[User, date], dict[WorkPackage, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for line, user, on in ticked:
        worked[user, on][line.package] += line.labour_hours * SLOWER
    for (user, on), packages in worked.items():
        share = min(Decimal(1), LONGEST_DAY / (sum(packages.values()) or 1))
        for package, hours in packages.items():
            _say_hours(story, user, on, package, hours * share)


def _say_hours(story: Story, user: User, on: date, package: WorkPackage, hours: Decimal) -> None:
    quarters = (hours / QUARTER).to_integral_value() * QUARTER
    if quarters:
        send(user, "hours", package.uid, {"hours": str(quarters)}, story.days.at(on, 16, 45))


def measure_ceilings(story: Story, job: Job, user: User, days_ago: int) -> None:
    """Every ceiling point of the job, spread along the middle of its room."""
    points = Point.objects.filter(job=job, is_dropped=False, kind__is_ceiling=True).select_related("room").order_by("pk")
    by_room: dict[Room, list[Point]] = defaultdict(list)
    for point in points:
        by_room[point.room].append(point)
    at = story.days.at(story.days.ago(days_ago), 15, 20)
    for room, found in by_room.items():
        for number, point in enumerate(found, 1):
            send(user, "measure", point.uid, _centre(room, number / (len(found) + 1)), at)


def _centre(room: Room, share: float) -> dict[str, object]:
    across, down = round(float(room.length_metres or 3) * 1000 * share), round(float(room.width_metres or 3) * 500)
    return {"wall_1": "A", "from_1_mm": down, "wall_2": "D", "from_2_mm": across}


def take_photos(story: Story, job: Job, user: User, row: dict) -> None:
    at = story.days.at(story.days.ago(row["days_ago"]), 15)
    for room in Room.objects.filter(job=job, name__in=row["rooms"]):
        for surface in row["surfaces"]:
            about = {"stage": row["stage"], "surface": surface, "point": "", "words": row.get("words", "")}
            send(user, "photo", room.uid, about, at, picture=draw_photo(surface, f"{job}:{room}:{surface}:{row['stage']}"))


def note_snags(story: Story, job: Job, user: User, row: dict) -> None:
    room = Room.objects.get(job=job, name=row["room"])
    about = {"stage": row["stage"], "hours": row["hours"], "words": row["words"]}
    at = story.days.at(story.days.ago(row["days_ago"]), 14, 10)
    picture = draw_photo("A", row["words"]) if row["has_photo"] else None
    send(user, "snag", room.uid, about, at, picture=picture)
