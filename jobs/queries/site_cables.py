"""The cable list as the crew reads it: each run with its cable, its metres and the drum it is cut from."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.core.cut_list import Kind, Length, Run
from jobs.models import Item
from jobs.queries.cut_sheets import Sheet


@dataclass(frozen=True)
class CableLine:
    """A run to pull. `length`: what it is cut from; None when no drum is long enough."""

    run: Run
    cable: Item
    length: Length | None

    @property
    def is_on_a_drum_there_is(self) -> bool:
        return self.length is not None and self.length.kind != Kind.NEW


def list_cables(sheets: Iterable[Sheet]) -> list[CableLine]:
    """Every run of the cut lists, by reference."""
    lines = [line for sheet in sheets for line in _lines(sheet)]
    return sorted(lines, key=lambda line: (line.run.reference, line.cable.name))


def _lines(sheet: Sheet) -> Iterable[CableLine]:
    for cut in sheet.cut_list.cuts:
        yield from (CableLine(run, sheet.item, cut.length) for run in cut.runs)
    yield from (CableLine(run, sheet.item, None) for run in sheet.cut_list.uncut)
