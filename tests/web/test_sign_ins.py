from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.actions.devices import let_in_by_code, make_sign_in
from jobs.models import Device, Person, User
from jobs.web import session_limits
from tests.factories import PASSWORD, make_crew_user, make_firm, make_office, make_person

pytestmark = pytest.mark.django_db
NEW = "second-fix-on-thursday"


@pytest.fixture
def olwen() -> User:
    return make_office(make_firm(), "olwen")


@pytest.fixture
def orrin(olwen: User) -> User:
    return make_office(olwen.firm, "orrin")


@pytest.fixture
def office(client: Client, olwen: User) -> Client:
    client.force_login(olwen)
    return client


@pytest.fixture
def person(olwen: User) -> Person:
    return make_person(olwen.firm, "Priya")


def browser_of(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def phone_of(person: Person, by: User) -> Client:
    code, client = make_sign_in(person=person, by=by, now=timezone.now()).code, Client()
    client.post(reverse("sign_in_with_code"), {"code": code})
    return client


def is_signed_in(client: Client) -> bool:
    return client.get(reverse("hello")).status_code == 200


def press(office: Client, name: str, user: User):
    return office.post(reverse(name, args=[user.pk]))


def test_people_of_the_office_and_phones_are_listed_when_the_page_is_opened(office, olwen, orrin, person):
    let_in_by_code(
        code=make_sign_in(person=person, by=olwen, now=timezone.now()).code, device_name="Android phone", now=timezone.now()
    )
    page = office.get(reverse("sign_ins")).content.decode()
    assert all(words in page for words in ("signs in as orrin", "Priya</a>, Android phone"))


def test_other_firms_people_and_phones_are_not_listed(office):
    other = make_office(make_firm("Another firm"), "stranger")
    phone_of(make_person(other.firm, "Their Priya"), other)
    page = office.get(reverse("sign_ins")).content.decode()
    assert "stranger" not in page
    assert "Their Priya" not in page


def test_every_browser_is_signed_out_when_somebody_signs_out_everywhere(office, olwen):
    elsewhere = browser_of(olwen)
    assert press(office, "sign_out_person", olwen)["Location"] == reverse("sign_in")
    assert not is_signed_in(office)
    assert not is_signed_in(elsewhere)


def test_own_phone_is_signed_out_too_when_the_person_of_the_office_works_on_site(office, olwen, person):
    User.objects.filter(pk=olwen.pk).update(person=person)
    phone = phone_of(person, olwen)
    press(office, "sign_out_person", olwen)
    assert not is_signed_in(phone)


def test_every_phone_is_signed_out_when_the_office_says_so(office, olwen, person):
    phones = [phone_of(person, olwen) for _ in range(2)]
    assert "Sign out every phone" in office.get(reverse("person", args=[person.pk])).content.decode()
    press(office, "sign_out_person", person.user)
    assert not any(is_signed_in(phone) for phone in phones)
    assert is_signed_in(office)


def test_signing_in_works_again_when_everything_was_signed_out(office, olwen):
    press(office, "sign_out_person", olwen)
    office.post(reverse("sign_in"), {"username": "olwen", "password": PASSWORD})
    assert is_signed_in(office)


def test_colleague_is_out_and_stays_out_when_no_longer_let_in(office, orrin):
    theirs = browser_of(orrin)
    press(office, "let_out", orrin)
    assert not is_signed_in(theirs)
    assert theirs.post(reverse("sign_in"), {"username": "orrin", "password": PASSWORD}).status_code == 422


def test_old_session_stays_over_when_a_colleague_is_let_in_again(office, orrin):
    theirs = browser_of(orrin)
    press(office, "let_out", orrin)
    press(office, "let_in", orrin)
    assert not is_signed_in(theirs)
    assert theirs.post(reverse("sign_in"), {"username": "orrin", "password": PASSWORD}).status_code == 302


def test_nobody_shuts_themselves_out(office, olwen):
    press(office, "let_out", olwen)
    assert "cannot shut yourself out" in office.get(reverse("sign_ins")).content.decode()
    assert User.objects.get(pk=olwen.pk).is_active


def test_crew_are_not_switched_here_when_asked(office, person):
    user = make_crew_user(person)
    press(office, "let_out", user)
    assert User.objects.get(pk=user.pk).is_active


def add(office: Client, username: str = "ottoline"):
    return office.post(reverse("add_colleague"), {"name": "Ottoline Finch", "username": username})


def link_for(office: Client, user: User) -> str:
    page = press(office, "make_password_link", user).content.decode()
    return page.split("/password/choose#")[1].split('"')[0]


def choose(secret: str, password: str = NEW, again: str = ""):
    details = {"token": secret, "new_password": password, "once_more": again or password}
    return Client().post(reverse("choose_password"), details)


def test_colleague_chooses_a_password_and_signs_in_when_added(office):
    assert add(office).status_code == 302
    assert choose(link_for(office, User.objects.get(username="ottoline"))).status_code == 302
    answer = Client().post(reverse("sign_in"), {"username": "ottoline", "password": NEW})
    assert answer["Location"] == reverse("week")


@pytest.mark.parametrize("taken", ["orrin", "ORRIN", "two words", ""])
def test_form_says_what_is_wrong_when_a_colleague_cannot_be_added(office, orrin, taken):
    answer = add(office, taken)
    assert answer.status_code == 422
    assert '<details open><summary>Add somebody' in answer.content.decode()


def test_link_works_once_when_it_is_used(office, orrin):
    secret = link_for(office, orrin)
    assert choose(secret).status_code == 302
    assert "used already" in choose(secret).content.decode()


def test_sessions_are_over_when_a_password_is_chosen_by_link(office, orrin):
    theirs = browser_of(orrin)
    choose(link_for(office, orrin))
    assert not is_signed_in(theirs)


def test_link_is_too_old_when_a_day_is_over(office, orrin, settings):
    secret = link_for(office, orrin)
    settings.PASSWORD_RESET_TIMEOUT = -1
    assert choose(secret).status_code == 422


@pytest.mark.parametrize("secret", ["", "1", "x:y", "1:abc-def", "9" * 30 + ":a-b", "²:a-b"])
def test_nothing_is_set_when_the_link_is_made_up(orrin, secret):
    assert choose(secret).status_code == 422
    assert User.objects.get(pk=orrin.pk).check_password(PASSWORD)


@pytest.mark.parametrize(("password", "again"), [("short", "short"), ("password1234", "password1234"), (NEW, NEW + "x")])
def test_form_says_so_when_the_password_is_weak_or_differs(office, orrin, password, again):
    assert choose(link_for(office, orrin), password, again).status_code == 422


def test_links_are_not_guessed_when_somebody_tries_often(office, orrin):
    for _ in range(10):
        choose(f"{orrin.pk}:abc-def")
    assert "Too many tries" in choose(link_for(office, orrin)).content.decode()


def age_session(client: Client, name: str, age: timedelta) -> None:
    session = client.session
    session[name] = (timezone.now() - age).timestamp()
    session.save()


@pytest.mark.parametrize(
    ("name", "age", "stays"),
    [
        (session_limits.SEEN_AT, session_limits.UNUSED_FOR - timedelta(minutes=1), True),
        (session_limits.SEEN_AT, session_limits.UNUSED_FOR, False),
        (session_limits.SIGNED_IN_AT, session_limits.LONGEST - timedelta(minutes=1), True),
        (session_limits.SIGNED_IN_AT, session_limits.LONGEST, False),
    ],
)
def test_browser_is_signed_out_when_unused_or_signed_in_too_long(office, name, age, stays):
    age_session(office, name, age)
    assert is_signed_in(office) == stays


def test_use_is_noted_now_and_then_when_pages_are_read(office):
    age_session(office, session_limits.SEEN_AT, timedelta(minutes=6))
    office.get(reverse("hello"))
    noted = office.session[session_limits.SEEN_AT]
    office.get(reverse("hello"))
    assert timezone.now().timestamp() - noted < 60
    assert office.session[session_limits.SEEN_AT] == noted


@pytest.mark.parametrize(("days", "stays"), [(29, True), (30, False)])
def test_phone_needs_a_new_code_when_it_was_not_used_for_long(olwen, person, days, stays):
    phone = phone_of(person, olwen)
    Device.objects.update(last_seen_at=timezone.now() - timedelta(days=days))
    assert is_signed_in(phone) == stays


def test_phone_stays_signed_in_when_a_browser_would_not(olwen, person):
    phone = phone_of(person, olwen)
    age_session(phone, session_limits.SIGNED_IN_AT, timedelta(days=20))
    assert is_signed_in(phone)
