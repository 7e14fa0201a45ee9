"""A house of two rooms on the grid, surveyed, whose ring and lights are routed."""

from decimal import Decimal

from jobs.actions.programme import make_programme
from jobs.core.stages import CircuitKind, JoistRun, RoomKind
from jobs.models import PointKind
from tests.factories import make_area, make_circuit, make_firm, make_job, make_office, make_point, make_room


class PlacedHouse:
    """Hall 2 × 4 m with the board and a light; lounge 4 × 4 m with three sockets, a light and its switch."""

    def __init__(self):
        self.firm = make_firm(with_catalogue=True)
        self.office = make_office(self.firm)
        self.job = make_job(self.firm, "Mill Lane")
        self.area = make_area(self.job)
        self.ring = make_circuit(self.job, "R1")
        self.lights = make_circuit(self.job, "L1", CircuitKind.LIGHTING, name="Lights")
        self.hall = self._room("Hall", RoomKind.HALL, 0, 2)
        self.lounge = self._room("Lounge", RoomKind.LOUNGE, 2, 4)
        self.add(self.hall, "consumer-unit")
        self.add(self.hall, "ceiling-light", self.lights)
        self.add(self.lounge, "double-socket", self.ring, 3)
        self.add(self.lounge, "switch-one-way", self.lights)
        self.add(self.lounge, "ceiling-light", self.lights)

    def _room(self, name, kind, x, length):
        return make_room(
            self.area, name, kind, grid_x_metres=Decimal(x), grid_y_metres=Decimal(0), length_metres=Decimal(length),
            width_metres=Decimal(4), joists=JoistRun.ALONG_X,
        )

    def add(self, room, code, circuit=None, count=1):
        kind = PointKind.objects.get(firm=self.firm, code=code)
        return [make_point(room, kind, circuit) for _ in range(count)]

    def make(self):
        make_programme(job=self.job, by=self.office)
        self.job.refresh_from_db()
