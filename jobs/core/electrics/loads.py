"""What a surveyed circuit draws, as far as it can be told from its kind; None where a person must say."""

from decimal import Decimal

from jobs.core.electrics.demand import Load, LoadKind, load_of
from jobs.core.electrics.rule_rows import value
from jobs.core.stages import CircuitKind

LOAD_KINDS = {
    CircuitKind.RING: LoadKind.SOCKETS,
    CircuitKind.RADIAL: LoadKind.SOCKETS,
    CircuitKind.LIGHTING: LoadKind.LIGHTING,
    CircuitKind.COOKER: LoadKind.COOKER,
    CircuitKind.SHOWER: LoadKind.SHOWER,
    CircuitKind.ALARMS: LoadKind.POWER,
}
"""Kind of load a circuit of a kind usually feeds; bonding feeds none."""


def load_for(
    kind: CircuitKind, name: str, *, watts: Decimal | None = None, device_amps: Decimal | None = None, lamps: int = 0,
    has_socket: bool = False, load_kind: LoadKind | None = None,
) -> Load | None:
    """The load of a circuit: as told in watts; else a socket circuit's device rating, or its lamps at 100 W each.

    `load_kind` where the circuit feeds something else than usual, such as a radial to an immersion heater. None for
    bonding, and where nothing is known.
    """
    fed = load_kind or LOAD_KINDS.get(kind)
    if fed is None:
        return None
    if watts is not None:
        return load_of(name, fed, watts, has_socket=has_socket)
    if fed == LoadKind.SOCKETS and device_amps is not None:
        return Load(name, fed, device_amps)
    if fed == LoadKind.LIGHTING and lamps:
        return load_of(name, fed, lamps * value("LAMP-WATTS"))
    return None
