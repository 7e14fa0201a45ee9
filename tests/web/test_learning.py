import pytest
from django.urls import reverse

from jobs.models import LabourNorm
from jobs.queries.learning import find_suggestion
from tests.factories import make_crew_user, make_firm, make_office, make_person
from tests.learning import finish_in, make_surveyed_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def firm():
    return make_firm(with_catalogue=True)


@pytest.fixture
def office(client, firm):
    client.force_login(make_office(firm))
    return client


def _norm(firm):
    return LabourNorm.objects.get(firm=firm, point_kind__code="double-socket", stage="first_fix", wall_kind="masonry")


def test_the_page_says_so_when_there_is_nothing_to_learn_from(office):
    page = office.get(reverse("learned_hours")).content.decode()
    assert "No finished package says anything new yet" in page
    assert "10 hours estimated take 7.8 to 12.8" in page


def test_the_sum_is_shown_in_words_when_a_package_is_finished(office, firm):
    finish_in(make_surveyed_job(firm), 1.5)
    page = office.get(reverse("learned_hours")).content.decode()
    assert "1 finished package took 1.50 times the estimate for such work on average" in page
    assert f"Use {find_suggestion(_norm(firm)).suggested_hours} h" in page


def test_the_norm_changes_when_a_suggestion_is_taken_over(office, firm):
    finish_in(make_surveyed_job(firm), 1.5)
    norm = _norm(firm)
    hours = find_suggestion(norm).suggested_hours
    response = office.post(reverse("accept_learned_hours", args=[norm.pk]), {"hours": hours}, follow=True)
    assert "by own records, 1 package" in response.content.decode()
    assert _norm(firm).labour_hours == hours


@pytest.mark.parametrize("hours", ["", "many", "-1", "NaN", "1e99", "0.01"])
def test_nothing_changes_when_the_hours_sent_are_not_those_shown(office, firm, hours):
    finish_in(make_surveyed_job(firm), 1.5)
    norm = _norm(firm)
    response = office.post(reverse("accept_learned_hours", args=[norm.pk]), {"hours": hours}, follow=True)
    assert "Look at the figures again" in response.content.decode()
    assert _norm(firm).labour_hours == norm.labour_hours


def test_a_norm_of_another_firm_is_not_found_when_taken_over(office):
    norm = _norm(make_firm("Other firm", with_catalogue=True))
    assert office.post(reverse("accept_learned_hours", args=[norm.pk]), {"hours": "1"}).status_code == 404


def test_crew_are_sent_away_when_they_open_the_page(client, firm):
    client.force_login(make_crew_user(make_person(firm)))
    assert client.get(reverse("learned_hours")).status_code == 302


def test_the_catalogue_leads_there_when_opened(office):
    assert reverse("learned_hours") in office.get(reverse("catalogue")).content.decode()
