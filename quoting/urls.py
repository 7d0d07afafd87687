"""Paths of quotes, issues and links."""

from django.urls import path

from quoting.views import issues, public, quotes, table

app_name = "quoting"
urlpatterns = [
    path("quotes/", quotes.quotes, name="quotes"),
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
    path("issues/<uuid:revision_id>/links/make/", issues.link_make, name="link_make"),
    path("links/<uuid:link_id>/remake/", issues.link_remake, name="link_remake"),
    path("links/<uuid:link_id>/revoke/", issues.link_revoke, name="link_revoke"),
    path("links/<uuid:link_id>/extend/", issues.link_extend, name="link_extend"),
]
urlpatterns += [
    path("o/<str:secret>/", public.offer, name="offer"),
    path("o/<str:secret>/<str:kind>.pdf", public.document, name="offer_document"),
    path("o/<str:secret>/picture/<str:sha256>/", public.picture, name="offer_picture"),
    path("o/<str:secret>/accept/", public.accept, name="offer_accept"),
    path("o/<str:secret>/ask/", public.ask, name="offer_ask"),
    path("o/<str:secret>/decline/", public.decline, name="offer_decline"),
]
