"""Deeds on clients and projects."""

from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.journal import apply, create, delete, update
from consult.models import Client, ClientPerson, Enclosure, Floor, Project


@deed()
def client_add(
    *, by: Person, name: str, email: str = "", phone: str = "", address: str = "", note: str = ""
) -> Client:
    client = Client(name=name, email=email, phone=phone, address=address, note=note)
    apply(project=None, by=by, title="client_add", about=name, changes=[create(client)])
    return client


@deed(locks="client")
def client_change(*, by: Person, client: Client, **values: Any) -> Client:
    change = update(client, **values)
    apply(project=None, by=by, title="client_change", about=client.name, changes=[change])
    return client


@deed(locks="client", removes=True)
def client_remove(*, by: Person, client: Client) -> None:
    if client.projects.exists():
        raise Refusal(_("This client has projects. Close those instead; the client stays."))
    changes = [delete(person) for person in client.people.all()] + [delete(client)]
    apply(project=None, by=by, title="client_remove", about=client.name, changes=changes)


@deed(locks="client")
def client_person_add(
    *, by: Person, client: Client, name: str, email: str = "", phone: str = ""
) -> ClientPerson:
    person = ClientPerson(client=client, name=name, email=email, phone=phone)
    apply(project=None, by=by, title="client_person_add", about=name, changes=[create(person)])
    return person


@deed(locks="person", removes=True)
def client_person_remove(*, by: Person, person: ClientPerson) -> None:
    apply(
        project=None,
        by=by,
        title="client_person_remove",
        about=person.name,
        changes=[delete(person)],
    )


@deed()
def project_add(*, by: Person, client: Client, name: str, **values: Any) -> Project:
    """A project with what every house has: one floor and one place for receivers."""
    values.setdefault("designer", by)
    project = Project(client=client, name=name, **values)
    apply(project=None, by=by, title="project_add", about=name, changes=[create(project)])
    enclosure = Enclosure(project=project, name=_("Beside the board"), kind="board")
    floor = Floor(
        project=project, name=_("Ground floor"), code="0", position=1, default_enclosure=enclosure
    )
    apply(
        project=project,
        by=by,
        title="project_start",
        about=name,
        changes=[create(enclosure), create(floor)],
    )
    return Project.objects.get(pk=project.pk)


@deed()
def project_begin(
    *, by: Person, client: Client | None, new_client: str = "", **values: Any
) -> Project:
    """A project, together with its client where that one is new."""
    client = client or client_add(by=by, name=new_client)
    made: Project = project_add(by=by, client=client, **values)
    return made


@deed(locks="project")
def project_change(*, by: Person, project: Project, **values: Any) -> Project:
    change = update(project, **values)
    apply(project=project, by=by, title="project_change", about=project.name, changes=[change])
    return Project.objects.get(pk=project.pk)
