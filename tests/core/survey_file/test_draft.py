from jobs.core.survey_file import DraftPoints, Fault, SurveyDraft, group_faults


def test_equal_faults_are_told_once_with_their_rows_as_spans() -> None:
    faults = [Fault(row, "walls", "brik", "Allowed: Masonry.") for row in (9, 3, 7, 8)]
    (group,) = group_faults(faults)
    assert (group.rows, group.count) == ("3, 7–9", 4)


def test_groups_of_faults_come_in_order_of_their_first_row() -> None:
    groups = group_faults([Fault(5, "walls", "x", "b"), Fault(2, "floor", "y", "a"), Fault(0, "", "", "whole")])
    assert [group.rows for group in groups] == ["", "2", "5"]


def test_points_are_counted_with_their_quantities() -> None:
    draft = SurveyDraft(points=(DraftPoints("Hall", "socket", 3), DraftPoints("Hall", "light", 1)))
    assert draft.point_count == 4
