"""Small survey files for tests."""

from jobs.core.survey_file import PointOption, Reading, read_survey

KINDS = (
    PointOption("double-socket", "Double socket", "ring"),
    PointOption("ceiling-light", "Ceiling light", "lighting"),
    PointOption("tv-plate", "TV plate", ""),
)
HEADING = "area,level,room,room kind,point,quantity,circuit,circuit kind"


def read_lines(*lines: str, heading: str = HEADING) -> Reading:
    return read_survey("\n".join((heading, *lines)).encode(), point_kinds=KINDS)


def faults_of(*lines: str, heading: str = HEADING) -> list[tuple[int, str, str]]:
    return [(fault.row, fault.column, fault.value) for fault in read_lines(*lines, heading=heading).faults]
