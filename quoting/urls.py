"""The pages of the rooms; each room adds its own list."""

from django.urls import URLPattern, URLResolver, path, register_converter
from django.urls.converters import StringConverter

from quoting.views import (
    accounts,
    advice,
    areas,
    bookkeeper,
    books,
    certificates,
    change_orders,
    change_papers,
    costs,
    crew_addresses,
    customer_payments,
    customers,
    customers_end,
    desk,
    exemptions,
    findings,
    firm,
    firm_rows,
    hand_over,
    homeowner,
    homeowner_door,
    homeowner_review,
    invoices,
    job_money,
    jobs,
    late_interest,
    letters,
    link_requests,
    materials,
    option_groups,
    option_sheet,
    options,
    outcomes,
    papers,
    parts,
    passwords,
    payments,
    people_lists,
    photos,
    price_lists,
    pricebook,
    proposal_terms,
    proposals,
    questions,
    rates,
    recall,
    recall_rules,
    region_rules,
    samples,
    search,
    slab_record,
    statements,
    systems,
    typed,
    your_sheet,
)


class FolderNumber(StringConverter):
    """The number of a folder: 0417."""

    regex = "[0-9]{4,12}"


class PaperNumber(StringConverter):
    """The number of a proposal, 0417-B, or of a change order, 0417-C1."""

    regex = "[0-9]{4,12}-(?:[A-Z]{1,3}|C[0-9]{1,4})"


class AnyPaperNumber(StringConverter):
    """The number of any paper: a proposal's, a change order's, a bill's or credit note's 2026-088, a receipt's R-0012,
    a statement's S-0012, a hand-over sheet's H-0012."""

    regex = "[0-9]{4,12}-[A-Z]{1,3}|[0-9]{4,12}-C[0-9]{1,4}|[0-9]{4}-[0-9]{3,9}|[RHS]-[0-9]{4,9}"


class BillNumber(StringConverter):
    """The number of a bill or a credit note: 2026-088."""

    regex = "[0-9]{4}-[0-9]{3,9}"


register_converter(FolderNumber, "folder")
register_converter(PaperNumber, "paper")
register_converter(AnyPaperNumber, "any_paper")
register_converter(BillNumber, "bill")

