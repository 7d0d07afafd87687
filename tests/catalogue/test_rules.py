"""Objections in the trade's words: each at its field, and nothing saved."""

import pytest

from catalogue.models import Product
from tests.catalogue.sent import FEED, LIMIT, made, sent
from tests.conftest import all_of, one

ADD = "/catalogue/add/{}/"


def feed(**changes):
    return [{**FEED, **changes}]


def limits(**changes):
    return [{**LIMIT, **changes}]


DC = {"load_kinds": ["dc-tunable"], "edge": "", "supply_v": "24"}
CASES = [
    ("fitting", {"feeds": feed(load_kinds=["switched"], edge="")}, "feeds-0-load_kinds",
     "A dimmable fitting needs at least one way of dimming."),
    ("fitting", {"feeds": feed(load_kinds=[], is_dimmable="", edge="")}, "feeds-0-load_kinds",
     "choose at least one way"),
    ("fitting", {"feeds": feed(load_kinds=["digital-dimmed"])}, "feeds-0-edge", "belongs to phase dimming"),
    ("fitting", {"feeds": feed(luminaire_lm="900")}, "feeds-0-luminaire_lm", "More light leaves"),
    ("fitting", {"feeds": feed(watts="2")}, "feeds-0-watts", "not to be had"),
    ("fitting", {"feeds": feed(cct_to_k="2000")}, "feeds-0-cct_to_k", "from the lower to the higher"),
    ("fitting", {"feeds": feed(beam_deg="361")}, "feeds-0-beam_deg", "at most 360°"),
    ("fitting", {"feeds": feed(watts="-1")}, "feeds-0-watts", "greater than or equal to 0"),
    ("fitting", {"feeds": feed(watts="NaN")}, "feeds-0-watts", "Give a number"),
    ("fitting", {"feeds": feed(watts="1e9")}, "feeds-0-watts", "less than or equal to"),
    ("fitting", {"feeds": feed(watts="many")}, "feeds-0-watts", "Give a number"),
    ("fitting", {"feeds": feed(power_factor="1.2")}, "feeds-0-power_factor", "at most 1"),
    ("fitting", {"feeds": feed(cri="101")}, "feeds-0-cri", "less than or equal to 100"),
    ("fitting", {"feeds": feed(supply_v="24", current_ma="350")}, "feeds-0-supply_v", "constant voltage or a constant current"),
    ("fitting", {"feeds": feed(driver_place="apart")}, "feeds-0-supply_v", "fill in one"),
    ("fitting", {"feeds": feed(driver_place="apart", current_ma="350")}, "feeds-0-forward_v", "forward voltage"),
    ("fitting", {"feeds": feed(load_nature="motor")}, "feeds-0-load_kinds", "never dimmed"),
    ("fitting", {"feeds": feed(**{**DC, "cct_to_k": ""})}, "feeds-0-cct_to_k", "both ends"),
    ("fitting", {"feeds": feed(**{**DC, "cct_to_k": "5000", "supply_v": ""})}, "feeds-0-supply_v", "needs its voltage"),
    ("fitting", {"technical": {"lamp_count": "2"}}, "technical-lamp_cap", "Name the cap"),
    ("fitting", {"technical": {"lamp_cap": "E27"}}, "technical-lamp_count", "how many lamps"),
    ("fitting", {"technical": {"ip_code": "IP7"}}, "technical-ip_code", "two numerals"),
    ("fitting", {"technical": {"ip_code": "IP95"}}, "technical-ip_code", "two numerals"),
    ("fitting", {"technical": {"weight_kg": "-0.1"}}, "technical-weight_kg", "greater than or equal to 0"),
    ("lamp", {}, "technical-lamp_cap", "A lamp needs its cap"),
    ("tape", {"unit": "piece"}, "sold_length_m", "length of a piece"),
    ("tape", {"unit": "metre", "feeds": feed(watts="")}, "feeds-0-watts", "watts per metre"),
    ("tape", {"unit": "metre", "sold_length_m": "5", "cut_step_m": "6"}, "cut_step_m", "longer than the piece"),
    ("driver", {"technical": {"current_ma": "350"}}, "technical-supply_v",
     "A driver gives either a constant voltage or a constant current: fill in one of them."),
    ("driver", {"technical": {"supply_v": ""}}, "technical-supply_v", "fill in one of them"),
    ("driver", {"technical": {"supply_v": "", "current_ma": "350"}}, "technical-forward_to_v", "highest forward"),
    ("driver", {"technical": {"supply_v": "", "current_ma": "350", "forward_from_v": "40", "forward_to_v": "20"}},
     "technical-forward_from_v", "swap them"),
    ("driver", {"technical": {"min_load_w": "61"}}, "technical-min_load_w", "above the rating"),
    ("driver", {"technical": {"rating_w": "0"}}, "technical-rating_w", "above 0 W"),
    ("driver", {"technical": {"efficiency": "101"}}, "technical-efficiency", "less than or equal to 100"),
    ("driver", {"technical": {"per_device": "B16 twenty"}}, "technical-per_device", "such as B16: 20"),
    ("receiver", {"limits": limits(min_w="300")}, "limits-0-min_w", "The least load is above the most"),
    ("receiver", {"limits": limits(max_w="900")}, "limits-0-max_w", "more than the whole unit"),
    ("receiver", {"limits": [LIMIT, LIMIT]}, "limits-1-load_kind", "stands here twice"),
    ("receiver", {"limits": limits(load_kind="dc-rgb-tunable"), "technical": {"supply_v": "24"}},
     "limits-0-load_kind", "takes 5 outputs; this unit has 4"),
    ("receiver", {"limits": limits(load_kind="dc-white")}, "technical-supply_v", "fed by a driver"),
    ("receiver", {"limits": limits(load_kind="motor")}, "limits-0-load_nature", "is a motor"),
    ("receiver", {"technical": {"outputs": "0"}}, "technical-outputs", "greater than or equal to 1"),
    ("keypad", {"technical": {"scene_buttons": "0"}}, "technical-scene_buttons", "greater than or equal to 1"),
    ("keypad", {"technical": {"engraving_product": "NO-SUCH"}}, "technical-engraving_product", "no product with this reference"),
    ("accessory", {"reference": ""}, "reference", "required"),
    ("accessory", {"name": "x" * 161}, "name", "at most 160"),
    ("accessory", {"waste_share": "120"}, "waste_share", "less than or equal to 100"),
    ("accessory", {"pack_size": "1.5"}, "pack_size", "decimal"),
    ("accessory", {"pack_size": "1000000000"}, "pack_size", "less than or equal to"),
    ("accessory", {"unit": "furlong"}, "unit", "valid choice"),
    ("accessory", {"parts": [{"part": "NO-SUCH", "per": "piece", "quantity": "1"}]}, "parts-0-part", "no product"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "changes", "field", "words"), CASES)
