"""Rows of plans for tests: bookings, spans, told dates, a small firm with work to plan."""

from datetime import date, datetime, timedelta

from jobs.core.stages import Half
from jobs.models import Booking, Job, Notice, Person, Plan, Span, ToldDate, Visit, WorkPackage
from tests.factories import NOW, make_area, make_contact, make_firm, make_job, make_package, make_person, make_visit


def book(
    plan: Plan, person: Person, package: WorkPackage, on: date, half: str = Half.MORNING, hours: float = 4, **fields: object
) -> Booking:
    return Booking.objects.create(
        firm_id=plan.firm_id, plan=plan, person=person, package=package, on=on, half=half, hours=hours, **fields
    )


def span(plan: Plan, activity: WorkPackage | Visit, on: date, ends_on: date | None = None, **fields: object) -> Span:
    of = {"package": activity} if isinstance(activity, WorkPackage) else {"visit": activity}
    fields = {"starts_half": Half.MORNING, "ends_half": Half.AFTERNOON} | fields
    return Span.objects.create(firm_id=plan.firm_id, plan=plan, **of, starts_on=on, ends_on=ends_on or on, **fields)


def tell(visit: Visit, on: date, at: datetime = NOW) -> ToldDate:
    """Write that the visit's contact was told it is on a day."""
    if visit.contact is None:
        visit.contact = make_contact(visit.job.firm)
        visit.save()
    count = Notice.objects.count()
    notice = Notice.objects.create(
        firm_id=visit.firm_id, contact=visit.contact, kind="new", subject="Dates", message_id=f"<{count}@x>", made_at=at
    )
    return ToldDate.objects.create(
        firm_id=visit.firm_id, notice=notice, visit=visit, starts_on=on, starts_half="am", ends_on=on, ends_half="pm",
        told_at=at + timedelta(seconds=count),
    )


def make_working_firm() -> Job:
    """A booked house with a first fix, a plasterer and a second fix; an electrician and an apprentice."""
    firm = make_firm()
    make_person(firm, "Edda Marsh", may_test=True)
    make_person(firm, "Tom Reed", "apprentice", needs_supervision=True, productivity="0.50")
    job = make_job(firm, "Mill Lane", state=Job.State.BOOKED)
    area = make_area(job, "Upstairs")
    make_package(area, "first_fix", 16)
    make_visit(job, make_contact(firm, name="Petra Lund"), area=area)
    make_package(area, "second_fix", 8)
    return job
