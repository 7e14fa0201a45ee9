"""A surveyed circuit as its checks need it: what was told counts, the rest is assumed, and every assumption is a sentence.

Assumptions lean to the side that passes less easily. A competent person puts them right; nothing here is a design.
"""

from dataclasses import dataclass, replace
from decimal import Decimal

from jobs.core.electrics.cables import Method, find_cable
from jobs.core.electrics.circuit import Circuit, Curve, Device, Earthing, Part, RcdType, Supply
from jobs.core.electrics.circuit_checks import what_if
from jobs.core.electrics.demand import Load, LoadKind, design_current, load_of
from jobs.core.electrics.devices import read_device
from jobs.core.electrics.loads import LOAD_KINDS, load_for
from jobs.core.electrics.rule_rows import value
from jobs.core.figures import plain
from jobs.core.stages import CircuitKind, WallKind, Worded

CHANGE = "change it if it is another"


@dataclass(frozen=True)
class Surveyed:
    """A circuit as surveyed. `metres` is what counts for it (a ring: its loop); of these `wall_metres` lie in walls, None
    where the route is not known. `is_under_roof`: above the ceiling of the highest storey."""

    reference: str
    name: str
    kind: CircuitKind
    live_mm2: Decimal | None
    device_words: str
    rating_amps: Decimal | None
    metres: Decimal
    wall_metres: Decimal | None = None
    wall: WallKind = WallKind.MASONRY
    is_under_roof: bool = False
    points: int = 0
    lamps: int = 0
    has_sockets: bool = False
    is_in_bathroom: bool = False
    floor_area_m2: Decimal | None = None


@dataclass(frozen=True)
class ToldPart:
    """A length by one method; `metres` None takes the rest of the route."""

    metres: Decimal | None
    method: Method
    grouped: int = 1
    is_side_by_side: bool = False
    surrounded_mm: int = 0
    ambient_c: int = 30

    def lay(self, metres: Decimal) -> Part:
        """The part with this length of its route. ValueError for a negative length, or outside the tables of factors."""
        return Part(metres, self.method, self.grouped, self.is_side_by_side, self.surrounded_mm, self.ambient_c)


@dataclass(frozen=True)
class Told:
    """What the designer said; None or empty is not said. `rcd_milliamps` 0: no RCD."""

    curve: Curve | None = None
    rcd_milliamps: int | None = None
    rcd_type: RcdType | None = None
    load_kind: LoadKind | None = None
    load_watts: Decimal | None = None
    has_cooker_socket: bool = False
    spurs: int | None = None
    longest_spur_metres: Decimal | None = None
    floor_area_m2: Decimal | None = None
    is_deep_or_covered: bool = False
    parts: tuple[ToldPart, ...] = ()


@dataclass(frozen=True)
class Assembled:
    """The circuit to judge, its load (None where it feeds none), and a sentence for each thing assumed."""

    circuit: Circuit
    load: Load | None
    assumed: tuple[str, ...]


class ZeFrom(Worded):
    """Where the Ze that checks reckon with comes from."""

    MEASURED = "measured", "measured"
    TOLD = "told", "as told, not measured"
    ASSUMED = "assumed", "assumed"


@dataclass(frozen=True)
class AssembledSupply:
    """The supply to judge by, a sentence for each thing assumed of it, and where its Ze in ohms comes from."""

    supply: Supply
    assumed: tuple[str, ...]
    ze_from: ZeFrom = ZeFrom.ASSUMED


def assemble(surveyed: Surveyed, told: Told) -> Assembled:
    """The circuit its checks need, of what was surveyed and told. ValueError for what cannot be, such as a negative length."""
    device, of_device = _device(surveyed, told)
    load, of_load = _load(surveyed, told, device)
    parts, of_parts = _parts(surveyed, told)
    spurs, of_spurs = _spurs(surveyed, told)
    circuit = Circuit(
        surveyed.reference, surveyed.name, surveyed.kind, find_cable(surveyed.live_mm2), parts, device,
        design_amps=design_current(load).demand_amps if load else None, points=max(surveyed.points - spurs, 0), spurs=spurs,
        longest_spur_metres=told.longest_spur_metres or Decimal(0),
        floor_area_m2=told.floor_area_m2 or surveyed.floor_area_m2, has_sockets=surveyed.has_sockets,
        is_in_bathroom=surveyed.is_in_bathroom, is_shallow=not told.is_deep_or_covered,
    )
    return Assembled(circuit, load, (*of_device, *of_load, *of_parts, *of_spurs))


