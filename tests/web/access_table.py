"""Who may open which address: every route of the product with its audience and the rows its address names."""

from collections.abc import Callable

from django.db import models

from jobs.core.stages import CircuitKind, Trade
from jobs.models import (
    Absence,
    AbsenceSource,
    Area,
    Booking,
    CalendarDay,
    Circuit,
    Contact,
    ContactAway,
    DayRelease,
    Dependency,
    Device,
    Drum,
    FirmArchive,
    Handover,
    HandoverPdf,
    HeldBack,
    Instrument,
    Item,
    Job,
    LabourNorm,
    Location,
    Notice,
    Order,
    OutboxEntry,
    Person,
    PersonChoice,
    Photo,
    Pin,
    Plan,
    PlanRun,
    Point,
    PointKind,
    Reading,
    ReadingsUpload,
    Room,
    RoomTask,
    SecretLink,
    StoresUpload,
    SuggestedDay,
    Supplier,
    SupplierClosure,
    SurveyUpload,
    User,
    VanTick,
    Variation,
    Visit,
    WorkPackage,
)
from tests.factories import make_contact
from tests.rows import Rows

Named = str | type[models.Model] | Callable[[Rows], models.Model | str]
"""What stands in an address: a word, the row of a model, or what is made for it."""


def customer(rows: Rows) -> Contact:
    return make_contact(rows.firm, Trade.CUSTOMER)


def drum_label(rows: Rows) -> str:
    return f"drum-{rows[Drum].pk}"


def tested_circuit(rows: Rows) -> Circuit:
    """The circuit of a reading."""
    return rows[Reading].circuit


def tested_ring(rows: Rows) -> Circuit:
    """The same, a ring with a socket on it."""
    circuit = tested_circuit(rows)
    Circuit.objects.filter(pk=circuit.pk).update(kind=CircuitKind.RING)
    Point.objects.filter(pk=rows[Point].pk).update(circuit=circuit)
    return circuit


OFFICE = {
    # the week
    "week": (), "plan_again": (), "refresh_draft": (), "plan_run": (PlanRun,), "stop_run": (PlanRun,),
    "move_booking": (Booking,), "hold_visit": (Visit,), "remove_pin": (Pin,), "undo_move": (), "plan_review": (),
    "issue_plan": (Plan,), "hold_back": (Plan, Contact), "hold_back_crew": (Plan, Person), "let_go": (HeldBack,),
    # jobs and catalogue
    "catalogue": (), "catalogue_history": (), "learned_hours": (), "accept_learned_hours": (LabourNorm,),
    "catalogue_section": ("points",), "add_catalogue": ("points",), "catalogue_row": ("points", PointKind),
    "remove_catalogue": ("points", PointKind), "job_list": (), "add_job": (), "job": (Job,), "edit_job": (Job,),
    "move_job": (Job,), "hand_over": (Job,), "job_photos": (Job,), "renew_programme": (Job,),
    "correct_hours": (Job, WorkPackage), "limit_package": (Job, WorkPackage), "choose_person": (Job,),
    "drop_choice": (Job, PersonChoice), "add_visit": (Job,), "answer_variation": (Job, Variation), "add_snag": (Job,),
    "correct_worked_hours": (Job,), "add_wait": (Job,), "remove_wait": (Job, Dependency),
    "mark_deadline": (Job, "certificate"), "job_customer": (Job,), "choose_photos": (Job,),
    "handover_pack": (Job,), "make_handover_pdf": (Job,), "handover_pdf": (Job, HandoverPdf),
    # survey
    "survey": (Job,), "add_area": (Job,), "survey_area": (Job, Area), "remove_area": (Job, Area), "add_room": (Job,),
    "survey_room": (Job, Room), "remove_room": (Job, Room), "add_points": (Job, Room), "change_points": (Job, Point),
    "remove_points": (Job, Point), "add_circuit": (Job,), "survey_circuit": (Job, Circuit),
    "remove_circuit": (Job, Circuit), "floor_sketch": (Job,), "correct_length": (Job, Circuit),
    "take_back_length": (Job, Circuit), "survey_import": (Job,), "survey_preview": (Job, SurveyUpload),
    "drop_survey_upload": (Job, SurveyUpload), "survey_file": (Job, "example", "csv"),
    # circuits
    "circuit_schedule": (Job,), "describe_supply": (Job,), "circuit_design": (Job, Circuit), "describe_circuit": (Job, Circuit),
    "use_what_if": (Job, Circuit), "circuit_board": (Job,), "circuit_chart": (Job,), "circuit_labels": (Job,), "rule_list": (),
    # readings
    "job_readings": (Job,), "enter_supply": (Job,), "let_power_on": (Job,), "enter_sockets": (Job, "end", tested_ring),
    "enter_readings": (Job, "end", tested_circuit), "import_readings": (Job,),
    "preview_readings": (Job, ReadingsUpload), "drop_readings": (Job, ReadingsUpload),
    "readings_file": (Job, "end", "example", "csv"), "instruments": (), "instrument": (Instrument,),
    # stores
    "stores": (), "add_item": (), "stores_item": (Item,), "edit_item": (Item,), "add_price": (Item,), "drum_list": (),
    "drum": (Drum,), "book_stock": ("move",), "count_list": (), "count_stock": (Location,), "order_list": (),
    "add_order": (Supplier,), "order": (Order,), "edit_order": (Order,), "send_order": (Order,),
    "mark_ordered": (Order,), "drop_order": (Order,), "order_table": (Order,), "receive_order": (Order,),
    "expect_order": (Order,), "cancel_order": (Order,), "order_effects": (Order,),
    "tell_cancelled": (Order,), "add_supplier": (), "edit_supplier": (Supplier,),
    "import_list": ("prices",), "list_file": ("prices", "example", "csv"), "preview_list": (StoresUpload,),
    "drop_list": (StoresUpload,), "add_closure": (Supplier,), "remove_closure": (SupplierClosure,),
    "job_materials": (Job,), "cut_list": (Job,), "recut": (Job,), "label_sheet": (), "van_load": (),
    # trades
    "contact_list": (), "contact_add": (), "notice_list": (), "contact": (Contact,), "contact_edit": (Contact,),
    "forget": (customer,), "add_contact_away": (Contact,), "remove_contact_away": (ContactAway,), "visit": (Visit,),
    "assign_visit": (Visit,), "record_answer": (Visit,), "agree_visit": (Visit,), "suggested_days": (Visit,),
    "accept_suggestion": (SuggestedDay,), "turn_down_suggestions": (Visit,),
    "give_go_ahead": (Visit,), "finish_visit": (Visit,), "cancel_visit": (Visit,),
    "reopen_visit": (Visit,), "pass_on_notice": (Notice,), "tell_held_back": (HeldBack,),
    "calendar_list": (), "link": ("trade_page", Contact), "choose_link_options": (SecretLink,),
    "make_link": ("trade_page", Contact),
    "rotate_link": (SecretLink,), "revoke_link": (SecretLink,),
    # crew and firm
    "crew": (), "add_person": (), "person": (Person,), "morning_message": (Person,), "add_absence": (Person,),
    "remove_absence": (Absence,), "add_absence_source": (Person,), "absence_source": (AbsenceSource,),
    "remove_absence_source": (AbsenceSource,), "add_college_day": (Person,), "remove_college_day": (DayRelease,),
    "make_sign_in": (Person,), "revoke_device": (Device,), "firm": (), "add_firm_day": (),
    "remove_firm_day": (CalendarDay,), "evening_summary": (), "trail": (), "health": (), "try_again": (OutboxEntry,),
    "firm_data": (), "ask_for_archive": (), "firm_archive": (FirmArchive,), "delete_archive": (FirmArchive,),
    "sign_ins": (), "add_colleague": (), "sign_out_person": (User,), "let_out": (User,), "let_in": (User,),
    "make_password_link": (User,),
}
"""For the office alone: others of the firm are led to the site page, strangers to the sign-in, other firms find nothing."""