accounts_pages = [
    path("sign-in/", accounts.sign_in, name="sign-in"),
    path("typed/", typed.typed, name="typed"),
    path("sign-out/", accounts.sign_out, name="sign-out"),
    path("second-factor/", accounts.second_factor, name="second-factor"),
    path("second-factor/set-up/", accounts.second_factor_set_up, name="second-factor-set-up"),
    path("second-factor/picture.svg", accounts.second_factor_picture, name="second-factor-picture"),
    path("account/", accounts.account, name="account"),
    path("account/password/", accounts.change_password, name="change-password"),
    path("account/sign-out-everywhere/", accounts.sign_out_everywhere, name="sign-out-everywhere"),
    path("password/lost/", passwords.lost_password, name="lost-password"),
    path("password/<str:uidb64>/<str:token>/", passwords.new_password, name="new-password"),
    path("firm/people/<int:pk>/link/", passwords.person_link, name="person-link"),
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

# what was found, photographs, advice, colours
F = "folders/<folder:number>"
finding_pages = [
    path(f"{A}/<int:pk>/found/", findings.found, name="found"),
    path(f"{A}/<int:pk>/found/<slug:kind>/", findings.finding_add, name="finding-add"),
    path(f"{A}/<int:pk>/advice/", advice.advice, name="advice"),
    path(f"{F}/found/", findings.found, name="found-whole"),
    path(f"{F}/found/<int:pk>/", findings.finding, name="finding"),
    path(f"{F}/found/<int:pk>/remove/", findings.finding_remove, name="finding-remove"),
    path(f"{F}/found/<slug:kind>/", findings.finding_add, name="finding-add-whole"),
    path(f"{F}/photos/", photos.photos, name="photos"),
    path(f"{F}/photos/<int:pk>/", photos.photo, name="photo"),
    path(f"{F}/photos/<int:pk>/move/", photos.photo_move, name="photo-move"),
    path(f"{F}/photos/<int:pk>/remove/", photos.photo_remove, name="photo-remove"),
    path(f"{F}/photos/<slug:name>-<slug:size>.jpg", photos.photo_file, name="photo-file"),
    path(f"{F}/colours/", samples.colours, name="colours"),
    path(f"{F}/colours/tones/new/", samples.tone, name="tone-add"),
    path(f"{F}/colours/tones/<int:pk>/", samples.tone, name="tone"),
    path(f"{F}/colours/tones/<int:pk>/move/", samples.tone_move, name="tone-move"),
    path(f"{F}/colours/tones/<int:pk>/remove/", samples.tone_remove, name="tone-remove"),
    path(f"{F}/colours/samples/new/", samples.sample_add, name="sample-add"),
    path(f"{F}/colours/samples/<int:pk>/approve/", samples.sample_approve, name="sample-approve"),
    path(f"{F}/colours/samples/<int:pk>/remove/", samples.sample_remove, name="sample-remove"),
]

# proposals and papers
P = "folders/<folder:number>/proposal"
proposal_pages = [
    path(f"{P}/", proposals.proposal_draft, name="proposal-draft"),
    path(f"{P}/begin/", proposals.proposal_start, name="proposal-start"),
    path(f"{P}/preview.pdf", proposals.proposal_preview, name="proposal-preview"),
    path(f"{P}/issue/", proposals.proposal_issue, name="proposal-issue"),
    path(f"{P}/discard/", proposals.proposal_discard, name="proposal-discard"),
    path("folders/<folder:number>/papers/", papers.papers, name="papers"),
    path(f"{P}/terms/", proposal_terms.proposal_terms, name="proposal-terms"),
    path("papers/<any_paper:number>/", papers.paper, name="paper"),
    path("papers/<any_paper:number>.pdf", papers.paper_pdf, name="paper-pdf"),
    path("papers/<paper:number>/revise/", papers.paper_revise, name="paper-revise"),
    path("papers/<paper:number>/withdraw/", papers.paper_withdraw, name="paper-withdraw"),
]

# letters about an offer, and what came of it
letter_pages = [
    path("papers/<paper:number>/send/", letters.paper_send, name="paper-send"),
    path("papers/<paper:number>/follow-up/", letters.paper_follow_up, name="paper-follow-up"),
    path("papers/<paper:number>/follow-up/leave/", letters.follow_up_leave, name="follow-up-leave"),
    path("papers/<paper:number>/lost/", outcomes.paper_lost, name="paper-lost"),
    path("mails/<int:pk>/", letters.mail, name="mail"),
    path("mails/<int:pk>/again/", letters.mail_again, name="mail-again"),
    path("mails/<int:pk>/leave/", letters.mail_leave, name="mail-leave"),
    path("proposals/", outcomes.proposals, name="proposals"),
    path("proposals/figures/", outcomes.figures, name="proposal-figures"),
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

O = "folders/<folder:number>/options"  # noqa: E741
option_pages = [
    path(f"{O}/", options.options, name="options"),
    path(f"{O}/new/", options.option_add, name="option-add"),
    path(f"{O}/<int:pk>/", option_sheet.option, name="option"),
    path(f"{O}/<int:pk>/figures/", option_sheet.option_figures, name="option-figures"),
    path(f"{O}/<int:pk>/extras/new/", options.option_add, name="extra-add"),
    path(f"{O}/<int:pk>/copy/", options.option_copy, name="option-copy"),
    path(f"{O}/<int:pk>/remove/", options.option_remove, name="option-remove"),
    path(f"{O}/<int:pk>/advise/", options.option_advise, name="option-advise"),
    path(f"{O}/<int:pk>/edition/", options.option_move, name="option-move"),
    path(f"{O}/<int:pk>/systems/new/", option_groups.group, name="option-group-add"),
    path(f"{O}/<int:pk>/systems/<int:group_pk>/", option_groups.group, name="option-group"),
    path(f"{O}/<int:pk>/systems/<int:group_pk>/remove/", option_groups.group_remove, name="option-group-remove"),
]

desk_pages = [path("", desk.desk, name="desk")]

people_pages = [
    path("people/", customers.people, name="people"),
    path("people/new/", customers.person_add, name="person-add"),
    path("people/all.csv", people_lists.people_csv, name="people-csv"),
    path("people/files/new/", people_lists.people_list_read, name="people-list-read"),
    path("people/files/<int:pk>/", people_lists.people_list, name="people-list"),
    path("people/files/<int:pk>/columns/", people_lists.people_list_columns, name="people-list-columns"),
    path("people/files/<int:pk>/forget/", people_lists.people_list_forget, name="people-list-forget"),
    path("people/<int:pk>/", customers.person, name="person"),
    path("people/<int:pk>/edit/", customers.person_edit, name="person-edit"),
    path("people/<int:pk>/properties/new/", customers.property_add, name="property-add"),
    path("people/<int:pk>/properties/<int:place>/", customers.property_edit, name="property-edit"),
    path("people/<int:pk>/export.json", customers.person_export, name="person-export"),
    path("people/<int:pk>/merge/", customers_end.person_merge, name="person-merge"),
    path("people/<int:pk>/erase/", customers_end.person_erase, name="person-erase"),
]

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
    path("firm/bills/", firm.firm_bills, name="firm-bills"),
    path("firm/words/", firm.firm_words, name="firm-words"),
    path("firm/rules/", region_rules.rules, name="rules"),
    path("firm/rules/load/", region_rules.rules_load, name="rules-load"),
    path("firm/rules/new/", region_rules.rule_add, name="rule-add"),
    path("firm/rules/<int:pk>/", region_rules.rule, name="rule"),
    path("firm/rules/<int:pk>/switch/", region_rules.rule_switch, name="rule-switch"),
    path("firm/rules/<int:pk>/remove/", region_rules.rule_remove, name="rule-remove"),
]

# the office's side of the homeowner's page
question_pages = [
    path("folders/<folder:number>/questions/", questions.questions, name="questions"),
    path("folders/<folder:number>/questions/<int:pk>/", questions.question_answer, name="question-answer"),
    path("papers/<paper:number>/links/", questions.paper_links, name="paper-links"),
    path("papers/<paper:number>/links/new/", questions.paper_link_make, name="paper-link-make"),
    path("papers/<paper:number>/links/<int:pk>/take-back/", questions.paper_link_revoke, name="paper-link-revoke"),
    path("papers/<paper:number>/evidence.pdf", questions.paper_evidence, name="paper-evidence"),
]

# what is agreed, and changes to it
C = "folders/<folder:number>/changes"
change_order_pages = [
    path(f"{C}/new/", change_orders.change_add, name="change-add"),
    path(f"{C}/<int:pk>/", change_orders.change, name="change"),
    path(f"{C}/<int:pk>/work/", change_orders.change_work, name="change-work"),
    path(f"{C}/<int:pk>/work/<int:work>/remove/", change_orders.change_work_remove, name="change-work-remove"),
    path(f"{C}/<int:pk>/preview.pdf", change_papers.change_preview, name="change-preview"),
    path(f"{C}/<int:pk>/issue/", change_papers.change_issue, name="change-issue"),
    path(f"{C}/<int:pk>/discard/", change_orders.change_discard, name="change-discard"),
    path(f"{C}/<int:pk>/withdraw/", change_papers.change_withdraw, name="change-withdraw"),
    path(f"{C}/<int:pk>/send/", change_papers.change_send, name="change-send"),
    path(f"{C}/<int:pk>/load/", change_papers.change_load, name="change-load"),
]

# money: bills, payments, the books
M = "folders/<folder:number>/money"
money_pages = [
    path("money/", books.money, name="money"),
    path("money/owed/", books.money_owed, name="money-owed"),
    path("people/<int:pk>/payments/new/", customer_payments.customer_payment, name="customer-payment"),
    path("people/<int:pk>/statements/", statements.statements, name="statements"),
    path("people/<int:pk>/statement.pdf", statements.statement, name="statement"),
    path("people/<int:pk>/certificates/", certificates.certificates, name="certificates"),
    path("people/<int:pk>/certificates/<int:row>/file/", certificates.certificate_file, name="certificate-file"),
    path("people/<int:pk>/certificates/<int:row>/remove/", certificates.certificate_remove, name="certificate-remove"),
    path("money/bookkeeper/", bookkeeper.bookkeeper, name="bookkeeper"),
    path("money/bookkeeper/<slug:what>.csv", bookkeeper.bookkeeper_file, name="bookkeeper-file"),
    path(f"{M}/", job_money.job_money, name="job-money"),
    path(f"{M}/credit/", job_money.use_credit, name="use-credit"),
    path(f"{M}/exemption/", exemptions.exemption, name="exemption"),
    path(f"{M}/bill/", invoices.bill_draft, name="bill-draft"),
    path(f"{M}/bill/begin/", invoices.bill_begin, name="bill-begin"),
    path(f"{M}/bill/preview.pdf", invoices.bill_preview, name="bill-preview"),
    path(f"{M}/bill/issue/", invoices.bill_issue, name="bill-issue"),
    path(f"{M}/bill/discard/", invoices.bill_discard, name="bill-discard"),
    path(f"{M}/payments/new/", payments.payment_enter, name="payment-enter"),
    path(f"{M}/payments/<int:pk>/", payments.payment, name="payment"),
    path(f"{M}/payments/<int:pk>/refund/", payments.payment_refund, name="payment-refund"),
    path(f"{M}/payments/<int:pk>/bounced/", payments.payment_bounced, name="payment-bounced"),
    path(f"{M}/payments/<int:pk>/receipt/", payments.payment_receipt, name="payment-receipt"),
    path("bills/<bill:number>/", invoices.bill, name="bill"),
    path("bills/<bill:number>.xml", bookkeeper.bill_for_machines, name="bill-for-machines"),
    path("bills/<bill:number>/remind/", statements.bill_remind, name="bill-remind"),
    path("bills/<bill:number>/interest/", late_interest.bill_interest, name="bill-interest"),
    path("bills/<bill:number>/credit/", invoices.bill_credit, name="bill-credit"),
    path("papers/<any_paper:number>/mail/", invoices.bill_send, name="bill-send"),
]

# the end of a job
W = "folders/<folder:number>/hand-over"
hand_over_pages = [
    path(f"{W}/", hand_over.hand_over, name="hand-over"),
    path(f"{W}/begin/", hand_over.hand_over_begin, name="hand-over-begin"),
    path(f"{W}/preview.pdf", hand_over.hand_over_preview, name="hand-over-preview"),
    path(f"{W}/issue/", hand_over.hand_over_issue, name="hand-over-issue"),
    path(f"{W}/send/", hand_over.hand_over_send, name="hand-over-send"),
    path(f"{W}/signed/", hand_over.hand_over_signed, name="hand-over-signed"),
    path("folders/<folder:number>/slab/", slab_record.slab_record, name="slab-record"),
    path("folders/<folder:number>/slab.pdf", slab_record.slab_record_pdf, name="slab-record-pdf"),
    path("sealing-again/", recall.recall, name="recall"),
    path("firm/sealing-again/", recall_rules.recall_rules, name="recall-rules"),
    path("firm/sealing-again/season/", recall_rules.recall_season, name="recall-season"),
    path("firm/sealing-again/<slug:seal>/", recall_rules.recall_lives, name="recall-lives"),
    path("folders/<folder:number>/cost/", costs.cost, name="cost"),
    path("folders/<folder:number>/cost/enter/", costs.cost_enter, name="cost-enter"),
    path("folders/<folder:number>/cost/extra/", costs.cost_extra, name="cost-extra"),
    path("folders/<folder:number>/cost/extra/<int:pk>/", costs.cost_extra_back, name="cost-extra-back"),
    path("folders/<folder:number>/cost/learn/", costs.cost_learn, name="cost-learn"),
    path("folders/<folder:number>/sealing-again/", recall.recall_letter, name="recall-letter"),
    path("folders/<folder:number>/sealing-again/leave/", recall.recall_leave, name="recall-leave"),
]

# the homeowner's page
Y, Z = "your/<paper:number>", "your/<any_paper:number>"
homeowner_pages = [
    path("p/<str:token>/", homeowner_door.private_link, name="private-link"),
    path("read/<paper:number>/", link_requests.ask_link, name="ask-link"),
    path(f"{Z}/", homeowner.your_paper, name="your-paper"),
    path(f"{Z}/opened/", homeowner.your_paper_opened, name="your-paper-opened"),
    path(f"{Y}/review/", homeowner_review.your_review, name="your-review"),
    path(f"{Y}/consent/", homeowner_review.your_consent, name="your-consent"),
    path(f"{Y}/sign/", homeowner_review.your_sign, name="your-sign"),
    path(f"{Y}/ask/", homeowner.your_question, name="your-question"),
    path(f"{Y}/decline/", homeowner.your_decline, name="your-decline"),
    path(f"{Y}/cancel/", homeowner.your_cancel, name="your-cancel"),
    path(f"{Y}/newer/", homeowner.your_newer, name="your-newer"),
    path(f"{Z}/sign-off/", your_sheet.your_sign_off, name="your-sign-off"),
    path(f"{Z}/paper.pdf", homeowner.your_pdf, name="your-pdf"),
    path(f"{Z}/photos/<slug:sha256>.jpg", homeowner.your_photo, name="your-photo"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    *accounts_pages,
    *desk_pages,
    *folder_pages,
    *area_pages,
    *finding_pages,
    *option_pages,
    *proposal_pages,
    *letter_pages,
    *crew_addresses.crew_pages(),
    *price_book_pages,
    *people_pages,
    *firm_pages,
    *question_pages,
    *change_order_pages,
    *money_pages,
    *hand_over_pages,
    *homeowner_pages,
]
