"""The bench of made-up weeks: what it prints, and how it compares objectives."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from jobs.management.bench import weeks


def bench(*options: str) -> list[str]:
    out = StringIO()
    call_command("bench", "weeks", "--jobs=2", "--seconds=0.5", "--improve=0.3", "--repeats=1", *options, stdout=out)
    return out.getvalue().splitlines()


@pytest.fixture(autouse=True)
def _short_moments(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(weeks, "MOMENTS", (0.2, 0.5))


def test_every_disruption_is_measured_when_weeks_are_benched() -> None:
    measured = json.loads(bench()[-1])
    assert measured["sizes"]["2"]["best"] <= measured["sizes"]["2"]["first"]
    assert len(measured["replans"]) == 6
    assert all(row["least_moved"] <= row["moved"] <= row["moved_at_once"] for row in measured["replans"].values())


def test_the_best_known_is_taken_over_when_an_earlier_output_is_given(tmp_path: Path) -> None:
    (tmp_path / "earlier.txt").write_text(json.dumps({"sizes": {"2": {"best": [0, 0, 0, 1]}}}))
    assert json.loads(bench(f"--best={tmp_path / 'earlier.txt'}")[-1])["sizes"]["2"]["best"] == [0, 0, 0, 1]


def test_the_file_is_named_when_it_is_no_output(tmp_path: Path) -> None:
    (tmp_path / "other.txt").write_text("other")
    with pytest.raises(CommandError, match=r"other\.txt is no output of this bench"):
        bench(f"--best={tmp_path / 'other.txt'}")


@pytest.mark.parametrize(
    ("terms", "words"),
    [((0, 0, 0, 103), "+3.00 %"), ((2, 0, 0, 90), "+2 late"), ((0, 1, 0, 90), "+1 told"), (None, "none yet")],
)
def test_what_matters_most_is_said_when_objectives_differ(terms: tuple[int, ...] | None, words: str) -> None:
    assert weeks.above(terms, (0, 0, 0, 100)) == words
