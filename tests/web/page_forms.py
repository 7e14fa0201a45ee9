"""The forms of a page, as a browser would send them."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin


@dataclass
class PageForm:
    """Where a form goes, what it holds as it stands, what each choice may be, and which fields take a file."""

    action: str
    values: dict[str, list[str]] = field(default_factory=dict)
    choices: dict[str, list[str]] = field(default_factory=dict)
    files: set[str] = field(default_factory=set)
    is_multipart: bool = False

    @property
    def shape(self) -> tuple[str, frozenset[str]]:
        """Alike for the same form about other rows."""
        path = "/".join("N" if part.isdigit() else part for part in self.action.split("/"))
        return path, frozenset(self.values) | self.files


class _Reader(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.forms, self._form, self._select, self._area = page, [], None, "", ""

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        given = dict(attributes)
        if tag == "form" and given.get("method", "get").lower() == "post":
            self._form = PageForm(urljoin(self.page, given.get("action") or self.page))
            self.forms.append(self._form)
        elif self._form and given.get("name"):
            self._field(tag, given["name"], given)
        elif self._form and tag == "option" and self._select:
            self._option(given)

    def handle_endtag(self, tag: str) -> None:
        self._form = None if tag == "form" else self._form
        self._select = "" if tag == "select" else self._select

    def _field(self, tag: str, name: str, given: dict[str, str | None]) -> None:
        if given.get("type") == "file":
            self._form.files.add(name)
        elif tag == "select":
            self._select = name
            self._form.values.setdefault(name, [])
        elif given.get("type") in {"radio", "checkbox"}:
            self._form.choices.setdefault(name, []).append(given.get("value") or "on")
            self._form.values.setdefault(name, []).extend([given.get("value") or "on"] if "checked" in given else [])
        elif tag in {"input", "textarea", "button"}:
            self._form.values.setdefault(name, []).append(given.get("value") or "")

    def _option(self, given: dict[str, str | None]) -> None:
        self._form.choices.setdefault(self._select, []).append(given.get("value") or "")
        if "selected" in given:
            self._form.values[self._select].append(given.get("value") or "")


def read_forms(address: str, page: str) -> list[PageForm]:
    reader = _Reader(address)
    reader.feed(page)
    return reader.forms
