"""The findings of a project as its pages show them: worded, linked to their place, set aside or not."""

from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from consult.derived import fingerprint, inputs, kept, planned, read_house
from consult.findings import Case, Found, find_all
from consult.findings.wording import Sentences, sentences
from consult.light.targets import read_targets
from consult.models import Project, SetAside
from consult.pieces import House
from consult.planning import PlannedHouse

HEADINGS: dict[str, Promise] = {
    "stop": _("Stops the job"),
    "look": _("Look at this"),
    "note": _("For your knowledge"),
}
OF_A_ROW = {
    "room": "consult:room_change",
    "position": "consult:position_change",
    "enclosure": "consult:enclosure_change",
    "scene": "consult:scene_change",
    "group": "consult:group_change",
    "product": "catalogue:product",
}
OF_A_PROJECT = {
    "project": "consult:project_change",
    "scenes": "consult:scenes",
    "controls": "consult:controls",
    "plan": "consult:plan",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """One finding on a page. `aside` is the row that put it aside; `is_again` with other values."""

    found: Found
    words: Sentences
    url: str
    room: str
    aside: SetAside | None
    values_sha256: str

    @property
    def is_open(self) -> bool:
        return self.aside is None or self.is_again

    @property
    def is_again(self) -> bool:
        return self.aside is not None and self.aside.values_sha256 != self.values_sha256


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """The findings of a project: open ones by severity, then those set aside."""

    rows: tuple[FindingRow, ...]

    @property
    def groups(self) -> list[tuple[str, str, list[FindingRow]]]:
        """Severity, heading and open rows; severities without any are left out."""
        found = []
        for severity, heading in HEADINGS.items():
            rows = [row for row in self.rows if row.is_open and row.found.severity == severity]
            if rows:
                found.append((severity, str(heading), rows))
        return found

    @property
    def aside(self) -> list[FindingRow]:
        return [row for row in self.rows if not row.is_open]

    @property
    def open(self) -> list[FindingRow]:
        return [row for row in self.rows if row.is_open]


def find(house: House, plan: PlannedHouse) -> tuple[Found, ...]:
    """All findings of a house, from the cache where the same was asked before."""
    targets = read_targets()
    return kept(
        "findings",
        (*inputs(house), plan.is_exact, targets),
        lambda: find_all(Case(house=house, plan=plan, targets=targets)),
    )


def read_findings(project: Project) -> Findings:
    house = read_house(project)
    return findings_of(project, house, planned(house))


def findings_of(
    project: Project, house: House, plan: PlannedHouse, *, room: str | None = None
) -> Findings:
    """The findings of a house, or of one of its rooms, with what was set aside: one query."""
    found = [each for each in find(house, plan) if room is None or each.room == room]
    aside = {(row.rule, row.about): row for row in SetAside.objects.filter(project=project)}
    return Findings(rows=tuple(_rows(found, house, aside)))


def _rows(
    found: Iterable[Found], house: House, aside: dict[tuple[str, str], SetAside]
) -> Iterable[FindingRow]:
    for each in found:
        room = house.design.room_of.get(each.room or "")
        yield FindingRow(
            found=each,
            words=sentences(each),
            url=place_url(each, house),
            room=room.name if room else "",
            aside=aside.get((each.rule, each.about)),
            values_sha256=fingerprint(each.severity, each.values),
        )


def place_url(found: Found, house: House) -> str:
    """Where a finding is mended."""
    if found.place == "circuit":
        circuit = house.design.circuit_of[found.place_key]
        return f"{reverse('consult:room', args=[circuit.room])}#circuit-{circuit.id}"
    if found.place == "products":
        return reverse("catalogue:products")
    if found.place == "bench":
        load, receiver = (house.products[key] for key in found.place_key.split("/"))
        asked = urlencode({"load": load.reference, "receiver": receiver.reference})
        return f"{reverse('catalogue:bench_add')}?{asked}"
    if found.place in OF_A_PROJECT:
        return reverse(OF_A_PROJECT[found.place], args=[house.design.project.id])
    return reverse(OF_A_ROW[found.place], args=[found.place_key])
