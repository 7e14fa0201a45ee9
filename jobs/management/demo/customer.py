"""What one customer sees and is asked, deadlines already met, and a college timetable read in."""

import uuid

from jobs.actions.absence_sources import accept_source, keep_source
from jobs.actions.customer import answer_as_customer, choose_photos
from jobs.actions.deadlines import mark_deadline
from jobs.actions.handover import ask_for_pdf, edit_handover
from jobs.actions.links import make_link
from jobs.actions.variations import report_point
from jobs.management.demo.story import FOLDER, Story
from jobs.models import Job, Photo, Room, SecretLink, User


def read_calendars(story: Story) -> None:
    for row in story.tale["calendars"]:
        source = keep_source(
            person=story.person(row["person"]), name=row["name"], kind=row["kind"], raw=(FOLDER / row["file"]).read_bytes(),
            by=story.office, now=story.now,
        )
        accept_source(source=source, by=story.office, now=story.now)


def meet_deadlines(story: Story) -> None:
    for name, kinds in story.tale["deadlines_met"].items():
        for kind in kinds:
            job = Job.objects.get(firm=story.firm, name=name)
            mark_deadline(job=job, kind=kind, is_done=True, by=story.office, now=story.now)


def hand_over(story: Story) -> None:
    """The pack of a house so far, shown to the customer; its PDF is made as soon as the program runs."""
    details = dict(story.tale["handover"])
    job = Job.objects.get(firm=story.firm, name=details.pop("job"))
    edit_handover(job=job, details=details, by=story.office)
    ask_for_pdf(job=job, by=story.office, now=story.now)


def show_customer(story: Story) -> None:
    """Points found, one of them agreed already; photos chosen; the page and the calendar switched on."""
    shown = story.tale["shown_customer"]
    job = Job.objects.get(firm=story.firm, name=shown["job"])
    link, _ = make_link(purpose=SecretLink.Purpose.CUSTOMER_PAGE, job=job, by=story.office, now=story.now)
    make_link(purpose=SecretLink.Purpose.CUSTOMER_FEED, job=job, by=story.office, now=story.now)
    finder = User.objects.get(person=story.person(story.tale["crew_phone"]))
    for row in shown["found"]:
        details = {"point_kind": row["kind"], "circuit": "", "quantity": row["quantity"], "label": row["label"],
                   "height_mm": None, "words": row["words"]}
        room = Room.objects.get(job=job, name=row["room"])
        at = story.days.at(story.days.ago(row["days_ago"]), 10, 20)
        found = report_point(room=room, details=details, uid=uuid.uuid4(), by=finder, at=at)
        if row["is_agreed"]:
            answer_as_customer(variation=found, link=link, is_agreed=True, now=story.now)
    photos = Photo.objects.filter(room__job=job, room__name__in=shown["photos_of"]).values_list("pk", flat=True)
    choose_photos(job=job, photos=set(photos), by=story.office)
