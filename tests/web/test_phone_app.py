import re

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse

from jobs.web.views import phone_app


def name_of(address: str) -> str:
    return address.removeprefix("/static/")


def test_manifest_names_icons_that_exist_with_a_maskable_one(client):
    icons = client.get(reverse("manifest")).json()["icons"]

    assert {icon["purpose"] for icon in icons} == {"any", "maskable"}
    assert all(finders.find(name_of(icon["src"])) for icon in icons)


def test_app_starts_on_today_and_its_sign_in_stays_inside(client):
    manifest = client.get(reverse("manifest")).json()

    assert manifest["start_url"] == reverse("today")
    assert reverse("sign_in").startswith(manifest["scope"])


def test_worker_is_a_script_and_lists_files_that_exist(client):
    response = client.get(reverse("worker"))
    files = re.findall(r'"(/static/[^"]+)"', response.content.decode())

    assert response["Content-Type"] == "text/javascript"
    assert len(files) == len(phone_app.SHELL)
    assert all(finders.find(name_of(file)) for file in files)


def test_worker_looks_after_site_pages_only(client):
    assert reverse("worker").rpartition("/")[0] + "/" == reverse("today")


def test_worker_changes_when_a_file_of_the_shell_changes(monkeypatch, tmp_path):
    style = tmp_path / "style.css"
    monkeypatch.setattr(phone_app, "SHELL", ("style.css",))
    monkeypatch.setattr(phone_app.finders, "find", lambda name: style)
    version = phone_app.shell_version.__wrapped__
    style.write_text("a")
    before = version()

    style.write_text("b")

    assert version() != before


@pytest.mark.django_db
def test_page_for_no_signal_is_shown_to_anyone(client):
    assert "No signal here" in client.get(reverse("offline")).content.decode()
