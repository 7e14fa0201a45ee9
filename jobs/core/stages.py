"""The words every layer shares: stages of a rewire, kinds of room, wall, floor, circuit and trade."""

from enum import StrEnum


class Worded(StrEnum):
    """A stored value with the words people read."""

    label: str

    def __new__(cls, value: str, label: str) -> "Worded":
        member = str.__new__(cls, value)
        member._value_ = value
        member.label = label
        return member


class Stage(Worded):
    """The stages of a rewire, in their order."""

    STRIP_OUT = "strip_out", "Strip-out"
    FIRST_FIX = "first_fix", "First fix"
    PLASTER_WAIT = "plaster_wait", "Plaster wait"
    SECOND_FIX = "second_fix", "Second fix"
    TEST = "test", "Test"


WORKED_STAGES = (Stage.STRIP_OUT, Stage.FIRST_FIX, Stage.SECOND_FIX, Stage.TEST)
"""Stages that take the crew's time; the plaster wait takes only days."""


class RoomKind(Worded):
    """What a room is used for; `BOARD` is where the consumer unit goes."""

    KITCHEN = "kitchen", "Kitchen"
    BATHROOM = "bathroom", "Bathroom"
    HALL = "hall", "Hall or landing"
    BEDROOM = "bedroom", "Bedroom"
    LOUNGE = "lounge", "Living room"
    LOFT = "loft", "Loft"
    GARAGE = "garage", "Garage"
    OUTSIDE = "outside", "Outside"
    BOARD = "board", "Consumer unit"
    OTHER = "other", "Other room"


class WallKind(Worded):
    """What a room's walls are made of."""

    MASONRY = "masonry", "Masonry"
    STUD = "stud", "Stud"
    LATH = "lath", "Lath and plaster"


class FloorKind(Worded):
    """What a floor is made of: cable runs under timber, and above the ceiling where the floor is solid."""

    TIMBER = "timber", "Timber"
    SOLID = "solid", "Solid"


class JoistRun(Worded):
    """Which way the joists of a room's floor and ceiling run on the floor's grid; one way for both."""

    ALONG_X = "x", "Left to right"
    ALONG_Y = "y", "Front to back"


class DropCover(Worded):
    """What covers a cable down a masonry wall."""

    CAPPING = "capping", "Capping"
    TUBE = "tube", "Oval tube"
    CONDUIT = "conduit", "Old steel conduit, used again"


class CircuitKind(Worded):
    """How a circuit runs or what it feeds; `BONDING` is a bonding conductor, on no way of the board."""

    RING = "ring", "Ring final"
    RADIAL = "radial", "Radial"
    LIGHTING = "lighting", "Lighting"
    COOKER = "cooker", "Cooker"
    SHOWER = "shower", "Shower"
    ALARMS = "alarms", "Alarms"
    BONDING = "bonding", "Bonding"


class Trade(Worded):
    """Who else comes to the house or is told of it: trades, authorities, the customer."""

    PLUMBER = "plumber", "Plumber"
    PLASTERER = "plasterer", "Plasterer"
    BUILDER = "builder", "Builder"
    KITCHEN_FITTER = "kitchen_fitter", "Kitchen fitter"
    TILER = "tiler", "Tiler"
    DECORATOR = "decorator", "Decorator"
    NETWORK_OPERATOR = "network_operator", "Network operator"
    BUILDING_CONTROL = "building_control", "Building control"
    ASBESTOS_SURVEYOR = "asbestos_surveyor", "Asbestos surveyor"
    CUSTOMER = "customer", "Customer"
    OTHER = "other", "Other trade"


class Half(Worded):
    """The two sessions of a working day."""

    MORNING = "am", "morning"
    AFTERNOON = "pm", "afternoon"
