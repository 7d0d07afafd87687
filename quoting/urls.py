"""Paths of quotes, issues and links."""

from django.urls import path

from quoting.views import issues, letters, lists, options, payments, public, quotes, rules, table

app_name = "quoting"
urlpatterns = [
    path("quotes/", lists.quotes, name="quotes"),
    path("quotes/months/", lists.by_month, name="by_month"),
    path("quotes/rules/", rules.rules, name="rules"),
    path("quotes/rules/factors/set/", rules.factor_set, name="factor_set"),
    path(
        "quotes/rules/factors/<uuid:factor_id>/remove/", rules.factor_remove, name="factor_remove"
    ),
    path("quotes/rules/letters/<slug:name>/", rules.wording_page, name="wording"),
    path("quotes/rules/letters/<slug:name>/drop/", rules.wording_drop, name="wording_drop"),
    path("projects/<uuid:project_id>/options/", options.options, name="options"),
    path("projects/<uuid:project_id>/options/prices/", options.option_prices, name="option_prices"),
    path(
        "projects/<uuid:project_id>/options/switches/",
        options.switches_offer,
        name="switches_offer",
    ),
    path("projects/<uuid:project_id>/options/add/", options.group_add, name="group_add"),
    path("options/<uuid:option_id>/take/", options.option_take, name="option_take"),
    path("options/<uuid:option_id>/remove/", options.option_remove, name="option_remove"),
    path("options/<uuid:option_id>/parts/put/", options.part_put, name="part_put"),
    path("options/<uuid:option_id>/parts/out/", options.part_take_out, name="part_take_out"),
    path("projects/<uuid:project_id>/hours/", rules.hours, name="hours"),
    path("projects/<uuid:project_id>/hours/add/", rules.hours_add, name="hours_add"),
    path("hours/<uuid:hours_id>/remove/", rules.hours_remove, name="hours_remove"),
    path("projects/<uuid:project_id>/quotes/", quotes.of_project, name="of_project"),
    path("projects/<uuid:project_id>/quotes/region/", quotes.project_region, name="project_region"),
    path("projects/<uuid:project_id>/quotes/start/", quotes.quote_start, name="quote_start"),
    path("rooms/<uuid:room_id>/price/", quotes.room_price, name="room_price"),
    path("rooms/<uuid:room_id>/figures/", table.room_figures, name="room_figures"),
    path(
        "rooms/<uuid:room_id>/figures/closed/",
        table.room_figures_closed,
        name="room_figures_closed",
    ),
    path("quotes/<uuid:quote_id>/", quotes.quote, name="quote"),
    path("quotes/<uuid:quote_id>/change/", quotes.quote_change, name="quote_change"),
    path("quotes/<uuid:quote_id>/discard/", quotes.quote_discard, name="quote_discard"),
    path("quotes/<uuid:quote_id>/copy/", quotes.quote_copy, name="quote_copy"),
    path("quotes/<uuid:quote_id>/approve/", quotes.quote_approve, name="quote_approve"),
    path("quotes/<uuid:quote_id>/discounts/set/", quotes.discount_set, name="discount_set"),
    path(
        "quotes/discounts/<uuid:discount_id>/remove/",
        quotes.discount_remove,
        name="discount_remove",
    ),
    path("quotes/<uuid:quote_id>/lines/add/", quotes.line_add, name="line_add"),
    path("quotes/lines/<uuid:line_id>/", quotes.line_change, name="line_change"),
    path("quotes/lines/<uuid:line_id>/remove/", quotes.line_remove, name="line_remove"),
    path("quotes/<uuid:quote_id>/override/", quotes.override, name="override"),
    path(
        "quotes/overrides/<uuid:override_id>/clear/", quotes.override_clear, name="override_clear"
    ),
    path("quotes/overrides/<uuid:override_id>/keep/", quotes.override_keep, name="override_keep"),
    path("quotes/<uuid:quote_id>/issue/", issues.quote_issue, name="quote_issue"),
    path("quotes/<uuid:quote_id>/revise/", issues.quote_revise, name="quote_revise"),
    path("quotes/<uuid:quote_id>/withdraw/", issues.quote_withdraw, name="quote_withdraw"),
    path("issues/<uuid:revision_id>/", issues.revision, name="revision"),
    path("issues/<uuid:revision_id>/<str:kind>.pdf", issues.revision_file, name="revision_file"),
    path("issues/<uuid:revision_id>/documents/make/", issues.documents_make, name="documents_make"),
    path("issues/<uuid:revision_id>/vary/", issues.variation_start, name="variation_start"),
    path("issues/<uuid:revision_id>/payments/enter/", payments.enter, name="payment_enter"),
    path("issues/<uuid:revision_id>/pack/release/", payments.release, name="pack_release"),
    path("issues/<uuid:revision_id>/payments/ask/", payments.ask, name="payment_ask"),
    path("payments/<uuid:payment_id>/undo/", payments.undo, name="payment_undo"),
    path("payments/<uuid:payment_id>/receipt.pdf", payments.receipt, name="payment_receipt"),
    path("issues/<uuid:revision_id>/differences/", letters.differences, name="differences"),
    path(
        "issues/<uuid:revision_id>/differences/paper/",
        letters.differences_pdf,
        name="differences_pdf",
    ),
    path("issues/<uuid:revision_id>/export/<slug:form>/", letters.export, name="export"),
    path("questions/<uuid:question_id>/answer/", letters.question_answer, name="question_answer"),
    path("letters/<uuid:letter_id>/again/", letters.letter_again, name="letter_again"),
    path("letters/<uuid:letter_id>/settle/", letters.letter_settle, name="letter_settle"),
    path("links/<uuid:link_id>/send/", letters.link_send, name="link_send"),
    path("issues/<uuid:revision_id>/links/make/", issues.link_make, name="link_make"),
    path("links/<uuid:link_id>/remake/", issues.link_remake, name="link_remake"),
    path("links/<uuid:link_id>/revoke/", issues.link_revoke, name="link_revoke"),
    path("links/<uuid:link_id>/extend/", issues.link_extend, name="link_extend"),
]
urlpatterns += [
    path("o/<str:secret>/", public.offer, name="offer"),
    path("o/<str:secret>/<str:kind>.pdf", public.document, name="offer_document"),
    path("o/<str:secret>/receipts/<uuid:payment_id>/", public.receipt, name="offer_receipt"),
    path("o/<str:secret>/picture/<str:sha256>/", public.picture, name="offer_picture"),
    path("o/<str:secret>/accept/", public.accept, name="offer_accept"),
    path("o/<str:secret>/ask/", public.ask, name="offer_ask"),
    path("o/<str:secret>/decline/", public.decline, name="offer_decline"),
]
