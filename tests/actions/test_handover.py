"""The printed pack: asked for, made, made again when something changed. Its text is read back with pypdf."""

import io
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.core.files.base import ContentFile
from PIL import Image
from pypdf import PdfReader

from jobs import outbox
from jobs.actions import handover
from jobs.actions.handover import KEPT, ask_for_pdf, edit_handover, make_pdf, renew_changed
from jobs.actions.permission import Refused
from jobs.core.handover import MARK, NO_CERTIFICATE, Part
from jobs.models import HandoverPdf, Instrument, Photo, Reading, Snag
from jobs.queries.handover import load_pack
from jobs.queries.handover_pdf import load_pdf_state
from tests.factories import (
    NOW,
    TODAY,
    make_area,
    make_contact,
    make_crew_user,
    make_firm,
    make_job,
    make_office,
    make_person,
    make_room,
)
from tests.placed_house import PlacedHouse

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> PlacedHouse:
    house = PlacedHouse()
    house.add(house.hall, "smoke-alarm")
    house.job.customer = make_contact(house.firm, "customer", "Ada Fenwick")
    house.job.save()
    house.make()
    return house


class BareHouse:
    """A room and a circuit, without a catalogue: enough for how a pack is asked for and kept."""

    def __init__(self) -> None:
        self.firm = make_firm()
        self.office = make_office(self.firm)
        self.job = make_job(self.firm, "Mill Lane")
        self.lounge = make_room(make_area(self.job), "Lounge")


@pytest.fixture
def bare() -> BareHouse:
    return BareHouse()


@pytest.fixture
def blank_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """No typesetting: for tests of when a pack is made, not of what is on it."""
    monkeypatch.setattr(handover, "typeset_pack", lambda pack, pictures, made_words: b"%PDF-1.7")


def jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (640, 480), (120, 90, 60)).save(out, "JPEG")
    return out.getvalue()


def add_photo(house: PlacedHouse | BareHouse, **fields: object) -> Photo:
    photo = Photo(
        firm=house.firm, room=house.lounge, stage="first_fix", surface="B", words="Tape at 450 mm", sha256="a" * 64,
        width_px=640, height_px=480, made_by=house.office, taken_at=NOW, **fields,
    )
    photo.image.save("x.jpg", ContentFile(jpeg()), save=False)
    photo.save()
    return photo


def add_reading(house: PlacedHouse, text: str = "0.29") -> Reading:
    tester = make_person(house.firm, "Marta Quill", may_test=True)
    instrument = Instrument.objects.create(
        firm=house.firm, name="Blue tester", serial="BT-7", calibrated_on=TODAY, due_on=TODAY + timedelta(days=300)
    )
    return Reading.objects.create(
        firm=house.firm, job=house.job, circuit=house.ring, when_tested="end", measure="r1_r2", text=text, state="value",
        amount="0.29", instrument=instrument, calibration_due_on=instrument.due_on, tested_by=tester, tested_at=NOW,
        entered_by=house.office, entered_at=NOW,
    )


def make(house: PlacedHouse | BareHouse, now: object = NOW) -> HandoverPdf:
    pdf = ask_for_pdf(job=house.job, by=house.office, now=now)
    outbox.run_due(now)
    pdf.refresh_from_db()
    return pdf


def text_of(pdf: HandoverPdf) -> str:
    with pdf.file.open() as file:
        pages = PdfReader(io.BytesIO(file.read())).pages
        return " ".join(" ".join(page.extract_text().replace("\u200b", "") for page in pages).split())


def test_pdf_has_every_section_and_what_was_recorded_when_it_is_made(house: PlacedHouse) -> None:
    add_photo(house)
    add_reading(house)
    edit_handover(
        job=house.job, by=house.office,
        details={"words": "Keys are with you.", "warranties": "Labour: two years.", "is_shown_to_customer": False},
    )
    text = text_of(make(house))
    places = [text.rindex(part.label) for part in Part]
    told = ("Ada Fenwick", "× 3", "Ring", "Tape at 450 mm", "0.29", "Marta Quill", "BT-7", "Labour: two years.",
            "Keys are with you.", "smoke alarm", "not measured", "Press the button marked T", MARK, NO_CERTIFICATE)
    assert places == sorted(places)
    assert [words for words in told if words.lower() not in text.lower()] == []


def test_pdf_is_tagged_and_says_its_language_when_it_is_made(bare: BareHouse) -> None:
    """ISO 32000-1, 14.8 (tagged PDF) and 14.9.2 (natural language); ISO 14289-1 (PDF/UA-1), clause 5, its identification."""
    add_photo(bare)
    with make(bare).file.open() as file:
        root = PdfReader(io.BytesIO(file.read())).trailer["/Root"]
        assert root["/MarkInfo"]["/Marked"]
        assert root["/Lang"] == "en-GB"
        assert b"pdfuaid:part>1<" in root["/Metadata"].get_object().get_data()


def test_photo_is_in_the_pdf_when_it_was_taken_before_cover_up(bare: BareHouse) -> None:
    add_photo(bare)
    with make(bare).file.open() as file:
        pages = PdfReader(io.BytesIO(file.read())).pages
        assert sum(len(page.images) for page in pages) == 1


