"""The rows of rules, by code; the rows of tables of cables are in `jobs.core.electrics.cables`.

Values that only unofficial pages repeat are marked as from memory.
"""

from decimal import Decimal

from jobs.core.electrics.rules import EARLIER_EDITION, FROM_MEMORY, NO_SOURCE, Mark, Rule

_WHITFIELD = "Whitfield, The Electrician's Guide to the 16th Edition"
_DIVERSITY = f"{_WHITFIELD}, Table 6.2; guidance, the designer decides"
_SCADDAN = "Scaddan, Electrical Installation Work, 5th edition, p. 272"
_LINSLEY = "Linsley, Basic Electrical Installation Work, p. 365"
_RCD_STANDARD = "BS EN 61008 and 61009"
_PRODUCT = "product standard, as cited in a building journal"
_SCHEME_NOTE = "a scheme body's note on the 18th edition, July 2018"
_NHBC = "NHBC Standards 2020, 8.1.7"
_WIRING_MATTERS = "IET Wiring Matters 91, July 2022"


def _of_regulations(
    code: str, text: str, value: str, unit: str, clause: str, mark: Mark = Mark.MEMORY, source: str = FROM_MEMORY
) -> Rule:
    return Rule(code, text, Decimal(value) if value else None, unit, EARLIER_EDITION, clause, mark, source)


def _of_practice(code: str, text: str, value: str, unit: str) -> Rule:
    return Rule(code, text, Decimal(value) if value else None, unit, "", "", Mark.PRACTICE, NO_SOURCE)


def _confirmed(code: str, text: str, value: str, unit: str, clause: str, source: str = "as cited in trade articles") -> Rule:
    return _of_regulations(code, text, value, unit, clause, Mark.CONFIRMED, source)


def _of_others(code: str, text: str, value: str, unit: str, edition: str, source: str, mark: Mark = Mark.CONFIRMED) -> Rule:
    return Rule(code, text, Decimal(value) if value else None, unit, edition, "", mark, source)