def test_it_objects_at_the_field_and_keeps_nothing(manager_client, kind, changes, field, words):
    page = manager_client.post(ADD.format(kind), sent(kind, **changes))
    assert page.status_code == 200
    assert words in one(page, f"#id_{field}_error").text
    assert not Product.objects.exists()


@pytest.mark.parametrize("code", ["20", "IP65", "ip 44", "IPX4", "6X", "IPXX"])
def test_ip_codes_of_the_standard_are_taken(manager_client, code):
    # Form of the code: IEC 60529, as public texts quote it; either numeral may be X.
    page = manager_client.post(ADD.format("fitting"), sent(technical={"ip_code": code}))
    assert page.status_code == 302
    assert len(Product.objects.get().fitting.ip_code) == 2


def test_what_was_typed_stays(manager_client):
    page = manager_client.post(
        ADD.format("fitting"), sent(name="Quay light", feeds=feed(watts="8,5x", beam_deg="36"))
    )
    assert one(page, "#id_name")["value"] == "Quay light"
    assert one(page, "#id_feeds-0-watts")["value"] == "8,5x"
    assert one(page, "#id_feeds-0-beam_deg")["value"] == "36"
    ticked = [box["value"] for box in all_of(page, "[name=feeds-0-load_kinds][checked]")]
    assert ticked == FEED["load_kinds"]


@pytest.mark.parametrize("text", ["<script>alert(1)</script>", "=1+1", "\"'><img src=x>"])
def test_markup_and_formulas_are_only_text(manager_client, text):
    assert (
        manager_client.post(ADD.format("accessory"), sent("accessory", name=text)).status_code
        == 302
    )
    product = Product.objects.get()
    page = manager_client.get(product.get_absolute_url())
    assert one(page, "h1").text == text
    assert not all_of(page, "main script") and not all_of(page, "main img")


def test_a_reference_is_taken_once_whatever_its_letters(manager_client):
    made(reference="QY-7")
    page = manager_client.post(ADD.format("accessory"), sent("accessory", reference="qy-7"))
    assert "already a product" in one(page, "#id_reference_error").text
    assert Product.objects.count() == 1


def test_a_part_never_needs_its_own_whole(manager_client):
    whole, part = made(reference="QY-1"), made(reference="QY-2")
    needs = [{"part": "QY-2", "per": "piece", "quantity": "2"}]
    url = f"/catalogue/product/{whole.pk}/edit/"
    with_number = [{**FEED, "number": "1"}]
    data = sent(reference="QY-1", feeds=with_number, stored=1, parts=needs, seen="1")
    assert manager_client.post(url, data).status_code == 302
    needs = [{"part": "QY-1", "per": "piece", "quantity": "1"}]
    url = f"/catalogue/product/{part.pk}/edit/"
    data = sent(reference="QY-2", feeds=with_number, stored=1, parts=needs, seen="1")
    page = manager_client.post(url, data)
    assert "never end" in one(page, "#id_parts-0-part_error").text
    assert not part.parts.exists()