def test_pdf_is_made_all_the_same_when_a_photo_is_lost(bare: BareHouse) -> None:
    photo = add_photo(bare)
    photo.image.storage.delete(photo.image.name)
    assert "The photo is not stored any more." in text_of(make(bare))


def test_pdf_holds_nothing_of_other_jobs_or_firms_when_there_are_more(bare: BareHouse) -> None:
    make_room(make_job(bare.firm, "Secret Villa").areas.create(firm=bare.firm, name="Secret floor"), "Secret room")
    make_job(make_firm("Other Wires"), "Foreign House")
    text = text_of(make(bare))
    assert [words for words in ("Secret", "Other Wires", "Foreign House") if words in text] == []


def test_pack_is_whole_when_nothing_was_surveyed() -> None:
    office = make_office(make_firm())
    job = make_job(office.firm, "Empty House")
    ask_for_pdf(job=job, by=office, now=NOW)
    outbox.run_due(NOW)
    assert "No room has been surveyed." in text_of(HandoverPdf.objects.get())


@pytest.mark.usefixtures("blank_paper")
def test_state_goes_from_asked_to_ready_when_the_background_work_is_done(bare: BareHouse) -> None:
    ask_for_pdf(job=bare.job, by=bare.office, now=NOW)
    waiting = load_pdf_state(bare.job, load_pack(bare.job, NOW))
    outbox.run_due(NOW)
    ready = load_pdf_state(bare.job, load_pack(bare.job, NOW))
    assert (waiting.is_pending, waiting.made) == (True, None)
    assert (ready.is_pending, ready.changes, ready.made.made_at is not None) == (False, (), True)


def test_second_asking_is_refused_when_one_is_being_made(bare: BareHouse) -> None:
    ask_for_pdf(job=bare.job, by=bare.office, now=NOW)
    with pytest.raises(Refused, match="being made already"):
        ask_for_pdf(job=bare.job, by=bare.office, now=NOW)


@pytest.mark.usefixtures("blank_paper")
def test_sections_that_changed_are_named_when_something_is_recorded_later(bare: BareHouse) -> None:
    make(bare)
    add_photo(bare)
    state = load_pdf_state(bare.job, load_pack(bare.job, NOW))
    assert state.changes == (Part.PHOTOS.label,)


@pytest.mark.usefixtures("blank_paper")
def test_pack_is_made_again_and_says_why_when_something_changed(bare: BareHouse) -> None:
    make(bare)
    add_photo(bare)
    later = NOW + timedelta(hours=1)
    renew_changed(now=later)
    outbox.run_due(later)
    newest = HandoverPdf.objects.first()
    assert newest.reason == f"Changed: {Part.PHOTOS.label}"
    assert newest.made_at


@pytest.mark.usefixtures("blank_paper")
def test_pack_is_not_made_again_when_nothing_changed(bare: BareHouse) -> None:
    make(bare)
    renew_changed(now=NOW + timedelta(hours=1))
    assert HandoverPdf.objects.count() == 1


@pytest.mark.usefixtures("blank_paper")
def test_old_packs_go_when_newer_ones_are_made(bare: BareHouse, django_capture_on_commit_callbacks: object) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        made = [make(bare, NOW + timedelta(hours=hour)) for hour in range(KEPT + 1)]
    assert list(HandoverPdf.objects.order_by("pk")) == made[1:]
    assert not made[0].file.storage.exists(made[0].file.name)


@pytest.mark.usefixtures("blank_paper")
def test_one_file_is_left_when_the_work_runs_twice(bare: BareHouse) -> None:
    pdf = ask_for_pdf(job=bare.job, by=bare.office, now=NOW)
    make_pdf(pdf_pk=pdf.pk, now=NOW)
    make_pdf(pdf_pk=pdf.pk, now=NOW)()
    pdf.refresh_from_db()
    folder = pdf.file.storage.listdir(f"handover/{bare.firm.pk}")
    assert folder[1].count(pdf.file.name.rpartition("/")[2]) == 1
    assert sum(str(pdf.uid) in name for name in folder[1]) == 1


def test_open_snag_and_reasons_are_told_when_a_house_is_handed_over_with_them(house: PlacedHouse) -> None:
    task = house.lounge.tasks.first()
    Snag.objects.create(
        firm=house.firm, room=house.lounge, words="Plate is loose", labour_hours=1, task=task, made_by=house.office, made_at=NOW
    )
    house.job.open_snags_reason = "Plate on order"
    house.job.save()
    text = text_of(make(house))
    assert "Plate is loose" in text
    assert "Plate on order" in text


def test_crew_and_other_firms_are_refused_when_they_ask(bare: BareHouse) -> None:
    for stranger in (make_crew_user(make_person(bare.firm, "Jory Penn")), make_office(make_firm("Other Wires"))):
        with pytest.raises(PermissionDenied):
            ask_for_pdf(job=bare.job, by=stranger, now=NOW)
        with pytest.raises(PermissionDenied):
            edit_handover(job=bare.job, details={}, by=stranger)
