"""The addresses of the crew's days, sheets, stock and calendar; urls.py asks for them once its converters are known."""

from django.urls import URLPattern, path

from quoting.views import (
    booking,
    crew_calendar,
    crew_queue,
    crew_rules,
    crew_sheets,
    gear,
    stock,
    visit_page,
    visit_photos,
    visits,
)

F = "folders/<folder:number>"
V = f"{F}/visits/<int:visit>"


def crew_pages() -> list[URLPattern]:
    """Every page of the crew's room."""
    return [
        path(f"{F}/visits/", visits.visits, name="visits"),
        path(f"{F}/visits/again/", visits.visits_again, name="visits-again"),
        path(f"{F}/visits/pick-list.pdf", crew_sheets.pick_list_pdf, name="pick-list-job-pdf"),
        path(f"{F}/visits/mix-sheet.pdf", crew_sheets.mix_sheet_pdf, name="mix-sheet-job-pdf"),
        path(f"{F}/visits/holds/<int:pk>/tell/", visits.visit_tell, name="visit-tell"),
        path(f"{V}/", visit_page.visit, name="visit"),
        path(f"{V}/move/", visits.visit_move, name="visit-move"),
        path(f"{V}/hold/", visits.visit_hold, name="visit-hold"),
        path(f"{V}/entries/<slug:kind>/", visit_page.visit_entry, name="visit-entry"),
        path(f"{V}/photos/", visit_photos.visit_photos, name="visit-photos"),
        path(f"{V}/stock/", booking.visit_stock, name="visit-stock"),
        path(f"{V}/pick-list/", crew_sheets.pick_list, name="pick-list"),
        path(f"{V}/pick-list.pdf", crew_sheets.pick_list_pdf, name="pick-list-pdf"),
        path(f"{V}/mix-sheet.pdf", crew_sheets.mix_sheet_pdf, name="mix-sheet-pdf"),
        path("stock/", stock.stock, name="stock"),
        path("stock/new/", stock.lot_add, name="lot-add"),
        path("stock/<int:pk>/", stock.lot, name="lot"),
        path("stock/<int:pk>/back/", stock.lot_back, name="lot-back"),
        path("firm/gear/", gear.gear, name="gear"),
        path("firm/gear/begin/", gear.gear_begin, name="gear-begin"),
        path("firm/gear/new/<slug:kind>/", gear.gear_add, name="gear-add"),
        path("firm/gear/<int:pk>/", gear.gear_item, name="gear-item"),
        path("firm/gear/<int:pk>/remove/", gear.gear_remove, name="gear-remove"),
        path("firm/crew/", crew_rules.crew_rules, name="crew-rules"),
        path("crew/calendar/", crew_calendar.calendar_address, name="calendar-address"),
        path("crew/calendar/<str:secret>.ics", crew_calendar.crew_calendar, name="crew-calendar"),
        path("crew/worker.js", crew_queue.crew_worker, name="crew-worker"),
        path("crew/token/", crew_queue.crew_token, name="crew-token"),
    ]
