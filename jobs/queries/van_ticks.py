"""What was ticked off on van lists."""

import uuid
from collections import Counter, defaultdict
from datetime import date

from jobs.models import Firm, VanTick

Key = tuple[int, int, int, int | None]


class Ticks:
    """A day's ticks. `standing`: person → ticks not taken back, the oldest first."""

    def __init__(self, firm: Firm, on: date) -> None:
        related = ("item", "drum", "place", "person", "made_by__person", "taken_back")
        rows = list(VanTick.objects.filter(firm=firm, on=on, takes_back=None).select_related(*related))
        self.on = on
        self.counts: Counter[Key] = Counter((row.person_id, row.item_id, row.place_id, row.drum_id) for row in rows)
        self.standing: dict[int, list[VanTick]] = defaultdict(list)
        for row in rows:
            if getattr(row, "taken_back", None) is None:
                self.standing[row.person_id].append(row)

    def next_id(self, person: int, item: int, place: int, drum: int | None = None) -> uuid.UUID:
        """The id of the next tick of a line: the same for everybody who looks at the list now, so that two people who
        tick the same line put it on once."""
        key = (person, item, place, drum)
        return uuid.uuid5(uuid.NAMESPACE_OID, f"van:{self.on}:{key}:{self.counts[key]}")
