"""What is asked of the server, against OWASP ASVS 5.0.0 (github.com/OWASP/ASVS, 5.0/en): forgery, sessions, injection."""

import csv
import io
from collections.abc import Iterator

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher
from django.core.mail import BadHeaderError, EmailMessage
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook
from PIL import ImageFile
from pytest_django import Settings

from jobs.actions import issuing
from jobs.actions.issuing import issue_plan
from jobs.actions.pictures import read_picture
from jobs.core.site_values import BadOperation
from jobs.models import Notice, Order, Plan, Reading, SecretLink
from tests.actions.test_pictures import bomb
from tests.factories import PASSWORD, make_firm, make_office
from tests.published.asvs.hostile import HostileRows
from tests.rewire.test_settings import settings_with
from tests.rows import Rows
from tests.told import make_told
from tests.web.access_table import FIRM, LINK, OFFICE
from tests.web.test_access import address, address_of, link_for

pytestmark = [pytest.mark.django_db, pytest.mark.once]
ELSEWHERE = {"HTTP_ORIGIN": "https://elsewhere.example"}
ENDS = ("csv", "xlsx")
SEARCHES = ("stores", "scan", "trail", "label_sheet")
INJECTED = ("' OR 1=1 --", '"; DROP TABLE jobs_firm; --', "%", "_", "\\", "a' UNION SELECT password FROM jobs_user --")


@pytest.fixture
def strict_office() -> Client:
    client = Client(enforce_csrf_checks=True)
    client.force_login(make_office(make_firm()))
    return client


def every_address(settings: Settings, folder: object) -> Iterator[str]:
    """Of a firm that has a row of everything."""
    settings.MEDIA_ROOT = settings.BACKUP_DIR = folder
    rows = Rows(make_firm())
    links = {purpose: link_for(rows, purpose) for purpose in SecretLink.Purpose.values}
    rows.keep(links[SecretLink.Purpose.TRADE_PAGE])
    yield from (address_of(rows, name, links[min(purposes)]) for name, (purposes, _) in LINK.items())
    yield from (address(rows, name) for name in (*OFFICE, *FIRM))


def test_post_without_a_token_is_refused_when_any_route_gets_it(strict_office, settings, tmp_path):
    """3.5.1: signed-in people's forms carry the session's token, those behind secret links a key signed for them."""
    answers = {path: strict_office.post(path).status_code for path in every_address(settings, tmp_path)}
    assert {path: status for path, status in answers.items() if status != 403} == {}


def test_post_from_another_site_is_refused_when_its_token_is_right(strict_office):
    """3.5.1"""
    token = strict_office.get(reverse("hello")).json()["csrf"]
    sent = {"csrfmiddlewaretoken": token, "on": "2030-06-12", "is_working": "rests", "name": "Shut-down"}
    assert strict_office.post(reverse("add_firm_day"), sent, **ELSEWHERE).status_code == 403
    assert strict_office.post(reverse("add_firm_day"), sent).status_code == 302


@pytest.mark.parametrize("name", ["SESSION_COOKIE", "CSRF_COOKIE"])
def test_cookie_keeps_to_its_host_and_away_from_scripts_when_it_is_set(client, settings, name):
    """3.3.1 to 3.3.4, as production sets it."""
    for setting, value in settings_with().items():
        if setting.startswith(("SESSION_COOKIE_", "CSRF_COOKIE_")):
            setattr(settings, setting, value)
    make_office(make_firm(), "olwen")
    client.get(reverse("sign_in"), secure=True)
    answer = client.post(reverse("sign_in"), {"username": "olwen", "password": PASSWORD}, secure=True)
    cookie = answer.cookies[getattr(settings, f"{name}_NAME")]
    assert cookie.key.startswith("__Host-")
    assert (cookie["secure"], cookie["httponly"], cookie["samesite"], cookie["path"], cookie["domain"]) == (
        True, True, "Lax", "/", ""
    )


def test_everything_goes_over_https_when_it_is_asked_for_without(client, settings):
    """12.2.1, 12.2.2; the certificate is the proxy's (README says how)."""
    settings.SECURE_SSL_REDIRECT = settings_with()["SECURE_SSL_REDIRECT"]
    answer = client.get("/jobs/")
    assert (answer.status_code, answer["Location"]) == (301, "https://testserver/jobs/")


def test_old_session_opens_nothing_when_somebody_signed_out(client):
    """7.4.1"""
    client.force_login(make_office(make_firm()))
    stolen = client.cookies["session"].value
    client.post(reverse("sign_out"))
    thief = Client()
    thief.cookies["session"] = stolen
    assert thief.get(reverse("hello")).status_code == 401