FIRM = {
    "today": (), "site_job": (Job,), "site_cuts": (Job,), "site_readings": (Job, "end"), "record_readings": (Job, "end"),
    "site_room": (Room,), "record_on_job": (Job,),
    "record_in_room": (Room,), "room_sheet": (Room,), "site_van": (), "record_on_van": (), "mark_line": (RoomTask,),
    "photo": (Photo,), "thumbnail": (Photo,), "joists": (), "calculators": (), "site_rules": (),
    "label": (drum_label,), "scan": (), "put_on_van": (),
    "take_off_van": (VanTick,), "hello": (), "sync": (), "sync_photo": (),
}
"""For everyone of the firm."""

PHONE = {"hello", "sync", "sync_photo"}
"""Asked by the phone's script, which is told 401 and never led to another page."""

LINK = {
    "calendar_feed": ({"trade_feed", "job_feed", "person_feed", "customer_feed", "firm_feed"}, ()),
    "trade_page": ({"trade_page"}, ()),
    "answer_visit": ({"trade_page"}, ()),
    "customer_page": ({"customer_page"}, ()),
    "customer_variation": ({"customer_page"}, (Variation,)),
    "customer_photo": ({"customer_page"}, (Photo,)),
    "customer_thumbnail": ({"customer_page"}, (Photo,)),
    "customer_pack": ({"customer_page"}, ()),
    "customer_pack_pdf": ({"customer_page"}, ()),
    "customer_pack_photo": ({"customer_page"}, (Photo,)),
}
"""For whoever holds a secret link made for one of these purposes; and the rows the address names beside the link."""

BEHIND = {"customer_pack": (Handover,), "customer_pack_pdf": (Handover, HandoverPdf), "customer_pack_photo": (Handover,)}
"""Rows that must be there, though no address names them."""

QUESTIONS = {"recut": lambda rows: f"?drum={rows[Drum].label}"}
"""What an address asks for beyond its path."""

OPEN = {"manifest", "worker", "offline", "robots", "sign_in", "sign_in_with_code", "sign_in_link", "sign_out", "password",
        "choose_password"}
"""For anyone; those about the person who asks lead to the sign-in themselves."""