@dataclass(frozen=True)
class WhatIf:
    """What is tried on a circuit; None leaves as it is."""

    method: Method | None = None
    metres: Decimal | None = None
    curve: Curve | None = None
    rating_amps: Decimal | None = None
    live_mm2: Decimal | None = None
    grouped: int | None = None

    @property
    def is_empty(self) -> bool:
        """Nothing is tried: the circuit stays as it is."""
        return all(given is None for given in vars(self).values())

    @property
    def changes_route(self) -> bool:
        """It says how the cable lies, so what was assumed of the route no longer holds."""
        return self.method is not None or self.grouped is not None


def try_on(surveyed: Surveyed, told: Told, given: WhatIf) -> Assembled:
    """The circuit as it would be: a method or grouping holds all along, another length stretches each part alike."""
    share = given.metres / surveyed.metres if given.metres is not None and surveyed.metres else Decimal(1)
    changed = {"rating_amps": given.rating_amps, "live_mm2": given.live_mm2, "metres": given.metres}
    changed = {name: found for name, found in changed.items() if found is not None}
    walls = surveyed.wall_metres * share if surveyed.wall_metres is not None else None
    parts = tuple(replace(part, metres=part.metres * share) if part.metres else part for part in told.parts)
    made = assemble(
        replace(surveyed, wall_metres=walls, **changed), replace(told, curve=given.curve or told.curve, parts=parts)
    )
    circuit = what_if(made.circuit, method=given.method, grouped=given.grouped)
    assumed = tuple(words for words in made.assumed if not (given.changes_route and words.startswith("Route")))
    return replace(made, circuit=circuit, assumed=assumed)


def assemble_supply(
    earthing: Earthing | None, told_ze_ohms: Decimal | None, fuse_amps: Decimal | None, measured_ze_ohms: Decimal | None = None
) -> AssembledSupply:
    """The supply as measured, else as told, else a usual earthing with the Ze an operator declares at most, and a small fuse."""
    assumed = [] if earthing else [f"Earthing: {Earthing.TN_C_S.label} is assumed; look at the intake."]
    earthing = earthing or Earthing.TN_C_S
    ze_ohms, ze_from = _ze(earthing, told_ze_ohms, measured_ze_ohms)
    if ze_from == ZeFrom.ASSUMED:
        assumed.append(f"Ze: {plain(ze_ohms)} Ω, the most that is usual for {earthing.label}, is assumed; measure it.")
    if fuse_amps is None:
        fuse_amps = value("ASSUMED-FUSE")
        assumed.append(f"Supply fuse: {plain(fuse_amps)} A is assumed; read its carrier, or ask the network operator.")
    return AssembledSupply(Supply(ze_ohms, fuse_amps, earthing), tuple(assumed), ze_from)


def _ze(earthing: Earthing, told: Decimal | None, measured: Decimal | None) -> tuple[Decimal, ZeFrom]:
    if measured is not None:
        return measured, ZeFrom.MEASURED
    return (told, ZeFrom.TOLD) if told is not None else (value(f"ZE-{earthing}"), ZeFrom.ASSUMED)


def _device(surveyed: Surveyed, told: Told) -> tuple[Device | None, tuple[str, ...]]:
    read = read_device(surveyed.device_words, surveyed.rating_amps)
    if read is None:
        return None, ("Device: its rating is not in the survey; give it there.",) if surveyed.rating_amps is None else ()
    found = read.device
    milliamps = found.rcd_milliamps if told.rcd_milliamps is None else told.rcd_milliamps or None
    rcd_type = (told.rcd_type or found.rcd_type) if milliamps else None
    device = Device(told.curve or found.curve, found.rating_amps, milliamps, rcd_type, found.is_time_delayed)
    return device, tuple(words for words in read.assumed if not _is_told(words, told))


def _is_told(words: str, told: Told) -> bool:
    is_about_curve = words.startswith("Curve")
    return bool(told.curve) if is_about_curve else told.rcd_milliamps is not None