@pytest.mark.parametrize("name", ["olwen", "nobody"])
def test_as_much_work_is_done_when_the_name_is_unknown(client, monkeypatch, name):
    """6.3.8: neither words nor time tell which names there are; a password is hashed once either way."""
    make_office(make_firm(), "olwen")
    hashed, encode = [], MD5PasswordHasher.encode
    monkeypatch.setattr(
        MD5PasswordHasher, "encode", lambda self, password, salt: hashed.append(1) or encode(self, password, salt)
    )
    client.post(reverse("sign_in"), {"username": name, "password": "wrong"})
    assert hashed == [1]


@pytest.mark.parametrize("name", SEARCHES)
@pytest.mark.parametrize("words", INJECTED)
def test_search_finds_its_own_words_alone_when_they_are_sql(client, name, words):
    """1.2.4, 1.2.5: the database gets them as a value."""
    client.force_login(make_office(make_firm()))
    answer = client.get(reverse(name), {"q": words, "code": words, "by": words, "job": words, "place": words})
    assert answer.status_code in {200, 404, 422}


def cells(name: str, content: bytes) -> Iterator[object]:
    if name.endswith("xlsx"):
        for sheet in load_workbook(io.BytesIO(content)):
            yield from (f"={cell.value}" for row in sheet.iter_rows() for cell in row if cell.data_type == "f")
    else:
        text = content.decode("utf-8-sig")
        yield from (cell for row in csv.reader(io.StringIO(text), delimiter=";" if ";" in text[:200] else ",") for cell in row)


def table_addresses(rows: Rows) -> list[str]:
    job, order = rows[Reading].circuit.job_id, rows[Order].pk
    lists = [reverse("list_file", args=[kind, "stock", end]) for kind in ("prices", "stock") for end in ENDS]
    surveys = [reverse("survey_file", args=[job, "survey", end]) for end in ENDS]
    readings = [reverse("readings_file", args=[job, "end", "readings", end]) for end in ENDS]
    return [*lists, *surveys, *readings, reverse("order_table", args=[order])]


@pytest.mark.parametrize("mark", ["=1+1", "+1", "-1+1", "@SUM(1)", "\t=1", "\r=1"])
def test_no_cell_is_a_formula_when_every_text_of_the_firm_is_one(client, mark):
    """1.2.10, in every table that can be downloaded; a workbook says of each cell whether it is text."""
    rows = HostileRows(mark)
    client.force_login(make_office(rows.firm))
    answers = {path: client.get(path) for path in table_addresses(rows)}
    assert {answer.status_code for answer in answers.values()} == {200}
    found = [(path, cell) for path, answer in answers.items() for cell in cells(path.rstrip("/"), answer.content)]
    assert [pair for pair in found if isinstance(pair[1], str) and pair[1].startswith((mark[0], "="))] == []


@pytest.mark.parametrize("field", ["subject", "from_email", "to"])
def test_mail_is_refused_when_a_header_holds_a_line_break(field):
    """1.3.11: what is left of it after our own cleaning (tests/calendars/test_hostile.py)."""
    hostile = "Dates\nBcc: everyone@elsewhere.example"
    details = {"subject": "Dates", "from_email": "office@firm.example", "to": ["pat@trades.example"]}
    with pytest.raises(BadHeaderError):
        EmailMessage(**details | {field: [hostile] if field == "to" else hostile}).message()


def test_no_pixel_is_drawn_when_the_header_promises_too_many(monkeypatch):
    """5.2.6: memory is bounded because the header alone is read; 20,000 × 20,000 pixels would take 1.2 GB."""
    monkeypatch.setattr(ImageFile.ImageFile, "load", lambda self: pytest.fail("pixels were read"))
    with pytest.raises(BadOperation):
        read_picture(bomb(20_000, 20_000))


@pytest.mark.django_db(transaction=True)
def test_nothing_is_issued_when_writing_to_the_trades_breaks_off(monkeypatch):
    """2.3.3: a plan, its notices and its calendars together, or none of them."""
    told = make_told()
    draft = Plan.objects.create(firm=told.firm, number=99, state=Plan.State.DRAFT, made_at=timezone.now())
    told.plan.spans.update(plan=draft)
    before = Notice.objects.count(), set(Plan.objects.values_list("pk", "state"))
    monkeypatch.setattr(issuing, "renew_entries", lambda **asked: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        issue_plan(plan=draft, version=draft.version, by=told.office, now=timezone.now())
    assert (Notice.objects.count(), set(Plan.objects.values_list("pk", "state"))) == before


