"""Every page of a hostile firm, read once by its office, on site, by secret link and by a stranger, over HTTPS."""


import pytest
from django.db import transaction
from django.test import Client, override_settings
from django.urls import reverse
from pytest_django.plugin import DjangoDbBlocker

from jobs.models import SecretLink
from tests.factories import make_office
from tests.published.asvs.answers import Visit, count_rows, read
from tests.published.asvs.hostile import HostileRows
from tests.web.access_table import FIRM, LINK, OFFICE, OPEN
from tests.web.test_access import address, address_of, link_for, signed_in

OVER_HTTPS = {
    "SECURE_HSTS_SECONDS": 31_536_000, "SECURE_HSTS_INCLUDE_SUBDOMAINS": True, "SECURE_SSL_REDIRECT": True,
    "SESSION_COOKIE_SECURE": True, "CSRF_COOKIE_SECURE": True,
}
"""What REWIRE_HTTPS=1 sets, as `tests/rewire/test_settings.py` reads it."""


@pytest.fixture(scope="session")
def visit(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Visit:
    folder = tmp_path_factory.mktemp("media")
    changed = override_settings(MEDIA_ROOT=folder, BACKUP_DIR=folder, **OVER_HTTPS)
    with django_db_blocker.unblock(), changed, transaction.atomic():
        found = read_all()
        transaction.set_rollback(True)
    return found


def read_all() -> Visit:
    rows = HostileRows()
    office, stranger = signed_in(make_office(rows.firm)), Client()
    links = {purpose: link_for(rows, purpose) for purpose in SecretLink.Purpose.values}
    rows.keep(links[SecretLink.Purpose.TRADE_PAGE])
    asked = [(name, office, address(rows, name)) for name in (*OFFICE, *FIRM)]
    asked += [(name, stranger, address_of(rows, name, links[min(purposes)])) for name, (purposes, _) in LINK.items()]
    asked += [(name, stranger, reverse(name)) for name in sorted(OPEN)]
    before = count_rows()
    answers = {name: read(client.get(path, secure=True)) for name, client, path in asked}
    return Visit(answers, before, count_rows())
