"""Every page in the states it can be in: with nothing in the firm, with a row of everything, wrong, refused, broken."""

from collections.abc import Iterator
from pathlib import Path

from django.db import transaction
from django.test import Client, override_settings
from django.urls import NoReverseMatch, reverse

from jobs.models import SecretLink, User
from jobs.web.middleware import database_trouble
from tests.factories import PASSWORD, make_crew_user, make_firm, make_office, make_person
from tests.published.asvs.answers import Answer, Tags, read
from tests.rows import Rows
from tests.web.access_table import FIRM, LINK, OFFICE, OPEN
from tests.web.test_access import address, address_of, link_for, signed_in

States = dict[str, Answer]
TELLING = ("class", "role", "type")


def collect_states(folder: Path) -> States:
    """Page and state → its answer; of everything done for it nothing stays."""
    with override_settings(MEDIA_ROOT=folder, BACKUP_DIR=folder), transaction.atomic():
        found = dict(_all())
        transaction.set_rollback(True)
    return {name: answer for name, answer in found.items() if answer.is_page}


def leave_out_alike(states: States) -> States:
    """One of those that are built of the same elements."""
    return {name: states[name] for name in {_elements(answer): name for name, answer in states.items()}.values()}


def _elements(answer: Answer) -> frozenset[tuple[str, str]]:
    told = ((tag, [f"{name}={given[name]}" for name in TELLING if name in given]) for tag, given in Tags(answer.body).found)
    return frozenset((tag, " ".join(words)) for tag, words in told)


def _all() -> Iterator[tuple[str, Answer]]:
    yield from _empty()
    yield from _with_rows()
    yield from _broken()


def _empty() -> Iterator[tuple[str, Answer]]:
    """A firm of today: its office, one person with a phone, nothing else."""
    firm = make_firm()
    office, crew = signed_in(make_office(firm)), signed_in(make_crew_user(make_person(firm)))
    for names, client in ((OFFICE, office), (FIRM, crew)):
        for name in names:
            try:
                path = reverse(name)
            except NoReverseMatch:
                continue
            yield f"{name}, empty", read(client.get(path))
    yield from ((f"{name}, open", read(Client().get(reverse(name)))) for name in sorted(OPEN))


def _with_rows() -> Iterator[tuple[str, Answer]]:
    """A firm with a row of everything, whose forms are also sent without anything in them."""
    rows = Rows(make_firm())
    links = {purpose: link_for(rows, purpose) for purpose in SecretLink.Purpose.values}
    rows.keep(links[SecretLink.Purpose.TRADE_PAGE])
    office = make_office(rows.firm)
    paths = {name: (office, address(rows, name)) for name in (*OFFICE, *FIRM)}
    paths |= {name: (None, address_of(rows, name, links[min(purposes)])) for name, (purposes, _) in LINK.items()}
    paths |= {name: (None, reverse(name)) for name in OPEN}
    for name, (user, path) in paths.items():
        yield f"{name}, full", _ask(user, "get", path)
        yield f"{name}, wrong", _ask(user, "post", path)


def _ask(user: User | None, method: str, path: str) -> Answer:
    """In a session of its own, and undone."""
    with transaction.atomic():
        answer = read(getattr(signed_in(user) if user else Client(), method)(path))
        transaction.set_rollback(True)
    return answer


def _broken() -> Iterator[tuple[str, Answer]]:
    make_office(make_firm(), "locked")
    stranger = Client(raise_request_exception=False)
    for _ in range(5):
        locked = stranger.post(reverse("sign_in"), {"username": "locked", "password": "wrong"})
    yield "sign_in, locked", read(locked)
    yield "sign_in, right", read(stranger.post(reverse("sign_in"), {"username": "nobody", "password": PASSWORD}))
    yield "no such page", read(stranger.get("/no/such/page/"))
    yield "no such link", read(stranger.get(reverse("trade_page", args=["unknown"]), headers={"Accept": "text/html"}))
    yield "form too old", read(Client(enforce_csrf_checks=True).post(reverse("sign_in")))
    yield "busy", read(database_trouble(is_full=False))
    yield "disk full", read(database_trouble(is_full=True))
