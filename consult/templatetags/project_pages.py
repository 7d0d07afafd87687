"""The pages of a project, and acts of its history in words. They only format."""

from dataclasses import dataclass

from django import template
from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from consult.models import Project, Room

register = template.Library()

PAGES: tuple[tuple[str, Promise, str], ...] = (
    ("brief", _("Brief"), "consult:brief"),
    ("rooms", _("Rooms"), "consult:project"),
    ("scenes", _("Scenes"), "consult:scenes"),
    ("light", _("Light"), "consult:light_sheet"),
    ("controls", _("Controls"), "consult:controls"),
    ("plan", _("Control plan"), "consult:plan"),
    ("findings", _("Findings"), "consult:findings"),
    ("comparison", _("Against switches"), "consult:comparison"),
    ("places", _("Places"), "consult:places"),
    ("quotes", _("Quotes"), "quoting:of_project"),
    ("notes", _("Notes"), "consult:notes"),
    ("history", _("History"), "consult:history"),
)

ACTS: dict[str, Promise] = {
    "project_start": _("started"),
    "project_change": _("project changed"),
    "floor_add": _("floor added"),
    "floor_change": _("floor changed"),
    "floor_remove": _("floor removed"),
    "room_add": _("room added"),
    "room_change": _("room changed"),
    "room_remove": _("room removed"),
    "room_move": _("room moved"),
    "object_add": _("object added"),
    "object_change": _("object changed"),
    "object_remove": _("object removed"),
    "opening_add": _("opening added"),
    "opening_change": _("opening changed"),
    "opening_remove": _("opening removed"),
    "group_add": _("room group added"),
    "group_change": _("room group changed"),
    "group_remove": _("room group removed"),
    "enclosure_add": _("place for receivers added"),
    "enclosure_change": _("place for receivers changed"),
    "enclosure_remove": _("place for receivers removed"),
    "circuit_add": _("circuit added"),
    "circuit_change": _("circuit changed"),
    "circuit_remove": _("circuit removed"),
    "circuit_move": _("circuit moved"),
    "fitting_add": _("fitting added"),
    "fitting_change": _("fitting changed"),
    "fitting_remove": _("fitting removed"),
    "fitting_move": _("fitting moved"),
    "fitting_to_circuit": _("fitting hung on another circuit"),
    "fitting_to_room": _("fitting hung in another room"),
    "circuit_copy": _("circuit copied"),
    "room_copy": _("room copied"),
    "pattern_save": _("pattern kept"),
    "pattern_apply": _("pattern put in"),
    "product_swap": _("product swapped"),
    "trial_discard": _("what was tried discarded"),
    "library_start": _("library of patterns started"),
    "scene_copy": _("scene copied"),
    "row_fill": _("levels of a circuit set"),
    "scene_add": _("scene added"),
    "scene_change": _("scene changed"),
    "scene_remove": _("scene removed"),
    "scene_move": _("scene moved"),
    "level_set": _("level set"),
    "levels_set": _("levels set"),
    "position_add": _("keypad position added"),
    "position_change": _("keypad position changed"),
    "radio_set": _("way of radio described"),
    "radio_remove": _("way of radio removed"),
    "position_remove": _("keypad position removed"),
    "position_move": _("keypad position moved"),
    "button_set": _("button set"),
    "buttons_fill": _("buttons filled"),
    "button_remove": _("button removed"),
    "option_group_add": _("something to choose added"),
    "option_add": _("option added"),
    "switches_offer": _("ordinary switches offered as an alternative"),
    "option_take": _("option taken or left out"),
    "option_remove": _("option removed"),
    "option_part": _("what comes with an option changed"),
    "fixed_add": _("choice fixed"),
    "fixed_remove": _("fixed choice removed"),
    "finding_set_aside": _("finding set aside"),
    "finding_take_up": _("finding taken up again"),
    "brief_change": _("brief changed"),
    "party_add": _("somebody takes part"),
    "party_change": _("somebody who takes part changed"),
    "party_remove": _("somebody takes part no more"),
    "note_add": _("note written"),
    "note_change": _("note changed"),
    "note_remove": _("note removed"),
    "visit_take_over": _("rooms taken over from the client’s form"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    label: Promise
    url: str
    is_here: bool


@register.simple_tag
def project_pages(project: Project, here: str) -> list[Page]:
    """The pages of a project that exist, the current one marked."""
    found = []
    for name, label, view in PAGES:
        try:
            url = reverse(view, args=[project.pk])
        except NoReverseMatch:
            continue
        found.append(Page(label=label, url=url, is_here=name == here))
    return found


@register.simple_tag
def quotes_region(project: Project) -> str:
    """Where the quotes of a project are shown from; nothing while no such page exists."""
    try:
        return reverse("quoting:project_region", args=[project.pk])
    except NoReverseMatch:
        return ""


@register.simple_tag
def price_region(room: Room) -> str:
    """Where the price of a room is shown from; nothing while no such page exists."""
    try:
        return reverse("quoting:room_price", args=[room.pk])
    except NoReverseMatch:
        return ""


@register.simple_tag
def act(title: str) -> str:
    """An act of the journal in words."""
    return str(ACTS.get(title, title))
