"""The business, its people, stored files: what the deeds do, and what they refuse."""

import hashlib
import uuid

import pytest
from django.core.files.storage import default_storage

from base import services
from base.deeds import Stale
from base.models import Business, Deed, Person, StoredFile
from base.services import AddressTaken, FileRefused, LastManager, NotAllowed
from tests.factories import PersonFactory

PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 20
PDF = b"%PDF-1.7\n"

pytestmark = pytest.mark.django_db


# --- the business
def test_a_manager_changes_the_profile(manager):
    changed = services.change_business(
        by=manager, business=Business.objects.current(), name="Pell Light", currency="EUR"
    )
    stored = Business.objects.get(pk=changed.pk)
    assert (stored.name, stored.currency, stored.version) == ("Pell Light", "EUR", 2)


def test_new_terms_are_the_next_version_and_the_same_terms_are_not(manager):
    business = Business.objects.current()
    first = services.change_business(by=manager, business=business, terms="Pay in time.")
    again = services.change_business(by=manager, business=business, terms="Pay in time.")
    assert (first.terms_version, again.terms_version) == (2, 2)


@pytest.mark.parametrize("role", ["designer", "office"])
def test_nobody_else_changes_the_profile(role):
    business = Business.objects.current()
    with pytest.raises(NotAllowed):
        services.change_business(by=PersonFactory(role=role), business=business, name="Mine")
    assert Business.objects.get().name == business.name


def test_a_profile_changed_meanwhile_is_not_overwritten(manager):
    business = Business.objects.current()
    services.change_business(by=manager, business=business, seen=1, name="First")
    with pytest.raises(Stale) as refused:
        services.change_business(by=manager, business=business, seen=1, name="Second")
    assert refused.value.row.name == "First"
    assert Business.objects.get().name == "First"


def test_a_field_that_is_no_part_of_the_profile_is_refused(manager):
    with pytest.raises(ValueError, match="terms_version"):
        services.change_business(by=manager, business=Business.objects.current(), terms_version=9)


# --- people
def test_somebody_added_has_no_password_yet(manager):
    added = services.add_person(
        by=manager, name="Isolde Wray", email=" Isolde@Pell.Example ", role="office"
    )
    assert added.email == "isolde@pell.example"
    assert not added.has_usable_password()


def test_an_address_is_used_once_whatever_its_case(manager):
    PersonFactory(email="isolde@pell.example")
    with pytest.raises(AddressTaken):
        services.add_person(by=manager, name="Other", email="ISOLDE@pell.example", role="office")


def test_a_repeated_request_adds_one_person(manager):
    key = uuid.uuid4()
    values = {"name": "Isolde Wray", "email": "isolde@pell.example", "role": "office"}
    first = services.add_person(by=manager, key=key, **values)
    second = services.add_person(by=manager, key=key, **values)
    assert first == second
    assert Deed.objects.filter(key=key).count() == 1


@pytest.mark.parametrize("deed", ["change", "leave"])
def test_the_last_manager_stays_a_manager(manager, deed):
    PersonFactory(role="manager", is_active=False)
    with pytest.raises(LastManager):
        if deed == "change":
            services.change_person(
                by=manager, person=manager, name="X", email=manager.email, role="designer"
            )
        else:
            services.let_go(by=manager, person=manager)
    stored = Person.objects.get(pk=manager.pk)
    assert stored.is_manager and stored.is_active


def test_a_manager_beside_another_may_go(manager):
    other = PersonFactory(role="manager")
    services.let_go(by=manager, person=other)
    assert not Person.objects.get(pk=other.pk).is_active
    services.take_back(by=manager, person=other)
    assert Person.objects.get(pk=other.pk).is_active


def test_a_designer_adds_changes_and_removes_nobody(designer, manager):
    for deed in (services.let_go, services.take_back):
        with pytest.raises(NotAllowed):
            deed(by=designer, person=manager)
    with pytest.raises(NotAllowed):
        services.add_person(by=designer, name="X", email="x@pell.example", role="manager")
    with pytest.raises(NotAllowed):
        services.change_person(
            by=designer, person=designer, name="X", email="x@pell.example", role="manager"
        )
    assert Person.objects.get(pk=designer.pk).role == "designer"


def test_a_manager_who_has_left_changes_nothing(manager):
    manager.is_active = False
    with pytest.raises(NotAllowed):
        services.add_person(by=manager, name="X", email="x@pell.example", role="manager")


# --- files
def test_the_same_bytes_are_kept_once():
    first = services.store_file(content=PDF, media_type="application/pdf")
    second = services.store_file(content=PDF, media_type="application/pdf")
    assert first == second
    assert first.sha256 == hashlib.sha256(PDF).hexdigest()
    assert (first.size, StoredFile.objects.count()) == (len(PDF), 1)
    with first.file.open("rb") as file:
        assert file.read() == PDF


def test_bytes_left_by_an_undone_transaction_are_used_again():
    kept = services.store_file(content=PDF, media_type="application/pdf")
    name = kept.file.name
    kept.delete()
    assert default_storage.exists(name)
    assert services.store_file(content=PDF, media_type="application/pdf").file.name == name


@pytest.mark.parametrize(
    ("content", "media_type"),
    [
        (b"<svg onload='x'/>", "image/svg+xml"),
        (b"<html>", "text/html"),
        (b"<html>", "image/png"),
        (PNG, "application/pdf"),
        (PNG, "text/plain"),
        (b"a\0b", "text/plain"),
        (b"", "text/plain"),
        (b"x" * (2 * 1024 * 1024 + 1), "text/plain"),
    ],
)
def test_what_is_not_kept_is_refused(content, media_type):
    with pytest.raises(FileRefused):
        services.store_file(content=content, media_type=media_type)
    assert not StoredFile.objects.exists()


def test_a_picture_is_known_by_its_bytes():
    assert services.store_picture(content=PNG).media_type == "image/png"
    with pytest.raises(FileRefused, match="PNG, JPEG or WebP"):
        services.store_picture(content=PDF)


def test_a_mark_is_put_up_and_taken_away(manager):
    business = services.change_mark(by=manager, business=Business.objects.current(), content=PNG)
    assert business.mark.media_type == "image/png"
    assert services.change_mark(by=manager, business=business, content=None).mark is None