def _load(surveyed: Surveyed, told: Told, device: Device | None) -> tuple[Load | None, tuple[str, ...]]:
    kind = told.load_kind or _usual_load(surveyed)
    if kind is None:
        return None, ()
    amps = device.rating_amps if device else None
    load = load_for(
        surveyed.kind, surveyed.reference, watts=told.load_watts, device_amps=amps, lamps=surveyed.lamps,
        has_socket=told.has_cooker_socket, load_kind=kind,
    )
    if load is None:
        return _assumed_load(surveyed, kind, amps, told.has_cooker_socket)
    lamps = told.load_watts is None and kind == LoadKind.LIGHTING
    words = f"Load: {plain(value('LAMP-WATTS'))} W for each of {surveyed.lamps} lights is assumed; {CHANGE}."
    return load, (words,) if lamps else ()


def _usual_load(surveyed: Surveyed) -> LoadKind | None:
    """A radial without sockets feeds something fixed."""
    if surveyed.kind == CircuitKind.RADIAL and not surveyed.has_sockets:
        return LoadKind.POWER
    return LOAD_KINDS.get(surveyed.kind)


def _assumed_load(
    surveyed: Surveyed, kind: LoadKind, device_amps: Decimal | None, has_socket: bool
) -> tuple[Load | None, tuple[str, ...]]:
    code = {CircuitKind.COOKER: "ASSUMED-COOKER", CircuitKind.ALARMS: "ASSUMED-ALARMS"}.get(surveyed.kind)
    if code:
        load = load_of(surveyed.reference, kind, value(code), has_socket=has_socket)
        return load, (f"Load: {plain(value(code))} W is assumed; {CHANGE}.",)
    if device_amps is None:
        return None, ("Load: not told, and no device to go by.",)
    words = f"Load: as much as its device, {plain(device_amps)} A, is assumed; {CHANGE}."
    return Load(surveyed.reference, kind, device_amps, has_socket), (words,)


def _parts(surveyed: Surveyed, told: Told) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    if not surveyed.metres and not told.parts:
        return (), ("Length: no point of the survey hangs on this circuit, so it has none.",)
    return _told_parts(surveyed, told.parts) if told.parts else _assumed_parts(surveyed)


def _told_parts(surveyed: Surveyed, told: tuple[ToldPart, ...]) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    """What is left of the length goes to the part without metres, else it lies as the first one."""
    given = sum((part.metres or Decimal(0) for part in told), Decimal(0))
    rest = max(surveyed.metres - given, Decimal(0))
    open_ended = next((part for part in told if part.metres is None), None)
    parts = [part.lay(rest if part is open_ended else part.metres or Decimal(0)) for part in told]
    if open_ended:
        return tuple(parts), ()
    if rest:
        words = f"Route: {plain(rest, 1)} m more than its parts have is assumed to lie as the first part; {CHANGE}."
        return (*parts, told[0].lay(rest)), (words,)
    over = given - surveyed.metres
    words = (f"Route: its parts have {plain(over, 1)} m more than its length; the parts count.",) if over else ()
    return tuple(parts), words


def _assumed_parts(surveyed: Surveyed) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    in_walls = min(surveyed.wall_metres or Decimal(0), surveyed.metres)
    over = Method.M101 if surveyed.is_under_roof else Method.C
    in_wall = Method.C if surveyed.wall == WallKind.MASONRY else Method.M102
    elsewhere = over if surveyed.wall_metres is not None or surveyed.is_under_roof else in_wall
    lengths = ((surveyed.metres - in_walls, elsewhere), (in_walls, in_wall))
    parts = tuple(Part(metres, method) for metres, method in lengths if metres)
    words = "; ".join(f"{plain(part.metres, 1)} m by method {part.method.label}" for part in parts)
    return parts, (f"Route: {words}; alone, in air of 30 °C. Assumed: {CHANGE}.",)


def _spurs(surveyed: Surveyed, told: Told) -> tuple[int, tuple[str, ...]]:
    if told.spurs is not None or surveyed.kind != CircuitKind.RING:
        return told.spurs or 0, ()
    return 0, (f"Spurs: none is assumed; {CHANGE}.",)
