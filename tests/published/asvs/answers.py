"""Answers as they were read, and the rows there were before and after."""

from dataclasses import dataclass
from html.parser import HTMLParser

from django.apps import apps
from django.http import HttpResponse


@dataclass(frozen=True)
class Answer:
    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def is_page(self) -> bool:
        """Not a fragment, a file or a redirect."""
        return self.body.lower().startswith(b"<!doctype html")


def read(response: HttpResponse) -> Answer:
    body = b"".join(response) if response.streaming else response.content
    return Answer(response.status_code, dict(response.items()), body)


@dataclass(frozen=True)
class Visit:
    """Route → what a GET of it answered; model → rows before and after all of them."""

    answers: dict[str, Answer]
    before: dict[str, int]
    after: dict[str, int]

    @property
    def pages(self) -> dict[str, Answer]:
        return {name: answer for name, answer in self.answers.items() if answer.is_page}


def count_rows() -> dict[str, int]:
    return {model.__name__: model._base_manager.count() for model in apps.get_app_config("jobs").get_models()}


class Tags(HTMLParser):
    """Every start tag of a page with its attributes."""

    def __init__(self, page: bytes) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str]]] = []
        self.feed(page.decode())

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, {name: value or "" for name, value in attributes}))
