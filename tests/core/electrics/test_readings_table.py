import csv
import io

import pytest

from jobs.core.electrics.readings_table import SHORT_NAMES, heading_row, read_readings
from jobs.core.electrics.sockets import SocketMeasure
from jobs.core.electrics.supply_tests import SupplyMeasure
from jobs.core.electrics.under_test import Measure
from jobs.core.survey_file.opening import open_table
from jobs.core.survey_file.table import FileRefused


def found(text, references=("R1", "L1")):
    return read_readings(open_table(text.encode()), references, {"R1": ["Lounge, socket 1", "Hall, socket"]})


def test_readings_are_taken_as_written_when_every_cell_can_be_read():
    table = found("Circuit;r1;r2;R1+R2 (Ω);Zs;IR live-earth\nR1;0,44;0,73;0,29;LIM;>200\nl1;;;1,2;1,4;>999 MΩ\n")

    assert table.faults == ()
    assert [row.reference for row in table.rows] == ["R1", "L1"]
    assert table.rows[1].written == {Measure.R1_R2: "1,2", Measure.ZS: "1,4", Measure.IR_EARTH: ">999 MΩ"}


def test_ring_cpc_and_long_lead_differ_by_case():
    written = found("Circuit,r2,R2\nR1,0.73,0.30\n").rows[0].written

    assert written == {Measure.RING_R2: "0.73", Measure.R2: "0.30"}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Circuit,Zs\nR1,half\n", "Row 2, Zs: “half” is not a reading"),
        ("Circuit,Zs\nR9,0.5\n", "Row 2, Circuit: No circuit “R9” on this job. Its circuits: L1, R1."),
        ("Circuit,Zs\nR1,0.5\nr1,0.6\n", "Row 3, Circuit: “R1” also stands in row 2."),
        ("Circuit,Zs,Zs\nR1,0.5,0.6\n", "Row 1, Zs: This column stands twice."),
        ("Circuit,Ze\nR1,0.3\n", "Row 2, Ze: This column is for the supply"),
        ("Circuit,Zs\nSupply,0.3\n", "Row 2, Zs: This column is for circuits"),
        ("Circuit,L-N cross\nR1,0.2\n", "Row 2, L-N cross: This column is for sockets"),
        ("Circuit,Socket,L-N cross\nR1,Attic,0.2\n", "Row 2, Socket: No socket “Attic” on R1. Its sockets: Lounge, socket 1"),
        ("Circuit,Socket,L-N cross\nL1,Hall,0.2\n", "Row 2, Socket: No socket “Hall” on L1. Its sockets: none, as only a ring"),
        ("Circuit,Socket,L-N cross\nR1,\"Hall, socket\",\nr1,\"hall, socket\",1\n", "Row 3, Circuit: “R1, Hall, socket” also"),
        ("Circuit,Ze\nSupply,1e9\n", "Row 2, Ze: “1e9” is not a reading"),
        ("Circuit,Weather\nR1,wet\n", "Row 1, Weather: No such column."),
        ("Circuit,Zs\nR1,=1/2\n", "Row 2, Zs: Formulas are not read."),
    ],
)
def test_fault_names_row_and_column_when_something_is_wrong(text, says):
    faults = [str(fault) for fault in found(text).faults]

    assert len(faults) == 1
    assert faults[0].startswith(says)


def test_file_is_refused_when_its_first_row_names_no_circuit():
    with pytest.raises(FileRefused, match="must name the columns"):
        found("0.44,0.73\n0.45,0.74\n")


def test_short_row_and_empty_column_are_passed_over():
    table = found("Circuit,Zs,\nR1\n")

    assert (table.faults, dict(table.rows[0].written)) == ((), {})


def test_supply_and_sockets_have_rows_of_their_own():
    table = found('Circuit,Socket,L-N cross,Ze,PFC,Supply polarity\nsupply,,,"0,31",1.2,ok\nR1,"hall, SOCKET",0.22,,,\n')

    assert table.faults == ()
    assert table.rows[0].written == {SupplyMeasure.ZE: "0,31", SupplyMeasure.FAULT: "1.2", SupplyMeasure.POLARITY: "ok"}
    assert (table.rows[1].socket, dict(table.rows[1].written)) == ("Hall, socket", {SocketMeasure.CROSS_LIVE: "0.22"})


def test_empty_file_to_fill_in_is_read_back():
    out = io.StringIO()
    csv.writer(out).writerows([heading_row(), ["R1", "", *["N/A"] * len(SHORT_NAMES)]])

    table = found(out.getvalue())

    assert table.faults == ()
    assert set(table.rows[0].written) == set(SHORT_NAMES) == {*Measure, *SocketMeasure, *SupplyMeasure}
