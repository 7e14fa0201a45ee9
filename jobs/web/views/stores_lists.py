"""Stock lists and price lists: downloaded, chosen, looked at, saved."""

from decimal import Decimal
from itertools import zip_longest

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobs.actions import stores_import as actions
from jobs.actions.permission import Refused
from jobs.core.stores_file.columns import price_columns, stock_columns
from jobs.core.stores_file.lists import ListReading, read_prices, read_stock
from jobs.core.stores_file.writing import (
    EXAMPLE_PRICES,
    EXAMPLE_STOCK,
    PRICE_HEADING,
    STOCK_HEADING,
    stock_lines,
    write_csv,
    write_xlsx,
)
from jobs.core.survey_file import MOST_ROWS
from jobs.models import Firm, StoresUpload
from jobs.queries.stores_lists import list_stock_rows, load_known
from jobs.web.access import office_only
from jobs.web.answers import press
from jobs.web.clock import today_of
from jobs.web.file_faults import list_faults
from jobs.web.forms.supply import ListFileForm
from jobs.web.getters import get_own_or_404

Kind = StoresUpload.Kind
CONTENT_TYPES = {
    "csv": "text/csv; charset=utf-8", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@office_only
@require_http_methods(["GET", "POST"])
def import_list(request: HttpRequest, kind: str) -> HttpResponse:
    kind, firm = _kind_or_404(kind), request.user.firm
    form = ListFileForm(request.POST or None, request.FILES or None, kind=kind, firm=firm)
    if request.method == "GET":
        return _import_page(request, kind, ListFileForm(kind=kind, firm=firm))
    if not form.is_valid():
        return _import_page(request, kind, form, status=422)
    data, file = form.cleaned_data, form.cleaned_data["list_file"]
    reading = _read(kind, file.read(), firm, leaves_out_unknown=data.get("leaves_out_unknown", False))
    if reading.faults:
        return _import_page(request, kind, form, reading=reading, file_name=file.name, status=422)
    upload = actions.keep_list(
        kind=kind, file_name=file.name, reading=reading, by=request.user, now=timezone.now(), supplier=data.get("supplier")
    )
    return redirect("preview_list", upload.pk)


@office_only
@require_http_methods(["GET", "POST"])
def preview_list(request: HttpRequest, pk: int) -> HttpResponse:
    """What was understood of a list; POST saves it."""
    upload = get_own_or_404(request, StoresUpload, pk, "supplier")
    kind, firm = Kind(upload.kind), request.user.firm
    if upload.saved_at:
        return _say_in_already(request, upload)
    reading = _read(kind, upload.text.encode(), firm)
    if reading.faults:
        form = ListFileForm(kind=kind, firm=firm)
        return _import_page(request, kind, form, reading=reading, file_name=upload.file_name, status=422)
    if request.method == "POST":
        return _save(request, upload, reading)
    known = load_known(firm)
    rows = list(zip_longest(reading.rows, [seen and Decimal(seen) for seen in upload.seen]))
    page = {"upload": upload, "rows": rows, "is_stock": kind == Kind.STOCK, "known": known, "today": today_of(request)}
    return render(request, "office/stores_list_preview.html", page | _counts(reading))


def _say_in_already(request: HttpRequest, upload: StoresUpload) -> HttpResponse:
    saved_at = timezone.localtime(upload.saved_at)
    messages.success(request, f"{upload.file_name} is in already, since {saved_at:%d.%m.%Y, %H:%M}. Nothing was saved twice.")
    return redirect("stores")


def _counts(reading: ListReading) -> dict[str, int]:
    new = {row.name.casefold() for row in reading.rows if not row.code}
    return {"new_count": len(new), "item_count": len({row.name.casefold() for row in reading.rows})}


def _save(request: HttpRequest, upload: StoresUpload, reading: ListReading) -> HttpResponse:
    about = {"upload": upload, "rows": reading.rows, "by": request.user, "now": timezone.now()}
    try:
        if upload.kind == Kind.STOCK:
            moves = actions.import_stock(**about)
            messages.success(request, f"Saved: {len(reading.rows)} rows. {len(moves)} differences are booked as counted.")
        else:
            saved = actions.import_prices(**about, today=today_of(request))
            messages.success(request, f"Saved: {saved} prices.")
    except Refused as refused:
        upload.refresh_from_db()
        if upload.saved_at:  # the other of two presses was quicker
            return _say_in_already(request, upload)
        messages.error(request, refused.message)
        return redirect("import_list", upload.kind)
    return redirect("stores")


@office_only
@require_POST
def drop_list(request: HttpRequest, pk: int) -> HttpResponse:
    upload = get_own_or_404(request, StoresUpload, pk)
    kind = upload.kind
    press(request, lambda: actions.drop_list(upload=upload, by=request.user))
    return redirect("import_list", kind)


@office_only
@require_GET
def list_file(request: HttpRequest, kind: str, content: str, extension: str) -> HttpResponse:
    """The firm's stock, a filled example or an empty list, as CSV or XLSX."""
    kind = _kind_or_404(kind)
    if content not in {"stock", "example", "empty"} or extension not in CONTENT_TYPES:
        raise Http404
    heading = STOCK_HEADING if kind == Kind.STOCK else PRICE_HEADING
    lines = list(_lines(kind, content, request.user.firm))
    sheet = "Stock" if kind == Kind.STOCK else "Prices"
    data = write_csv(heading, lines) if extension == "csv" else write_xlsx(heading, lines, sheet)
    response = HttpResponse(data, content_type=CONTENT_TYPES[extension])
    response["Content-Disposition"] = f'attachment; filename="{content}-{kind.value}.{extension}"'
    return response


def _lines(kind: Kind, content: str, firm: Firm) -> object:
    if content == "empty":
        return ()
    if kind == Kind.PRICES:
        return EXAMPLE_PRICES
    return EXAMPLE_STOCK if content == "example" else stock_lines(list_stock_rows(firm))


def _kind_or_404(words: str) -> Kind:
    if words not in Kind.values:
        raise Http404
    return Kind(words)


def _read(kind: Kind, data: bytes, firm: Firm, *, leaves_out_unknown: bool = False) -> ListReading:
    known = load_known(firm)
    if kind == Kind.STOCK:
        return read_stock(data, known)
    return read_prices(data, known, leaves_out_unknown=leaves_out_unknown)


def _import_page(
    request: HttpRequest, kind: Kind, form: ListFileForm, *, reading: ListReading | None = None, file_name: str = "",
    status: int = 200,
) -> HttpResponse:
    known = load_known(request.user.firm)
    columns = stock_columns(known.places, known.suppliers) if kind == Kind.STOCK else price_columns()
    page = {
        "kind": kind, "is_stock": kind == Kind.STOCK, "form": form, "file_name": file_name,
        "columns": columns, "most_rows": MOST_ROWS,
    } | (list_faults(reading.faults, reading.notes) if reading else list_faults(()))
    return render(request, "office/stores_list_import.html", page, status=status)
