from django.http import HttpRequest
from django.urls import reverse

SECTIONS = (("This week", "week"), ("Jobs", "job_list"), ("Stores", "stores"), ("Trades", "contact_list"), ("Crew", "crew"))


def office_sections(request: HttpRequest) -> dict[str, list[dict[str, object]]]:
    """The office's sections with the current one marked, for the page head."""
    sections = [
        {"name": name, "address": address, "is_current": _is_within(request.path, address)}
        for name, address in ((name, reverse(view)) for name, view in SECTIONS)
    ]
    return {"office_sections": sections}


def _is_within(path: str, address: str) -> bool:
    return path == address if address == "/" else path.startswith(address)
