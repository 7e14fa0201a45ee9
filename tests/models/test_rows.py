import pytest
from django.apps import apps
from django.db import models

from tests.factories import make_firm
from tests.rows import Rows

pytestmark = pytest.mark.django_db

MODELS = list(apps.get_app_config("jobs").get_models())


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_row_is_made_with_what_it_points_at_when_a_model_is_asked_for(model: type[models.Model]) -> None:
    assert Rows(make_firm())[model].pk
