"""Deeds on fixed choices: a choice of the plan overruled, with a reason."""

from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from catalogue.kinds import Kind
from consult.journal import apply, create, delete
from consult.models import FixedChoice, Project

KIND_OF_PRODUCT = {
    "receiver": Kind.RECEIVER,
    "units": Kind.RECEIVER,
    "driver": Kind.DRIVER,
    "keypad": Kind.KEYPAD,
}


@deed(locks="project")
def fixed_add(
    *, by: Person, project: Project, kind: str, reason: str, **values: Any
) -> FixedChoice:
    """Fix one choice of the plan. A second one about the same thing is refused."""
    row = FixedChoice(project=project, kind=kind, reason=reason, by=by, **values)
    _belongs(project, row)
    wanted = KIND_OF_PRODUCT.get(kind)
    if wanted and (row.product is None or row.product.kind != wanted):
        raise Refusal(_("Choose a product of the right kind."))
    if kind == "together" and row.circuit_id == row.other_circuit_id:
        raise Refusal(_("Choose two different circuits."))
    if _is_fixed(row):
        raise Refusal(_("This is fixed already. Remove that choice first."))
    apply(project=project, by=by, title="fixed_add", about=str(row), changes=[create(row)])
    return row


@deed(locks="row", removes=True)
def fixed_remove(*, by: Person, row: FixedChoice) -> None:
    apply(project=row.project, by=by, title="fixed_remove", about=str(row), changes=[delete(row)])


def _belongs(project: Project, row: FixedChoice) -> None:
    for part in (row.circuit, row.other_circuit, row.keypad_position, row.enclosure):
        if part is not None and part.project_id != project.pk:
            raise Refusal(_("That belongs to another project."))


def _is_fixed(row: FixedChoice) -> bool:
    rows = FixedChoice.objects.filter(project=row.project_id, kind=row.kind)
    match row.kind:
        case "receiver" | "driver":
            return rows.filter(circuit=row.circuit).exists()
        case "together":
            pair = {row.circuit_id, row.other_circuit_id}
            return any({each.circuit_id, each.other_circuit_id} == pair for each in rows)
        case "units":
            return rows.filter(enclosure=row.enclosure, product=row.product).exists()
        case "keypad":
            return rows.filter(keypad_position=row.keypad_position).exists()
    return rows.exists()