_ROWS = (
    # supply and faults
    _of_regulations("U0", "Nominal voltage to earth", "230", "V", "Appendix 2"),
    _confirmed("CMIN", "Lowest voltage factor", "0.95", "", "411.4.4"),
    _of_regulations("TRIP-B", "Type B breaker trips at once at this many times its rating", "5", "× In", "Table 41.3"),
    _of_regulations("TRIP-C", "Type C breaker trips at once at this many times its rating", "10", "× In", "Table 41.3"),
    _confirmed("COLD", "Readings taken cold are compared with this part of the greatest Zs", "0.8", "", "Appendix 3"),
    _confirmed("FINAL-FIXED", "Those times hold for final circuits of fixed equipment up to", "32", "A", "411.3.2.2",
               _SCHEME_NOTE),
    _confirmed("FINAL-SOCKETS", "Those times hold for final circuits with socket-outlets up to", "63", "A", "411.3.2.2",
               _SCHEME_NOTE),
    _of_regulations("TIME-FINAL", "Disconnection time, final circuits, TN", "0.4", "s", "Table 41.1"),
    _of_regulations("TIME-OTHER", "Disconnection time, other circuits, TN", "5", "s", "411.3.2.3"),
    _of_regulations("TIME-TT", "Disconnection time, final circuits, TT", "0.2", "s", "Table 41.1"),
    _of_regulations("TIME-TT-OTHER", "Disconnection time, other circuits, TT", "1", "s", "411.3.2.4"),
    _of_regulations("TT-TOUCH", "Zs × rated residual current at most, TT", "50", "V", "411.5.3"),
    _of_regulations("TT-STABLE", "An earth electrode above this may not be stable", "200", "Ω", "Table 41.5, note"),
    _of_regulations("K-CPC", "k of a copper protective conductor within a 70 °C cable", "115", "", "Table 54.3"),
    _of_regulations("TRIP-TIME", "Longest time of a breaker that trips at once", "0.1", "s", "Appendix 3"),
    _of_others(
        "R-70", "Resistance at 70 °C against 20 °C", "1.20", "", "", "worked out from the factor 0.833 of IEC 60228", Mark.DERIVED
    ),
    _of_others("ZE-tn_c_s", "Ze a network operator usually declares at most, TN-C-S", "0.35", "Ω", "", FROM_MEMORY, Mark.MEMORY),
    _of_others("ZE-tn_s", "Ze a network operator usually declares at most, TN-S", "0.80", "Ω", "", FROM_MEMORY, Mark.MEMORY),
    _of_regulations("ZE-tt", "An earth electrode above this may not be stable", "200", "Ω", "Table 41.5, note"),
    _of_practice("PFC", "Breaking capacity of a household breaker, unless marked higher", "6", "kA"),
    _of_others("PFC-SUPPLY", "Fault current a network operator declares at most for a house", "16", "kA",
               "ENA Engineering Recommendation P25", FROM_MEMORY, Mark.MEMORY),
    _of_regulations("SUPPLY-POLARITY", "Polarity of the supply is verified before energising", "", "", "643.6"),
    # load and capacity
    _of_regulations("COORDINATION", "Design current ≤ device rating ≤ capacity as installed", "", "", "433.1.1"),
    _of_regulations("IGNORE-LIGHT-LOAD", "A cable at or under this part of its grouped rating counts for nothing", "30", "%",
                    "Appendix 4, Table 4C1, note"),
    _confirmed("VD-LIGHTING", "Voltage drop, lighting, origin to load", "3", "%", "Appendix 4, 6.4"),
    _confirmed("VD-OTHER", "Voltage drop, other uses, origin to load", "5", "%", "Appendix 4, 6.4"),
    _of_regulations("VD-CT", "Correction of voltage drop for the conductor's temperature", "", "", "Appendix 4, 6.1"),
    _of_regulations("TP", "Conductor temperature the ratings are for", "70", "°C", "Table 4D5"),
    _of_regulations("T-REFERENCE", "Ambient temperature the ratings are for", "30", "°C", "Table 4B1"),
    _of_practice("RING-LOAD", "Design load of a 32 A socket circuit for its voltage drop", "26", "A"),
    _of_practice("RING-LEG", "Share of that load in one leg of a ring", "13", "A"),
    # rings and radials
    _of_regulations("RING-IN", "Greatest device of a ring final circuit", "32", "A", "433.1.204"),
    _of_regulations("RING-IN-30", "The other usual device of a ring final circuit", "30", "A", "433.1.204"),
    _of_regulations("RING-LIVE", "Smallest live conductor of a ring", "2.5", "mm²", "433.1.204"),
    _of_regulations("RING-IZ", "Least capacity of a ring's cable as installed", "20", "A", "433.1.204"),
    _of_regulations("RING-AREA", "Floor area served by one ring", "100", "m²", "Appendix 15"),
    _confirmed("RING-SPURS", "Unfused spurs at most as many as points on the ring", "", "", "Appendix 15", _SCADDAN),
    _confirmed("SPUR-FEEDS", "An unfused spur feeds one single, one twin or one fixed appliance", "1", "point", "Appendix 15",
               _SCADDAN),
    _of_others("AREA-32-OLD", "Floor area, 4 mm² radial at 32 A, older table", "50", "m²", "", _SCADDAN),
    _of_regulations("AREA-32", "Floor area, 4 mm² radial at 32 A, later table", "75", "m²", "Appendix 15"),
    _of_others("AREA-20-OLD", "Floor area, 2.5 mm² radial at 20 A, older table", "20", "m²", "", _SCADDAN),
    _of_regulations("AREA-20", "Floor area, 2.5 mm² radial at 20 A, later table", "50", "m²", "Appendix 15"),
    # RCDs
    _confirmed("RCD-SOCKETS", "Socket-outlets up to 32 A: RCD of at most", "30", "mA", "411.3.3", _SCHEME_NOTE),
    _confirmed("RCD-LIGHTING", "Lighting circuits of a dwelling: RCD of at most", "30", "mA", "411.3.4", _SCHEME_NOTE),
    _of_regulations("RCD-CONCEALED", "Cable less than 50 mm deep without earthed metal: RCD of at most", "30", "mA", "522.6.202"),
    _of_regulations("RCD-BATHROOM", "Circuits of a room with bath or shower: RCD of at most", "30", "mA", "701.411.3.3"),
    _confirmed("RCD-TYPE", "Type AC only for fixed loads known to have no direct current", "", "", "531.3.3", _WIRING_MATTERS),
    _of_others("RCD-TIME", "General RCD trips at its rated residual current within", "300", "ms", _RCD_STANDARD, _PRODUCT),
    _of_others("RCD-TIME-5", "RCD trips at five times that current within (older test, now optional)", "40", "ms",
               _RCD_STANDARD, _PRODUCT),
    _of_others("RCD-S-LEAST", "Type S waits at least", "130", "ms", _RCD_STANDARD, _PRODUCT),
    _of_others("RCD-S-MOST", "Type S trips within", "500", "ms", _RCD_STANDARD, _PRODUCT),
    _of_others("RCD-HALF", "No trip at half the rated residual current", "0.5", "× I∆n", _RCD_STANDARD, _PRODUCT),
    _confirmed("RCD-ONE-TEST", "One a.c. test at the rated residual current is required, others are optional", "", "", "643.8",
               _WIRING_MATTERS),
    # tests
    _confirmed("IR-500", "Insulation resistance, tested at 500 V d.c.", "1.0", "MΩ", "Table 64"),
    _confirmed("IR-250", "Insulation resistance at 250 V d.c., lives joined, equipment connected", "1.0", "MΩ", "643.3"),
    _of_practice("IR-LOOK", "New wiring below this is looked into", "2", "MΩ"),
    _of_practice("IR-NEW", "New wiring usually reads more than", "200", "MΩ"),
    _of_others("RING-ENDS", "r1 and rn differ by at most", "0.05", "Ω", "", _LINSLEY),
    _of_others("RING-RATIO-LOW", "r2 ÷ r1 of a 2.5/1.5 ring, at least", "1.55", "", "", "worked out from 12.1 ÷ 7.41 = 1.633",
               Mark.DERIVED),
    _of_others("RING-RATIO-HIGH", "r2 ÷ r1 of a 2.5/1.5 ring, at most", "1.75", "", "", "worked out from 12.1 ÷ 7.41 = 1.633",
               Mark.DERIVED),
    _of_others("RING-CROSS", "Cross-connected ring reads near a quarter of the sum of its two loops", "4", "÷", "", _LINSLEY),
    _of_practice("RING-SPREAD", "Readings along a cross-connected ring stay within this of each other and of what is worked out",
                 "0.05", "Ω"),
    _of_practice("EXPECTED-SPREAD", "A reading further than this from what its length gives is looked into", "30", "%"),
    _of_practice("EXPECTED-FLOOR", "Leads, contacts and rounding explain up to", "0.05", "Ω"),
    _of_regulations("POLARITY", "Every switch and device in the line conductor, every outlet right", "", "", "643.6"),
    _of_regulations("CONTINUITY", "Every protective conductor is continuous", "", "", "643.2"),
    _of_regulations("FUNCTIONAL", "Switchgear, controls and RCD test buttons work", "", "", "643.10"),
    _of_others("ALARMS", "All alarms sound together when one is tested", "", "", "BS 5839-6:2019+A1:2020", FROM_MEMORY,
               Mark.MEMORY),
    # demand
    _of_others("DIV-LIGHTING", "Lighting, share of the connected load", "66", "%", "", _DIVERSITY),
    _of_others("DIV-POWER-FULL", "Heating and power: in full up to", "10", "A", "", _DIVERSITY),
    _of_others("DIV-POWER-REST", "Heating and power: share of the rest", "50", "%", "", _DIVERSITY),
    _of_others("DIV-COOKER-FULL", "Cooker: in full up to", "10", "A", "", _DIVERSITY),
    _of_others("DIV-COOKER-REST", "Cooker: share of the rest", "30", "%", "", _DIVERSITY),
    _of_others("DIV-COOKER-SOCKET", "Cooker: for a socket on its switch", "5", "A", "", _DIVERSITY),
    _of_others("DIV-SHOWER-FULL", "Instantaneous water heaters counted in full", "2", "largest", "", _DIVERSITY),
    _of_others("DIV-SHOWER-REST", "Instantaneous water heaters: share of the rest", "25", "%", "", _DIVERSITY),
    _of_others("DIV-FULL", "Thermostatic water, storage and floor heating", "100", "%", "", _DIVERSITY),
    _of_others("DIV-CIRCUIT-REST", "Standard circuits: largest in full, share of the others", "40", "%", "", _DIVERSITY),
    _of_others("LAMP-WATTS", "Each lampholder, unless its lamp is known, at least", "100", "W", "IET On-Site Guide", FROM_MEMORY,
               Mark.MEMORY),
    _of_practice("DIV-CHARGER", "Charger of a vehicle, unless its control limits it", "100", "%"),
    _of_practice("SPARE-LEAST", "Spare ways of a consumer unit, at least", "10", "%"),
    _of_practice("SPARE-WANTED", "Spare ways of a consumer unit, wanted", "20", "%"),
    _of_practice("BOARD-ORDER", "Highest rated devices nearest the main switch", "", ""),
    _of_regulations("RCD-NOTICE", "Notice at the board: press the RCD's test button every six months", "6", "months", "514.12.2"),
    # counted until somebody says otherwise
    _of_practice("ASSUMED-FUSE", "Supply fuse counted until its carrier is read", "60", "A"),
    _of_practice("ASSUMED-COOKER", "Cooker counted until its power is told", "12000", "W"),
    _of_practice("ASSUMED-ALARMS", "Mains alarms of a house counted together until their power is told", "50", "W"),
    # bonding
    _of_regulations("BOND-MAIN", "Main bonding, PME, supply neutral up to 35 mm²", "10", "mm²", "Table 54.8"),
    _of_regulations("EARTH-MAIN", "Earthing conductor with 25 mm² tails", "16", "mm²", "Table 54.7"),
    _of_regulations("BOND-SUPPLEMENTARY", "Supplementary bonding without mechanical protection", "4", "mm²", "544.2"),
    _of_practice("BOND-READS", "A bonding conductor usually reads at most", "0.05", "Ω"),
    # zones
    _of_regulations("ZONE-EDGE", "Cable zone along the top of a wall and along an angle of two walls", "150", "mm", "522.6.202"),
    _confirmed("ZONE-POINT", "Cable zone straight up, down and across from a point one can see", "", "", "522.6.202", _NHBC),
    _confirmed("ZONE-DEPTH", "Cables less deep than this need a zone", "50", "mm", "522.6.202", _NHBC),
    _of_regulations("ZONE-REVERSE", "The zone counts on the other side of a wall up to this thick", "100", "mm", "522.6.202"),
    _confirmed("JOIST-DEPTH", "Cable across a joist from its top or bottom, else mechanical protection", "50", "mm",
               "522.6.201", _NHBC),
    _of_regulations("BATH-HEIGHT", "Zones 1 and 2 reach up to, or to the highest fixed outlet if higher", "2250", "mm",
                    "Section 701"),
    _of_regulations("BATH-RADIUS", "Zone 1 where there is no tray, from the outlet", "1200", "mm", "Section 701"),
    _of_regulations("BATH-FLOOR", "Zone 0 where there is no tray, above the floor", "100", "mm", "Section 701"),
    _of_regulations("BATH-ZONE-2", "Zone 2 beyond zone 1", "600", "mm", "Section 701"),
    _of_regulations("BATH-IP-0", "Equipment in zone 0: SELV at most 12 V, IPX7", "12", "V", "701.512.2"),
    _of_regulations("BATH-IP-1", "Equipment in zone 1: IPX4, fixed and suitable for the zone", "", "", "701.512.2"),
    _of_regulations("BATH-IP-2", "Equipment in zone 2: IPX4, fixed and suitable for the zone", "", "", "701.512.2"),
    _of_regulations("BATH-SOCKET", "13 A sockets from the edge of zone 1, later figure", "2500", "mm", "701.512.3"),
    _of_regulations("BATH-SOCKET-OLD", "13 A sockets from the edge of zone 1, older figure", "3000", "mm", "701.512.3"),
    # fixing and chases
    _of_regulations("FIRE-SUPPORT", "Where exposed, plastic clips alone do not hold cables: none falls early in a fire", "",
                    "", "521.10.202"),
    _of_others("CHASE-VERTICAL", "Vertical chase, share of the leaf", "3", "÷", "", "trade articles on masonry chases"),
    _of_others("CHASE-HORIZONTAL", "Horizontal chase, share of the leaf", "6", "÷", "", "trade articles on masonry chases"),
)

RULES = {row.code: row for row in _ROWS}


def rule(code: str) -> Rule:
    """The row of a code. KeyError for a code that is none."""
    return RULES[code]


def value(code: str) -> Decimal:
    """The figure of a row, in the row's unit. ValueError where the rule is words."""
    found = RULES[code].value
    if found is None:
        raise ValueError(f"Rule {code} has no figure.")
    return found
