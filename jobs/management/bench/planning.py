"""The planner's core on published instances, beside a general scheduling library on the same ones."""

import csv
import json
import re
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from statistics import mean
from time import monotonic

from jobs.core.planning import classic
from jobs.management.bench import BenchError
from jobs.management.bench.classic_check import NotAScheduleError, checked_finish

HELP = "published instances, beside PyJobShop"
NEEDS = ("psplib", "pyjobshop")
BEST_KNOWN = "bks.csv"


@dataclass(frozen=True)
class Outcome:
    """What a solver made of an instance: when it finishes, how far above the best known, whether that is proven."""

    finish: int
    gap_percent: float
    is_proven: bool
    seconds: float


Solver = Callable[[object, float, int], tuple[list[int], bool]]
"""Instance, seconds and workers → a start for each activity, and whether nothing finishes sooner."""


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--instances", type=Path, required=True, metavar="DIR", help=f"Patterson files and {BEST_KNOWN}")
    parser.add_argument("--seconds", type=float, default=5.0, help="for each instance and solver")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--limit", type=int, metavar="N", help="only N instances of each set, spread evenly")


def run(
    tell: Callable[[str], None], *, instances: Path, seconds: float, workers: int, limit: int | None, **options: object
) -> None:
    """A table for each set, then everything as one line of JSON."""
    _check_packages()
    best_known, sets, measured = _best_known(instances), _sets(instances, limit), {}
    _warm_up(next(iter(sets.values()))[0])
    for name, files in sets.items():
        tell(f"\n{name}: {len(files)} instances, {seconds:g} s, {workers} workers each")
        outcomes = list(_outcomes(files, best_known, seconds, workers, tell))
        measured[name] = {"n": len(files)} | {solver: _summary([each[solver] for each in outcomes]) for solver in SOLVERS}
        for line in _table(measured[name]):
            tell(line)
    tell(json.dumps({"sets": measured}))


def _check_packages() -> None:
    missing = [package for package in NEEDS if find_spec(package) is None]
    if missing:
        raise BenchError(f"{' and '.join(missing)} missing: pip install -r tests/requirements.txt, then run this again.")


def _best_known(folder: Path) -> dict[str, int]:
    try:
        with (folder / BEST_KNOWN).open(newline="") as file:
            return {row["instance"]: int(row["best_known_makespan"]) for row in csv.DictReader(file)}
    except OSError as error:
        raise BenchError(f"{folder / BEST_KNOWN} cannot be read; it lists the best known finish of each instance.") from error
    except (KeyError, ValueError) as error:
        raise BenchError(f"{folder / BEST_KNOWN} needs the columns instance and best_known_makespan.") from error


def _sets(folder: Path, limit: int | None) -> dict[str, list[Path]]:
    """Instance files by what stands before the last underscore of their names."""
    sets: dict[str, list[Path]] = {}
    for file in sorted(folder.glob("*_*.txt"), key=_natural):
        sets.setdefault(file.stem.rpartition("_")[0], []).append(file)
    if not sets:
        raise BenchError(f"{folder} holds no instances, such as J30_1.txt.")
    return {name: _spread(files, limit) for name, files in sets.items()}


def _natural(file: Path) -> list[int]:
    return [int(number) for number in re.findall(r"\d+", file.stem)]


def _spread(files: list[Path], limit: int | None) -> list[Path]:
    if limit is None or limit >= len(files):
        return files
    return [files[number * len(files) // limit] for number in range(max(1, limit))]


def _warm_up(file: Path) -> None:
    """Libraries are loaded and first used before anything is measured."""
    for solver in SOLVERS.values():
        solver(_read(file), 0.5, 1)


def _read(file: Path):
    from psplib import parse

    return parse(file, instance_format="patterson")


def _outcomes(
    files: list[Path], best_known: dict[str, int], seconds: float, workers: int, tell: Callable[[str], None]
) -> Iterator[dict[str, Outcome]]:
    """Both solvers on each instance; which goes first alternates."""
    for number, file in enumerate(files):
        if file.name not in best_known:
            raise BenchError(f"{BEST_KNOWN} has no line for {file.name}.")
        instance = _read(file)
        names = list(SOLVERS) if number % 2 == 0 else list(SOLVERS)[::-1]
        found = {name: _outcome(name, file, instance, best_known[file.name], seconds, workers) for name in names}
        tell(f"  {file.stem:10} " + "   ".join(f"{name} {_words(found[name])}" for name in SOLVERS))
        yield found


def _outcome(name: str, file: Path, instance, best: int, seconds: float, workers: int) -> Outcome:
    began_at = monotonic()
    starts, is_proven = SOLVERS[name](instance, seconds, workers)
    took = monotonic() - began_at
    try:
        finish = checked_finish(instance, starts)
    except NotAScheduleError as broken:
        raise BenchError(f"{name} gave no schedule of {file.name}: {broken}.") from broken
    return Outcome(finish, 100 * (finish - best) / best, is_proven, took)


def _words(outcome: Outcome) -> str:
    proof = "proven" if outcome.is_proven else ""
    return f"{outcome.finish:4} {outcome.gap_percent:5.2f} % {outcome.seconds:5.2f} s {proof:6}"


def _summary(outcomes: list[Outcome]) -> dict[str, float]:
    return {
        "mean_gap_percent": round(mean(outcome.gap_percent for outcome in outcomes), 3),
        "matched": sum(outcome.gap_percent <= 0 for outcome in outcomes),
        "proven": sum(outcome.is_proven for outcome in outcomes),
        "mean_seconds": round(mean(outcome.seconds for outcome in outcomes), 3),
    }


def _table(measured: dict) -> Iterator[str]:
    yield f"  {'':10} {'mean gap':>9} {'matched':>8} {'proven':>7} {'mean time':>10}"
    for solver in SOLVERS:
        row = measured[solver]
        yield (
            f"  {solver:10} {row['mean_gap_percent']:7.3f} % {row['matched']:8} {row['proven']:7} {row['mean_seconds']:8.2f} s"
        )


def _ours(instance, seconds: float, workers: int) -> tuple[list[int], bool]:
    answer = classic.solve(project_of(instance), seconds=seconds, workers=workers)
    return (list(answer.starts), answer.is_optimal) if answer else ([], False)


def project_of(instance) -> classic.Project:
    """A classic project of an instance as the `psplib` package reads it, each activity with one mode."""
    return classic.Project(
        durations=tuple(activity.modes[0].duration for activity in instance.activities),
        demands=tuple(tuple(activity.modes[0].demands) for activity in instance.activities),
        successors=tuple(tuple(activity.successors) for activity in instance.activities),
        capacities=tuple(resource.capacity for resource in instance.resources),
    )


def _pyjobshop(instance, seconds: float, workers: int) -> tuple[list[int], bool]:
    from pyjobshop import Model

    model = Model()
    resources = [model.add_renewable(resource.capacity) for resource in instance.resources]
    tasks = [model.add_task() for _ in instance.activities]
    for task, activity in zip(tasks, instance.activities, strict=True):
        mode = activity.modes[0]
        model.add_mode(task, resources, duration=mode.duration, demands=mode.demands)
        for after in activity.successors:
            model.add_end_before_start(task, tasks[after])
    result = model.solve(time_limit=seconds, num_workers=workers, display=False)
    return [task.start for task in result.best.tasks], result.status.value == "Optimal"


SOLVERS: dict[str, Solver] = {"ours": _ours, "pyjobshop": _pyjobshop}
