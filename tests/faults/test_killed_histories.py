"""Histories across site, stores, plan and notices, the program killed between and within any two steps.

Each step is sent again until it is acknowledged, as phones and people do. After every death the database stands as
before the step or as after it, and in the end as in a plain model. `--histories` says how many.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from email import message_from_bytes
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from jobs import outbox
from jobs.actions import stock
from jobs.actions.issuing import issue_plan
from jobs.actions.links import make_link
from jobs.actions.operations import apply_operation
from jobs.actions.permission import Refused
from jobs.actions.visits import accept_visit
from jobs.core.stages import Half
from jobs.models import (
    Delivery,
    Job,
    Notice,
    OutboxEntry,
    Plan,
    RoomTask,
    SecretLink,
    SiteOperation,
    Span,
    StockMove,
    ToldDate,
    User,
    Visit,
)
from jobs.queries.told import find_told
from tests.factories import NOW, TODAY, make_area, make_contact, make_crew_user, make_package, make_plan, make_room, make_visit
from tests.faults.doomed import Kill, do
from tests.stores import Store, make_store

pytestmark = pytest.mark.django_db(transaction=True)
DELIVERED = 100
SHARES = ("0.25", "0.5", "1")


@dataclass(frozen=True)
class Step:
    """What happens: the kind, a figure of it, and how the program dies at it."""

    kind: str
    figure: int
    kill: Kill
    after_ms: int


@dataclass
class Model:
    """What should stand: the ticks of each line, pieces by place, the day told and how many notices were written."""

    ticks: dict[int, list[Decimal]] = field(default_factory=lambda: {0: [], 1: []})
    van: int = 0
    used: int = 0
    told: date | None = None
    notices: int = 0
    is_accepted: bool = False


@dataclass(frozen=True)
class World:
    store: Store
    phone: User
    tasks: tuple[RoomTask, ...]
    visit: Visit
    link: SecretLink


steps = st.builds(
    Step, kind=st.sampled_from(["tick", "untick", "load_van", "use", "issue", "accept", "send"]), figure=st.integers(0, 5),
    kill=st.sampled_from(list(Kill)), after_ms=st.integers(0, 40),
)


def make_world() -> World:
    store = make_store()
    Job.objects.filter(pk=store.job.pk).update(state=Job.State.ON_SITE)
    store.firm.quiet_from = store.firm.quiet_until
    store.firm.has_quiet_days = False
    store.firm.save()
    store.receive(DELIVERED)
    area = make_area(store.job)
    package, room = make_package(area), make_room(area)
    tasks = tuple(
        RoomTask.objects.create(firm=store.firm, package=package, room=room, code=f"line{n}", text=f"Line {n}", labour_hours=4)
        for n in range(2)
    )
    contact = make_contact(store.firm)
    link, _ = make_link(purpose=SecretLink.Purpose.TRADE_PAGE, contact=contact, by=store.office, now=NOW)
    return World(store, make_crew_user(store.person), tasks, make_visit(store.job, contact), link)


def send_operation(world: World, number: int, op_id: UUID, kind: str, item: object, value: dict[str, object]) -> None:
    moment = (NOW + timedelta(minutes=number)).isoformat()
    body = {
        "op_id": str(op_id), "kind": kind, "item": str(item), "value": value, "device_at": moment, "sent_at": moment,
    }
    answer = apply_operation(user=world.phone, body=body, now=NOW + timedelta(minutes=number))
    assert answer.status == 200, answer


class History:
    """Plays steps and says of each what it does and what the model makes of it."""

    def __init__(self) -> None:
        self.world, self.model = make_world(), Model()

    def perform(self, number: int, step: Step) -> tuple[Callable[[], object], Callable[[], None]]:
        self.op_id = uuid4()  # of this step, however often it is sent
        return getattr(self, step.kind)(number, step.figure)

    def send_from_site(self, number: int, kind: str, item: object, value: dict[str, object]) -> None:
        send_operation(self.world, number, self.op_id, kind, item, value)

    def tick(self, number: int, figure: int) -> tuple:
        line, share = figure % 2, SHARES[figure % 3]
        task, ticks = self.world.tasks[line], self.model.ticks[line]
        return (
            lambda: self.send_from_site(number, "tick", task.uid, {"share": share, "replaces": []}),
            lambda: ticks.append(Decimal(share)),
        )

    def untick(self, number: int, figure: int) -> tuple:
        line = figure % 2
        task, ticks = self.world.tasks[line], self.model.ticks[line]
        operations = SiteOperation.objects.filter(task=task, kind="tick").values_list("op_id", flat=True)
        seen = [str(one) for one in operations]
        if not seen:
            return (lambda: None), (lambda: None)
        return (
            lambda: self.send_from_site(number, "untick", task.uid, {"replaces": seen}), lambda: ticks.clear(),
        )

    def load_van(self, number: int, figure: int) -> tuple:
        store, pieces = self.world.store, figure + 1

        def move() -> None:
            stock.move(
                item=store.box, pieces=Decimal(pieces), moved_from=store.unit, moved_to=store.van, op_id=self.op_id,
                by=store.office, at=NOW,
            )

        def expect() -> None:
            self.model.van += pieces

        return move, expect

    def use(self, number: int, figure: int) -> tuple:
        value, pieces = {"thing": self.world.store.box.code, "pieces": figure + 1}, figure + 1
        package = self.world.tasks[0].package

        def expect() -> None:
            self.model.van, self.model.used = self.model.van - pieces, self.model.used + pieces

        return lambda: self.send_from_site(number, "used", package.uid, value), expect

    def issue(self, number: int, figure: int) -> tuple:
        """A draft with the visit on another day is issued; pressing again after a lost answer is refused."""
        on, store = TODAY + timedelta(days=7 + figure), self.world.store
        draft = Plan.objects.filter(firm=store.firm, state=Plan.State.DRAFT).first() or make_plan(store.firm)
        span = {"starts_on": on, "starts_half": Half.MORNING, "ends_on": on, "ends_half": Half.AFTERNOON}
        Span.objects.update_or_create(firm=store.firm, plan=draft, visit=self.world.visit, defaults=span)

        def press() -> None:
            try:
                issue_plan(plan=draft, version=draft.version, by=store.office, now=NOW + timedelta(minutes=number))
            except Refused as refused:
                if "issued already" not in refused.message:
                    raise

        def expect() -> None:
            is_news = on != self.model.told
            self.model.notices += is_news
            self.model.is_accepted = self.model.is_accepted and not is_news
            self.model.told = on

        return press, expect

    def accept(self, number: int, figure: int) -> tuple:
        told = find_told(self.world.visit)
        if told is None or told.answer == ToldDate.Answer.ACCEPTED:
            return (lambda: None), (lambda: None)

        def expect() -> None:
            self.model.is_accepted = True
            self.model.notices += 1  # their calendar says that it is agreed

        return lambda: accept_visit(told=told, link=self.world.link, now=NOW + timedelta(minutes=number)), expect

    def send(self, number: int, figure: int) -> tuple:
        """A round of the runner, later than any lease of one that died."""
        return lambda: outbox.run_due(NOW + timedelta(hours=number + 1)), lambda: None

    def standing(self) -> tuple:
        """What is written, in the terms of the model; and everything that must be written with it."""
        world, firm = self.world, self.world.store.firm
        shares = [task.done_share for task in RoomTask.objects.filter(pk__in=[t.pk for t in world.tasks]).order_by("pk")]
        told = find_told(world.visit)
        return (
            shares, pieces_at(world.store.van), pieces_at(world.store.fitted), told and told.starts_on,
            Notice.objects.filter(firm=firm).count(), bool(told) and told.answer == ToldDate.Answer.ACCEPTED,
        )

    def expected(self) -> tuple:
        model = self.model
        shares = [max(ticks, default=Decimal(0)) for _, ticks in sorted(model.ticks.items())]
        return shares, model.van, model.used, model.told, model.notices, model.is_accepted

    def hold(self) -> None:
        """What is true at any moment."""
        world, firm = self.world, self.world.store.firm
        assert world.store.held(world.store.van) == pieces_at(world.store.van)
        assert world.store.held(world.store.unit) == pieces_at(world.store.unit)
        assert pieces_at(world.store.unit) + pieces_at(world.store.van) + pieces_at(world.store.fitted) == DELIVERED
        assert Plan.objects.filter(firm=firm, state=Plan.State.ISSUED).count() <= 1
        assert OutboxEntry.objects.filter(firm=firm, task="send_notice").count() == Notice.objects.filter(firm=firm).count()
        issued = Span.objects.filter(plan__firm=firm, plan__state=Plan.State.ISSUED).values_list("starts_on", flat=True)
        told = find_told(world.visit)
        assert list(issued) == ([told.starts_on] if told else [])


def pieces_at(place: object) -> Decimal:
    """The sum of every movement ever written, added up here."""
    into = sum(StockMove.objects.filter(moved_to=place).values_list("pieces", flat=True))
    return into - sum(StockMove.objects.filter(moved_from=place).values_list("pieces", flat=True))


def play(history: History, happened: list[Step]) -> None:
    for number, step in enumerate(happened):
        perform, expect = history.perform(number, step)
        before = history.expected()
        is_heard = do(perform, step.kill, after_ms=step.after_ms)
        expect()
        history.hold()
        assert history.standing() in ([history.expected()] if is_heard else [before, history.expected()])
        if not is_heard:
            assert do(perform, Kill.NEVER)
            assert history.standing() == history.expected()
    assert do(lambda: outbox.run_due(NOW + timedelta(days=3)), Kill.NEVER)


def mails_in(folder: Path) -> set[str]:
    """Message-IDs of what was sent, however often."""
    parts = [part for file in folder.iterdir() for part in file.read_bytes().split(b"-" * 79) if part.strip()]
    return {message_from_bytes(part.strip())["Message-ID"] for part in parts}


def test_everything_happens_once_when_the_program_is_killed_at_any_step(request, settings, tmp_path) -> None:
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = "django.core.mail.backends.filebased.EmailBackend", tmp_path
    check_histories(max(request.config.getoption("--histories") // 5, 1), tmp_path)


def check_histories(examples: int, mails: Path) -> None:
    # A death is not repeatable to the millisecond, so nothing is made smaller.
    @settings(max_examples=examples, database=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(st.lists(steps, min_size=4, max_size=12))
    def check(happened: list[Step]) -> None:
        history = History()
        play(history, happened)
        firm = history.world.store.firm
        ids = set(Notice.objects.filter(firm=firm).values_list("message_id", flat=True))
        assert Delivery.objects.filter(notice__firm=firm).count() == len(ids)
        assert ids <= (mails_in(mails) if ids else set())
        assert Visit.objects.get(pk=history.world.visit.pk).state != Visit.State.CANCELLED

    check()
