"""A small store for tests: one firm with a unit, a van, a site, a box of pieces and a cable."""

from dataclasses import dataclass
from decimal import Decimal
from uuid import uuid4

from jobs.actions import drums, stock
from jobs.actions.drums import NewDrum
from jobs.actions.locations import ensure_locations, firm_place, job_place, van_of
from jobs.models import Drum, Firm, Item, Job, Location, Person, StockMove, Supplier, User
from jobs.queries.balances import load_balances
from tests.factories import NOW, make_firm, make_item, make_job, make_office, make_person, make_supplier


@dataclass
class Store:
    firm: Firm
    office: User
    person: Person
    job: Job
    supplier: Supplier
    box: Item
    cable: Item
    unit: Location
    van: Location
    site: Location
    fitted: Location

    def receive(self, pieces: object = 10, to: Location | None = None, item: Item | None = None) -> list[StockMove]:
        return stock.receive(
            item=item or self.box, pieces=Decimal(pieces), to=to or self.unit, op_id=uuid4(), by=self.office, at=NOW
        )

    def receive_drum(self, label: str = "D1", metres: object = 100, to: Location | None = None) -> Drum:
        new = [NewDrum(label, Decimal(metres))]
        drums.receive_drums(item=self.cable, drums=new, to=to or self.unit, op_id=uuid4(), by=self.office, at=NOW)
        return Drum.objects.get(firm=self.firm, label=label)

    def held(self, place: Location, item: Item | None = None) -> Decimal:
        item = item or self.box
        return load_balances(self.firm, [item.pk]).at(item.pk, place.pk)


def make_store(name: str = "Hazel Lane Electrics") -> Store:
    firm = make_firm(name)
    office, person, job = make_office(firm), make_person(firm, "Ada Wren"), make_job(firm, "Mill Lane")
    supplier = make_supplier(firm, "Wholesaler")
    ensure_locations(firm=firm)
    return Store(
        firm=firm, office=office, person=person, job=job, supplier=supplier,
        box=make_item(firm, "back-box", name="Back box", pack_size=10, supplier=supplier),
        cable=make_item(firm, "cable", Item.Unit.METRE, name="Cable 2.5", pack_size=100, supplier=supplier),
        unit=firm_place(firm, Location.Kind.UNIT), van=van_of(person),
        site=job_place(job, Location.Kind.SITE), fitted=job_place(job, Location.Kind.FITTED),
    )
