"""What was done before the demo's today: other trades' visits, and what the crew ticked and recorded."""

from collections.abc import Iterator
from itertools import cycle

from jobs.actions.visits import agree_visit, finish_visit
from jobs.management.demo.readings import buy_instruments, dead_test, read_sockets, read_supply
from jobs.management.demo.records import Ticked, measure_ceilings, note_snags, say_hours, send, take_photos
from jobs.management.demo.story import Story
from jobs.models import Job, Role, RoomTask, User, Visit


def work_so_far(story: Story) -> None:
    _agree_dates(story)
    buy_instruments(story)
    for name, done in story.tale["done"].items():
        job = Job.objects.get(firm=story.firm, name=name)
        _hold_visits(story, job, done)
        for work in done["work"]:
            say_hours(story, _tick(story, job, work))
        _record(story, job, done["recorded"])


def _record(story: Story, job: Job, recorded: dict) -> None:
    """What the crew noted beside their ticks."""
    users = _electricians(story)
    if "centres_days_ago" in recorded:
        measure_ceilings(story, job, users[0], recorded["centres_days_ago"])
    if dead_tests := recorded.get("dead_tests"):
        dead_test(story, job, _crew_user(story, dead_tests["by"]), dead_tests)
    for name, read in (("sockets", read_sockets), ("supply", read_supply)):
        if name in recorded:
            read(story, job, _crew_user(story, recorded[name]["by"]), recorded[name])
    for row in recorded["photos"]:
        take_photos(story, job, users[0], row)
    for row in recorded["snags"]:
        note_snags(story, job, users[-1], row)


def _agree_dates(story: Story) -> None:
    """What was settled by phone for the days to come."""
    for name, agreed in story.tale["agreed"].items():
        for row in agreed:
            visit = Visit.objects.get(job__name=name, firm=story.firm, kind__code=row["kind"])
            starts_on = story.days.ahead(row["in_working_days"])
            agree_visit(visit=visit, starts_on=starts_on, starts_half=row["half"], by=story.office, now=story.now)


def _hold_visits(story: Story, job: Job, done: dict) -> None:
    held = [(Visit.objects.filter(job=job, kind__code=code), days) for code, days in done["visits"].items()]
    plastered = Visit.objects.filter(job=job, kind__code="plasterer")
    held += [(plastered.filter(area__name=area), days) for area, days in done["plastered"].items()]
    for visits, days_ago in held:
        for visit in visits:
            finish_visit(visit=visit, started_on=story.days.ago(days_ago), by=story.office, now=story.now)


def _tick(story: Story, job: Job, work: dict) -> list[Ticked]:
    lines = list(_lines_done(job, work["stage"], work["areas"]))
    days = list(story.days.between(story.days.ago(work["from_days_ago"]), story.days.ago(work["to_days_ago"])))
    users, ticked = cycle(_electricians(story)), []
    for number, line in enumerate(lines):
        user, on = next(users), days[number * len(days) // len(lines)]
        send(user, "tick", line.uid, {"share": 1, "replaces": []}, story.days.at(on, 9 + number % 7, number % 60))
        ticked.append((line, user, on))
    return ticked


def _lines_done(job: Job, stage: str, areas: dict[str, float]) -> Iterator[RoomTask]:
    """The first share of the lines of each area that was worked, in the order people work."""
    for package in job.packages.filter(stage=stage).select_related("area").order_by("area__position"):
        share = areas.get(package.area.name, areas.get("*", 0))
        lines = package.tasks.filter(is_withdrawn=False).select_related("package")
        lines = list(lines.order_by("room__position", "room_id", "position"))
        yield from lines[: round(len(lines) * share)]


def _electricians(story: Story) -> list[User]:
    """The crew who tick, each with the sign-in that a phone of theirs has."""
    people = [row["name"] for row in story.tale["people"] if row["grade"] == "electrician"]
    return [_crew_user(story, name) for name in people]


def _crew_user(story: Story, name: str) -> User:
    person = story.person(name)
    user, is_new = User.objects.get_or_create(
        person=person, defaults={"username": f"crew-{person.pk}", "firm": story.firm, "role": Role.CREW}
    )
    if is_new:
        user.set_unusable_password()
        user.save()
    return user
