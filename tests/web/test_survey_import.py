import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook, load_workbook

from jobs.actions.survey_import import import_survey
from jobs.core.survey_file import example_draft, read_survey, write_csv, write_xlsx
from jobs.models import Area, RoomTask, SurveyUpload
from jobs.queries.survey import list_point_options, load_draft
from tests.factories import make_area, make_firm, make_job, make_office

pytestmark = pytest.mark.django_db
HEADING = "area;room;room kind;point;quantity"


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def client(client, office):
    client.force_login(office)
    return client


@pytest.fixture
def job(firm):
    return make_job(firm, "Mill Row")


@pytest.fixture
def kinds(firm):
    return list_point_options(firm)


def text(response) -> str:
    return response.content.decode()


def send(client, job, data: bytes, name: str = "house.csv", **options: object):
    return client.post(reverse("survey_import", args=[job.pk]), {"survey_file": SimpleUploadedFile(name, data)}, **options)


def test_the_import_page_explains_the_file(client, job):
    page = text(client.get(reverse("survey_import", args=[job.pk])))
    for words in ("room kind", "a whole number from 1 to 200", "Filled example", "Empty file", "All or nothing"):
        assert words in page


@pytest.mark.parametrize("extension", ["csv", "xlsx"])
def test_the_example_can_be_downloaded_sent_back_and_saved(client, job, kinds, extension):
    example = client.get(reverse("survey_file", args=[job.pk, "example", extension]))
    assert "attachment" in example["Content-Disposition"]
    preview = send(client, job, example.content, f"example.{extension}")
    client.post(preview.url)
    assert load_draft(job) == example_draft(kinds)


def test_the_preview_shows_what_was_understood_and_saves_nothing(client, job, kinds):
    page = text(send(client, job, write_csv(example_draft(kinds), kinds), follow=True))
    for words in ("What was understood", "Nothing is saved yet", "5 × Double socket (R1, 450 mm up)", "Front bedroom"):
        assert words in page
    assert not Area.objects.exists()


def test_the_preview_can_be_opened_again_and_dropped(client, job, kinds):
    address = send(client, job, write_csv(example_draft(kinds), kinds)).url
    assert client.get(address).status_code == 200
    client.post(reverse("drop_survey_upload", args=[job.pk, SurveyUpload.objects.get().pk]))
    assert client.get(address).status_code == 404


def test_a_survey_that_is_there_is_replaced_only_when_ticked(client, job, kinds):
    make_area(job, "Loft")
    address = send(client, job, write_csv(example_draft(kinds), kinds)).url
    refused = client.post(address)
    assert (refused.status_code, Area.objects.get().name) == (422, "Loft")
    client.post(address, {"replaces": "on"})
    assert load_draft(job) == example_draft(kinds)


def test_a_survey_with_a_tick_is_not_offered_for_replacing(client, job, kinds, office):
    import_survey(job=job, draft=example_draft(kinds), by=office)
    RoomTask.objects.filter(package__job=job).update(done_share=1)
    page = text(send(client, job, write_csv(example_draft(kinds), kinds), follow=True))
    assert "Work has begun" in page
    assert "Save as the survey" not in page


def test_every_bad_row_is_listed_and_nothing_is_kept(client, job):
    rows = "Ground floor;Hall;corridor;Socket;0\nGround floor;Den;lounge;TV plate;-1\n"
    response = send(client, job, f"{HEADING}\n{rows}".encode())
    assert response.status_code == 422
    for words in ("corridor", "Socket", "<code>0</code>", "<code>-1</code>", "a whole number from 1 to 200"):
        assert words in text(response)
    assert not SurveyUpload.objects.exists()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_file_in_any_office_encoding_is_understood(client, job, encoding):
    page = text(send(client, job, f"{HEADING}\nGround floor;Café;lounge;TV plate;1\n".encode(encoding), follow=True))
    assert "Café" in page
    assert ("Windows text" in page) == (encoding == "cp1252")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02\x03", "not a table"),
        (b"PK\x03\x04", "damaged"),
        (b"area;room\nLoft;Attic\n", "This column is missing"),
        (b"x" * (20 * 1024 * 1024), "The file is 20 MB; a file may have up to 10 MB"),
        (f"{HEADING}\nLoft;Attic;loft;TV plate;=1+1\n".encode(), "Formulas are not read"),
        (f"{HEADING}\nLoft;<script>;loft;TV plate;0\n".encode(), "a whole number"),
    ],
    ids=["empty", "binary", "cut-off", "missing-columns", "large", "formula", "markup"],
)
def test_a_bad_file_is_answered_in_words(client, job, data, words):
    response = send(client, job, data)
    assert response.status_code == 422
    assert words in text(response)


def test_a_formula_in_a_workbook_is_named_with_its_row(client, job):
    book = Workbook()
    for row in (HEADING.split(";"), ["Loft", "Attic", "loft", "TV plate", "=1+1"]):
        book.active.append(row)
    page = io.BytesIO()
    book.save(page)
    assert "Formulas are not read" in text(send(client, job, page.getvalue(), "house.xlsx"))


def test_no_file_is_answered_in_words(client, job):
    response = client.post(reverse("survey_import", args=[job.pk]), {})
    assert response.status_code == 422
    assert "required" in text(response)


def test_five_thousand_rows_are_understood(client, job):
    lines = [f"Floor {row // 1000};Room {row // 100};bedroom;Double socket;2" for row in range(5000)]
    page = text(send(client, job, "\n".join([HEADING, *lines]).encode(), follow=True))
    assert "50 rooms, 10000 points" in page


@pytest.mark.parametrize("extension", ["csv", "xlsx"])
def test_the_job_s_own_survey_is_downloaded(client, job, kinds, office, extension):
    import_survey(job=job, draft=example_draft(kinds), by=office)
    response = client.get(reverse("survey_file", args=[job.pk, "survey", extension]))
    assert read_survey(response.content, point_kinds=kinds).draft == example_draft(kinds)
    assert f'filename="mill-row-survey.{extension}"' in response["Content-Disposition"]


def test_the_empty_workbook_opens(client, job):
    response = client.get(reverse("survey_file", args=[job.pk, "empty", "xlsx"]))
    assert load_workbook(io.BytesIO(response.content))["Survey"].max_row == 1


@pytest.mark.parametrize("parts", [("example", "ods"), ("other", "csv")])
def test_other_files_are_not_found(client, job, parts):
    assert client.get(reverse("survey_file", args=[job.pk, *parts])).status_code == 404


def test_an_upload_of_another_firm_or_house_is_not_found(client, firm, job, kinds, office):
    send(client, job, write_xlsx(example_draft(kinds), kinds), "house.xlsx")
    upload = SurveyUpload.objects.get()
    assert client.get(reverse("survey_preview", args=[make_job(firm).pk, upload.pk])).status_code == 404
    client.force_login(make_office(make_firm("Other")))
    assert client.get(reverse("survey_preview", args=[job.pk, upload.pk])).status_code == 404
    assert client.post(reverse("survey_import", args=[job.pk])).status_code == 404
