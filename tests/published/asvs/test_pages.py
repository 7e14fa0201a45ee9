"""Every page there is against OWASP ASVS 5.0.0 (github.com/OWASP/ASVS, 5.0/en): encoding, headers, what is loaded."""

import re
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest

from tests.published.asvs.answers import Tags, Visit

pytestmark = [pytest.mark.django_db, pytest.mark.once]

LOADS = {"script": "src", "img": "src", "link": "href", "form": "action", "source": "src", "iframe": "src", "object": "data"}
POLICY = {
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' blob: data:", "connect-src 'self'",
    "worker-src 'self'", "manifest-src 'self'", "form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'",
}
"""W3C Content Security Policy Level 3: nothing inline, nothing evaluated, nothing from elsewhere; frames nowhere (3.4.6)."""
HEADERS = {
    "Strict-Transport-Security": r"max-age=31536000; includeSubDomains.*",  # 3.4.1: at least a year
    "X-Content-Type-Options": "nosniff",  # 3.4.4
    "Referrer-Policy": "same-origin|no-referrer",  # 3.4.5
    "Cross-Origin-Opener-Policy": "same-origin",  # 3.4.8
}
KEPT_BY_ITS_READER = {
    "photo", "thumbnail", "customer_photo", "customer_thumbnail", "customer_pack_photo", "calendar_feed",
}
"""Pictures of walls, and calendars whose readers ask whether anything is new: privately, in the reader's own program."""
OPEN_FILES = {"manifest", "worker", "offline", "robots"}


def tags(visit: Visit) -> Iterator[tuple[str, str, dict[str, str]]]:
    return ((name, tag, attributes) for name, page in visit.pages.items() for tag, attributes in Tags(page.body).found)


def test_every_route_answers_in_order_when_all_its_texts_are_hostile(visit: Visit) -> None:
    odd = {name: answer.status for name, answer in visit.answers.items() if answer.status not in {200, 302, 405}}
    assert odd == {"survey_preview": 422, "preview_list": 422, "preview_readings": 422}  # no tables: told in words
    assert len(visit.pages) > 80


def test_script_is_inert_when_every_text_of_the_firm_is_one(visit: Visit) -> None:
    """1.2.1, 1.3.2: text stays text; no tag and no attribute comes of it."""
    found = [(name, attributes) for name, tag, attributes in tags(visit) if tag == "script" and "src" not in attributes]
    found += [(name, attributes) for name, _, attributes in tags(visit) if any(key.startswith("on") for key in attributes)]
    assert found == []


def test_hostile_texts_are_on_the_pages_when_they_are_read(visit: Visit) -> None:
    """Without which the test above would prove nothing."""
    shown = [name for name, page in visit.pages.items() if b"&lt;script&gt;&quot;onx=" in page.body]
    assert len(shown) > 60


@pytest.mark.parametrize("header", HEADERS)
def test_header_is_set_when_any_route_answers(visit: Visit, header: str) -> None:
    """3.4.1, 3.4.4, 3.4.5, 3.4.8."""
    wrong = {
        name: answer.headers.get(header)
        for name, answer in visit.answers.items()
        if not re.fullmatch(HEADERS[header], answer.headers.get(header, ""))
    }
    assert wrong == {}


def test_policy_is_strict_when_any_route_answers(visit: Visit) -> None:
    """3.4.3, 3.4.6."""
    said = {name: answer.headers.get("Content-Security-Policy", "") for name, answer in visit.answers.items()}
    assert {name: policy for name, policy in said.items() if {part.strip() for part in policy.split(";")} != POLICY} == {}


def test_file_has_a_plain_name_when_it_is_sent(visit: Visit) -> None:
    """1.2.4, 5.3.2, 5.4.1: no quote, semicolon or path of somebody's words in the header."""
    said = [answer.headers.get("Content-Disposition", "") for answer in visit.answers.values()]
    names = [words for words in said if words]
    assert len(names) >= 8
    assert [words for words in names if not re.fullmatch(r'(attachment|inline); filename="[\w-][\w.-]*"', words)] == []


def test_no_secret_is_asked_for_in_an_address_when_a_form_or_link_is_shown(visit: Visit) -> None:
    """14.2.1: passwords and tokens go in the body of a POST; links name none of them."""
    named = re.compile(r"[?&](token|password|secret|key|csrf\w*)=")
    assert [attributes for _, _, attributes in tags(visit) if named.search(attributes.get("href", ""))] == []
    assert [name for name, page in visit.pages.items() if asks_by_get(page.body, {"password", "token", "old_password"})] == []


def asks_by_get(page: bytes, names: set[str]) -> bool:
    is_get = False
    for tag, attributes in Tags(page).found:
        is_get = attributes.get("method") != "post" if tag == "form" else is_get
        if is_get and tag == "input" and attributes.get("name") in names:
            return True
    return False


def test_nothing_is_loaded_from_elsewhere_when_a_page_is_shown(visit: Visit) -> None:
    """3.6.1: no font, script, style or picture of another host, and no form that leads to one."""
    loaded = {(name, attributes[LOADS[tag]]) for name, tag, attributes in tags(visit) if attributes.get(LOADS.get(tag, ""))}
    assert [(name, url) for name, url in loaded if urlsplit(url).netloc or urlsplit(url).scheme not in {"", "data"}] == []


def test_pages_are_stored_nowhere_when_somebody_is_signed_in_or_has_a_link(visit: Visit) -> None:
    """14.3.2."""
    said = {name: answer.headers.get("Cache-Control", "") for name, answer in visit.answers.items() if answer.status == 200}
    assert {name for name, words in said.items() if "no-store" not in words} <= KEPT_BY_ITS_READER | OPEN_FILES
    assert {said[name].split(",")[0] for name in KEPT_BY_ITS_READER & said.keys()} == {"private"}


def test_nothing_is_added_or_removed_when_every_route_is_only_read(visit: Visit) -> None:
    """3.5.3: what changes something is asked by POST."""
    assert visit.after == visit.before
