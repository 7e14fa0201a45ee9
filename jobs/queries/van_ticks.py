"""What was ticked off on van lists."""

import uuid
from collections import Counter, defaultdict
from datetime import date

from jobs.models import Firm, VanTick

AT_ONCE = 5
Key = tuple[int, int, int, int | None]


class Ticks:
    """A day's ticks. `standing`: person → ticks not taken back, the oldest first, each with its line's `later_ids`."""

    def __init__(self, firm: Firm, on: date) -> None:
        related = ("item", "drum", "place", "person", "made_by__person", "taken_back")
        rows = list(VanTick.objects.filter(firm=firm, on=on, takes_back=None).select_related(*related))
        self.on = on
        self.counts: Counter[Key] = Counter((row.person_id, row.item_id, row.place_id, row.drum_id) for row in rows)
        self.standing: dict[int, list[VanTick]] = defaultdict(list)
        for row in rows:
            if getattr(row, "taken_back", None) is None:
                row.later_ids = self.next_ids(row.person_id, row.item_id, row.place_id, row.drum_id)
                self.standing[row.person_id].append(row)

    def next_ids(self, person: int, item: int, place: int, drum: int | None = None) -> list[uuid.UUID]:
        """The ids of a line's next ticks: the same for everybody who looks at the list now, so that two people who tick
        the same line put it on once. More than one, for a phone that takes off and puts on again without signal."""
        key = (person, item, place, drum)
        numbers = range(self.counts[key], self.counts[key] + AT_ONCE)
        return [uuid.uuid5(uuid.NAMESPACE_OID, f"van:{self.on}:{key}:{number}") for number in numbers]
