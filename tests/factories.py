"""Small rows for tests: one firm, one house, named people. Plain functions; every argument has a sensible default."""

from datetime import UTC, date, datetime, timedelta
from itertools import count

from jobs.core import stages
from jobs.models import (
    Area,
    Circuit,
    Contact,
    Drum,
    Firm,
    Grade,
    Instrument,
    Item,
    Job,
    Location,
    Person,
    Plan,
    Point,
    PointKind,
    Role,
    Room,
    StockMove,
    Supplier,
    User,
    Visit,
    VisitKind,
    WorkPackage,
)

NOW = datetime(2027, 1, 12, 9, 30, tzinfo=UTC)
"""A Tuesday morning, the present of every test that needs one."""
TODAY = date(2027, 1, 12)
PASSWORD = "brown-blue-bare-copper"

_number = count(1)


def make_firm(name: str = "Hazel Lane Electrics", *, with_catalogue: bool = False, **fields: object) -> Firm:
    firm = Firm.objects.create(name=name, email="office@hazel-lane.example", phone="07700 900100", **fields)
    if with_catalogue:
        from jobs.actions.catalogue import load_catalogue

        load_catalogue(firm=firm)
    return firm


def make_office(firm: Firm, username: str = "") -> User:
    return User.objects.create_user(
        username or f"office{next(_number)}", password=PASSWORD, firm=firm, role=Role.OFFICE, first_name="Olwen"
    )


def make_person(firm: Firm, name: str = "", grade: str = Grade.ELECTRICIAN, **fields: object) -> Person:
    return Person.objects.create(firm=firm, name=name or f"Person {next(_number)}", grade=grade, **fields)


def make_crew_user(person: Person) -> User:
    user = User(username=f"crew{next(_number)}", firm_id=person.firm_id, role=Role.CREW, person=person)
    user.set_unusable_password()
    user.save()
    return user


def make_contact(firm: Firm, trade: str = stages.Trade.PLASTERER, name: str = "", **fields: object) -> Contact:
    fields.setdefault("email", f"trade{next(_number)}@trades.example")
    return Contact.objects.create(firm=firm, trade=trade, name=name or f"Contact {next(_number)}", **fields)


def make_job(firm: Firm, name: str = "", **fields: object) -> Job:
    return Job.objects.create(firm=firm, name=name or f"House {next(_number)}", **fields)


def make_area(job: Job, name: str = "Ground floor", **fields: object) -> Area:
    return Area.objects.create(firm_id=job.firm_id, job=job, name=name, **fields)


def make_room(area: Area, name: str = "", kind: str = stages.RoomKind.BEDROOM, **fields: object) -> Room:
    return Room.objects.create(
        firm_id=area.firm_id, job=area.job, area=area, name=name or f"Room {next(_number)}", kind=kind, **fields
    )


def make_circuit(job: Job, reference: str = "R1", kind: str = stages.CircuitKind.RING, **fields: object) -> Circuit:
    fields.setdefault("name", "Sockets")
    return Circuit.objects.create(firm_id=job.firm_id, job=job, reference=reference, kind=kind, **fields)


def make_instrument(firm: Firm, name: str = "Blue tester", **fields: object) -> Instrument:
    fields = {
        "serial": f"S{next(_number)}", "calibrated_on": TODAY - timedelta(days=100), "due_on": TODAY + timedelta(days=265),
    } | fields
    return Instrument.objects.create(firm=firm, name=name, **fields)


def make_point_kind(firm: Firm, code: str = "", **fields: object) -> PointKind:
    code = code or f"point-{next(_number)}"
    return PointKind.objects.create(firm=firm, code=code, name=fields.pop("name", code), **fields)


def make_point(room: Room, kind: PointKind, circuit: Circuit | None = None, **fields: object) -> Point:
    return Point.objects.create(
        firm_id=room.firm_id, job_id=room.job_id, room=room, kind=kind, circuit=circuit, **fields
    )


def make_package(area: Area, stage: str = stages.Stage.FIRST_FIX, labour_hours: float = 16, **fields: object) -> WorkPackage:
    return WorkPackage.objects.create(
        firm_id=area.firm_id, job=area.job, area=area, stage=stage, labour_hours=labour_hours, **fields
    )


def make_visit_kind(firm: Firm, code: str = "", trade: str = stages.Trade.PLASTERER, **fields: object) -> VisitKind:
    code = code or f"visit-{next(_number)}"
    fields.setdefault("length_days", 2)
    return VisitKind.objects.create(firm=firm, code=code, name=fields.pop("name", code), trade=trade, **fields)


def make_visit(job: Job, contact: Contact | None = None, kind: VisitKind | None = None, **fields: object) -> Visit:
    kind = kind or make_visit_kind(job.firm)
    fields.setdefault("length_days", kind.length_days)
    return Visit.objects.create(firm_id=job.firm_id, job=job, contact=contact, kind=kind, **fields)


def make_plan(firm: Firm, state: str = Plan.State.DRAFT, **fields: object) -> Plan:
    fields.setdefault("number", next(_number))
    fields.setdefault("made_at", NOW)
    if state != Plan.State.DRAFT:
        fields.setdefault("issued_at", NOW)
    return Plan.objects.create(firm=firm, state=state, **fields)


def make_item(firm: Firm, code: str = "", unit: str = Item.Unit.PIECE, **fields: object) -> Item:
    code = code or f"item-{next(_number)}"
    return Item.objects.create(firm=firm, code=code, name=fields.pop("name", code), unit=unit, **fields)


def make_supplier(firm: Firm, name: str = "", **fields: object) -> Supplier:
    return Supplier.objects.create(firm=firm, name=name or f"Wholesaler {next(_number)}", **fields)


def make_location(firm: Firm, kind: str = Location.Kind.UNIT, name: str = "", **fields: object) -> Location:
    return Location.objects.create(firm=firm, kind=kind, name=name or f"Place {next(_number)}", **fields)


def make_drum(item: Item, label: str = "", full_metres: float = 100) -> Drum:
    return Drum.objects.create(
        firm_id=item.firm_id, item=item, label=label or f"D{next(_number)}", full_metres=full_metres, made_at=NOW
    )


def make_move(item: Item, moved_from: Location, moved_to: Location, pieces: float = 1, **fields: object) -> StockMove:
    fields.setdefault("reason", StockMove.Reason.MOVE)
    fields.setdefault("made_at", NOW)
    return StockMove.objects.create(
        firm_id=item.firm_id, item=item, moved_from=moved_from, moved_to=moved_to, pieces=pieces, **fields
    )
