"""The pages of the rooms; each room adds its own list."""

from django.urls import URLPattern, URLResolver, path, register_converter
from django.urls.converters import StringConverter

from quoting.views import (
    accounts,
    areas,
    desk,
    firm,
    firm_rows,
    jobs,
    materials,
    parts,
    price_lists,
    pricebook,
    rates,
    search,
    systems,
)


class FolderNumber(StringConverter):
    """The number of a folder: 0417."""

    regex = "[0-9]{4,12}"


register_converter(FolderNumber, "folder")

accounts_pages = [
    path("sign-in/", accounts.sign_in, name="sign-in"),
    path("sign-out/", accounts.sign_out, name="sign-out"),
    path("second-factor/", accounts.second_factor, name="second-factor"),
    path("second-factor/set-up/", accounts.second_factor_set_up, name="second-factor-set-up"),
    path("second-factor/picture.svg", accounts.second_factor_picture, name="second-factor-picture"),
    path("account/", accounts.account, name="account"),
    path("account/password/", accounts.change_password, name="change-password"),
    path("account/sign-out-everywhere/", accounts.sign_out_everywhere, name="sign-out-everywhere"),
    path("firm/people/", accounts.firm_people, name="firm-people"),
    path("firm/people/add/", accounts.add_person, name="add-person"),
    path("firm/people/<int:pk>/", accounts.edit_person, name="edit-person"),
]

folder_pages = [
    path("search/", search.search, name="search"),
    path("folders/", jobs.folders, name="folders"),
    path("folders/new/", jobs.folder_open, name="folder-open"),
    path("folders/<folder:number>/", jobs.folder, name="folder"),
    path("folders/<folder:number>/asked/", jobs.folder_asked, name="folder-asked"),
]

A = "folders/<folder:number>/areas"
area_pages = [
    path(f"{A}/new/", areas.area_add, name="area-add"),
    path(f"{A}/<int:pk>/", areas.area, name="area"),
    path(f"{A}/<int:pk>/edit/", areas.area_edit, name="area-edit"),
    path(f"{A}/<int:pk>/copy/", areas.area_copy, name="area-copy"),
    path(f"{A}/<int:pk>/agree/", areas.area_agree, name="area-agree"),
    path(f"{A}/<int:pk>/remove/", areas.area_remove, name="area-remove"),
    path(f"{A}/<int:pk>/move/", areas.area_move, name="area-move"),
    path(f"{A}/<int:pk>/parts/new/", parts.part_add, name="part-add"),
    path(f"{A}/<int:pk>/parts/new/figures/", parts.part_figures, name="part-figures-new"),
    path(f"{A}/<int:pk>/parts/<int:part_pk>/", parts.part, name="part"),
    path(f"{A}/<int:pk>/parts/<int:part_pk>/figures/", parts.part_figures, name="part-figures"),
    path(f"{A}/<int:pk>/parts/<int:part_pk>/remove/", parts.part_remove, name="part-remove"),
    path(f"{A}/<int:pk>/parts/<int:part_pk>/move/", parts.part_move, name="part-move"),
]

E = "prices/<int:pk>"
price_book_pages = [
    path("prices/", pricebook.prices, name="prices"),
    path("prices/begin/", pricebook.begin, name="prices-begin"),
    path(f"{E}/", pricebook.edition, name="edition"),
    path(f"{E}/words/", pricebook.edition_words, name="edition-words"),
    path(f"{E}/copy/", pricebook.edition_copy, name="edition-copy"),
    path(f"{E}/publish/", pricebook.edition_publish, name="edition-publish"),
    path(f"{E}/delete/", pricebook.edition_delete, name="edition-delete"),
    path(f"{E}/against/<int:other>/", pricebook.edition_against, name="edition-against"),
    path(f"{E}/materials/new/", materials.material_add, name="material-add"),
    path(f"{E}/materials/<int:row>/", materials.material, name="material"),
    path(f"{E}/materials/<int:row>/remove/", materials.material_remove, name="material-remove"),
    path(f"{E}/materials.csv", price_lists.materials_csv, name="materials-csv"),
    path(f"{E}/price-lists/new/", price_lists.price_list_read, name="price-list-read"),
    path(f"{E}/price-lists/<int:row>/", price_lists.price_list, name="price-list"),
    path(f"{E}/price-lists/<int:row>/drop/", price_lists.price_list_drop, name="price-list-drop"),
    path(f"{E}/systems/new/", systems.system_add, name="system-add"),
    path(f"{E}/systems/<int:row>/", systems.system, name="system"),
    path(f"{E}/systems/<int:row>/remove/", systems.system_remove, name="system-remove"),
    path(f"{E}/systems/<int:row>/steps/new/", systems.step_add, name="system-step-add"),
    path(f"{E}/steps/<int:row>/", systems.step, name="system-step"),
    path(f"{E}/steps/<int:row>/move/", systems.step_move, name="system-step-move"),
    path(f"{E}/steps/<int:row>/remove/", systems.step_remove, name="system-step-remove"),
    path(f"{E}/steps/<int:row>/materials/new/", systems.use_add, name="use-add"),
    path(f"{E}/uses/<int:row>/remove/", systems.use_remove, name="use-remove"),
    path(f"{E}/<slug:noun>/new/", rates.rate_add, name="rate-add"),
    path(f"{E}/<slug:noun>/<int:row>/", rates.rate, name="rate"),
    path(f"{E}/<slug:noun>/<int:row>/remove/", rates.rate_remove, name="rate-remove"),
]

desk_pages = [path("", desk.desk, name="desk")]

firm_pages = [
    path("firm/", firm.firm, name="firm"),
    path("firm/name/", firm.firm_name, name="firm-name"),
    path("firm/look/", firm.firm_look, name="firm-look"),
    path("firm/logo/", firm.firm_logo_keep, name="firm-logo-keep"),
    path("firm/logo.png", firm.firm_logo, name="firm-logo"),
    path("firm/accent.css", firm.firm_accent, name="firm-accent"),
    path("firm/pricing/", firm.firm_pricing, name="firm-pricing"),
    path("firm/tax/", firm_rows.firm_tax, name="firm-tax"),
    path("firm/payments/", firm_rows.firm_payments, name="firm-payments"),
    path("firm/words/", firm.firm_words, name="firm-words"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    *accounts_pages,
    *desk_pages,
    *folder_pages,
    *area_pages,
    *price_book_pages,
    *firm_pages,
]
