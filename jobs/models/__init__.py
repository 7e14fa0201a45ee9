from jobs.models.absence_source import AbsenceSource
from jobs.models.catalogue import (
    AccessoryRange,
    CatalogueVersion,
    ChecklistLine,
    CircuitRecipe,
    DependencyRule,
    DryingRule,
    LabourNorm,
    PointKind,
    RecipeLine,
    Swap,
    VisitKind,
)
from jobs.models.closing import CarriedStock, StockClosing
from jobs.models.day_message import DayMessage
from jobs.models.deadline import DeadlineMark
from jobs.models.device import AttemptCount, Device, SignInCode
from jobs.models.electrics import CircuitDesign, CircuitPart, HouseSupply
from jobs.models.firm import CalendarDay, Firm, FirmOwned
from jobs.models.firm_change import FirmChange
from jobs.models.go_ahead import GoAhead
from jobs.models.handover import FirmArchive, Handover, HandoverPdf
from jobs.models.invitations import Invitation, InvitationMessage, MailAnswer, SuggestedDay
from jobs.models.job import Area, Circuit, Job, LengthCorrection, Point, Room
from jobs.models.notices import CalendarEntry, Delivery, HeldBack, Notice, Prompt, ToldDate
from jobs.models.outbox import OutboxEntry
from jobs.models.person import Absence, DayRelease, Grade, Part, Person
from jobs.models.photo import Photo
from jobs.models.plan import Booking, Pin, Plan, PlanRun, Span
from jobs.models.power import PowerOverride
from jobs.models.programme import (
    Dependency,
    LineMaterial,
    MaterialNeed,
    PersonChoice,
    RoomTask,
    Visit,
    WorkPackage,
)
from jobs.models.readings import Instrument, Reading, ReadingsUpload
from jobs.models.site import SiteOperation
from jobs.models.snag import Snag
from jobs.models.stores import Drum, Item, Location, Order, OrderLine, StockMove, Supplier
from jobs.models.supply import Price, StoresUpload, SupplierClosure, VanTick
from jobs.models.survey_upload import SurveyUpload
from jobs.models.trades import Contact, ContactAway, SecretLink
from jobs.models.trail import TrailEntry
from jobs.models.user import Role, User
from jobs.models.variation import Variation, VariationAnswer
from jobs.models.worked_hours import WorkedHours

__all__ = [
    "Absence", "AbsenceSource", "AccessoryRange", "Area", "AttemptCount", "Booking", "CalendarDay", "CalendarEntry",
    "CarriedStock", "CatalogueVersion", "ChecklistLine", "Circuit", "CircuitDesign", "CircuitPart", "CircuitRecipe",
    "Contact", "ContactAway", "DayMessage", "DayRelease", "DeadlineMark", "Delivery", "Dependency", "DependencyRule",
    "Device", "Drum", "DryingRule", "Firm", "FirmArchive", "FirmChange", "FirmOwned", "GoAhead", "Grade", "Handover",
    "HandoverPdf", "HeldBack", "HouseSupply", "Instrument", "Invitation", "InvitationMessage", "Item", "Job",
    "LabourNorm", "LengthCorrection", "LineMaterial", "Location", "MailAnswer", "MaterialNeed", "Notice", "Order",
    "OrderLine", "OutboxEntry", "Part", "Person", "PersonChoice", "Photo", "Pin", "Plan", "PlanRun", "Point",
    "PointKind", "PowerOverride", "Price", "Prompt", "Reading", "ReadingsUpload", "RecipeLine", "Role", "Room",
    "RoomTask", "SecretLink", "SignInCode", "SiteOperation", "Snag", "Span", "StockClosing", "StockMove",
    "StoresUpload", "SuggestedDay", "Supplier", "SupplierClosure", "SurveyUpload", "Swap", "ToldDate", "TrailEntry",
    "User", "VanTick", "Variation", "VariationAnswer", "Visit", "VisitKind", "WorkPackage", "WorkedHours",
]
