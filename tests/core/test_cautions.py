from jobs.core import cautions
from jobs.core.cautions import cautions_for
from jobs.core.stages import Stage


def titles(*stages: Stage, boards_open=False, is_alone=False, has_under_18=False) -> list[str]:
    found = cautions_for(set(stages), boards_open=boards_open, is_alone=is_alone, has_under_18=has_under_18)
    return [caution.title for caution in found]


def test_asbestos_and_isolation_come_first_when_stripping_out():
    assert titles(Stage.STRIP_OUT)[:2] == ["Asbestos", "Safe isolation"]


def test_people_and_open_boards_come_before_the_stage_when_they_apply():
    found = titles(Stage.FIRST_FIX, boards_open=True, is_alone=True, has_under_18=True)

    assert found[:3] == [cautions.UNDER_18.title, cautions.ALONE.title, cautions.BOARDS.title]


def test_a_caution_is_given_once_when_two_stages_call_for_it():
    assert titles(Stage.STRIP_OUT, Stage.TEST).count("Safe isolation") == 1


def test_nothing_is_said_when_only_plaster_is_waiting():
    assert titles(Stage.PLASTER_WAIT) == []
