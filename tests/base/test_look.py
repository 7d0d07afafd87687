"""The frame of every page: navigation, look, messages, symbols."""

import re

import pytest
from django import forms
from django.conf import settings
from django.db.models.fields import BLANK_CHOICE_DASH
from django.template import Context, Template

from base import navigation
from base.templatetags.look import may_be_left
from tests.conftest import all_of, one


def test_the_page_in_hand_is_marked_in_the_navigation(manager_client):
    page = manager_client.get("/business/people/")
    assert one(page, "#site-nav a[aria-current]").text == "Business"


@pytest.mark.parametrize(
    ("view_name", "entry"),
    [
        ("home", "home"),
        ("consult:project", "consult:projects"),
        ("consult:client", "consult:clients"),
        ("quoting:revision", "quoting:quotes"),
        ("account_login", ""),
        ("", ""),
    ],
)
def test_a_view_belongs_to_one_entry(view_name, entry):
    assert navigation.current_page(view_name) == entry


class Fields(forms.Form):
    must = forms.CharField()
    may = forms.CharField(required=False)
    must_choose = forms.ChoiceField(choices=[("a", "one"), ("b", "other")])
    said_by_words = forms.ChoiceField(choices=[("", "not known"), ("a", "one")], required=False)
    of_dashes = forms.ChoiceField(choices=[("", "---"), ("a", "one")], required=False)
    of_django = forms.ChoiceField(choices=[*BLANK_CHOICE_DASH, ("a", "one")], required=False)


def test_if_any_stands_where_a_field_may_be_left_and_does_not_say_so_itself():
    form = Fields()
    said = {field.name for field in form if may_be_left(field)}
    assert said == {"may", "of_dashes", "of_django"}


@pytest.mark.parametrize("look", ["light", "dark"])
def test_a_look_is_kept_on_the_device(client, db, look):
    client.post("/look/", {"look": look, "next": "/account/login/"})
    assert one(client.get("/account/login/"), "html")["data-look"] == look
    client.post("/look/", {"look": ""})
    assert "data-look" not in client.get("/account/login/").content.decode()


def test_a_look_leads_to_no_other_host(client, db):
    answer = client.post("/look/", {"look": "dark", "next": "https://elsewhere.example/"})
    assert answer["Location"] == "/"


def test_an_unknown_look_is_not_kept(client, db):
    client.post("/look/", {"look": "x"})
    assert client.cookies["look"].value == ""


def test_live_regions_are_there_before_anything_is_said(designer_client):
    page = designer_client.get("/business/")
    assert one(page, "#messages[role=status]").text == ""
    assert one(page, "#said[role=status]").text == ""
    assert one(page, "#trouble[role=alert]").text == ""


def test_no_page_has_a_style_attribute_or_an_inline_script(manager_client):
    for url in ("/", "/style/", "/business/", "/business/people/", "/account/password/change/"):
        page = manager_client.get(url)
        assert page.status_code == 200
        assert not all_of(page, "[style], style, script:not([src])"), url


def test_every_symbol_that_a_template_names_is_drawn():
    sprite = (settings.BASE_DIR / "static/icons/symbols.svg").read_text()
    drawn = set(re.findall(r'<symbol id="([a-z-]+)"', sprite))
    named = set()
    for path in (settings.BASE_DIR / "templates").rglob("*.html"):
        named |= set(re.findall(r'{% symbol "([a-z-]+)"', path.read_text()))
    assert named
    assert named <= drawn


@pytest.mark.parametrize(
    ("level", "opacity"), [(0, "0"), (10, "0.355"), (100, "1"), (140, "1"), (-3, "0")]
)
def test_a_level_is_shown_as_bright_as_it_looks(level, opacity):
    template = Template("{% load look %}{{ level|opacity }}")
    assert template.render(Context({"level": level})) == opacity


@pytest.mark.parametrize(("share", "drawn"), [(0.5, "50"), (1.2, "100"), (0, "0")])
def test_a_share_is_drawn_in_hundredths(share, drawn):
    assert (
        Template("{% load look %}{{ share|hundredths }}").render(Context({"share": share})) == drawn
    )


def test_a_symbol_alone_says_what_it_is():
    alone = Template('{% load look %}{% symbol "luminaire" title="A \'lamp\'" %}').render(Context())
    assert one(alone, "svg[role=img]")["aria-label"] == "A 'lamp'"
    beside = Template('{% load look %}{% symbol "luminaire" %}').render(Context())
    assert one(beside, "svg")["aria-hidden"] == "true"
