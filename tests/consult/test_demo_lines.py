"""The demo's eleven rooms entered by lines: each circuit in at most two actions beyond typing.

An action is Enter, or a tap on what a line is asked where something else than the first is meant.
"""

import pytest
from django.core.management import call_command
from django.urls import reverse

from catalogue.models import Product
from consult.models import Circuit, Room
from showroom.demo import old_sail_loft as plan
from tests.conftest import all_of
from tests.consult.demo_lines import LINES
from tests.factories import a_project

MOST_ACTIONS = 2


def test_the_lines_are_the_circuits_of_the_demo():
    """No room and no circuit of the demo is left out, and none is of another product."""
    assert set(LINES) == set(plan.CIRCUITS)
    for name, circuits in plan.CIRCUITS.items():
        sources = {each.name: each.hangs[0][0] for each in circuits}
        wanted = [
            (each.layer, each.kind, sources.get(each.hangs[0][1], each.hangs[0][0]))
            for each in circuits
        ]
        assert sorted(line.hangs[:3] for line in LINES[name]) == sorted(wanted), name


def asked(client, room, line, chosen):
    """What the line offers so far: for each field its values and the one that is taken."""
    page = client.get(reverse("consult:quick_read", args=[room.pk]), {"line": line, **chosen})
    offered = {}
    for each in all_of(page, "input"):
        if each["name"] != "read":
            offered.setdefault(each["name"], []).append(each["value"])
    return offered


@pytest.mark.django_db
def test_each_circuit_takes_two_actions_beyond_typing(designer_client, designer):
    call_command("load_catalogue", verbosity=0)
    room = Room.objects.get(project=a_project(by=designer))
    told = []
    for line in [line for lines in LINES.values() for line in lines]:
        product = Product.objects.get(reference=line.reference)
        feed = str(product.feeds.get(number=line.feed).pk)
        wanted = {"product": str(product.pk), "feed": feed, "layer": line.layer,
                  "load_kind": line.load_kind}  # fmt: skip
        chosen, actions = {}, 1
        for field, value in wanted.items():
            values = asked(designer_client, room, line.text, chosen).get(field, [value])
            assert value in values, (line.text, field)
            if values[0] != value:
                actions += 1
                chosen |= {"read": line.text, field: value}
        offered = asked(designer_client, room, line.text, chosen)
        taken = {field: values[0] for field, values in offered.items()} | chosen
        data = {"line": line.text, **taken, "read": line.text}
        designer_client.post(
            reverse("consult:quick_add", args=[room.pk]), data, headers={"HX-Request": "true"}
        )
        circuit = Circuit.objects.filter(room=room).order_by("-number").first()
        hung = circuit.fittings.select_related("product", "feed").get()
        found = (circuit.layer, circuit.load_kind, hung.product.reference, hung.feed.number,
                 hung.pieces, hung.length_m)  # fmt: skip
        assert found == line.hangs, line.text
        told.append((actions, line.text))
    counts = {count: sum(one == count for one, _text in told) for count in (1, 2)}
    print(f"{len(told)} circuits, by actions: {counts}")
    assert [each for each in told if each[0] > MOST_ACTIONS] == []
