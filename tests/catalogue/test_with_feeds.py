"""Products with their feeds in one query are those that prefetching gives."""

import uuid

import pytest

from catalogue.models import Feed, Product
from tests.factories import SupplierFactory, a_product

pytestmark = pytest.mark.django_db


def values(row):
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}


def with_feeds(products):
    return [(values(each), [values(feed) for feed in each.feeds.all()]) for each in products]


def test_products_come_in_order_with_all_feeds_in_one_query(django_assert_num_queries):
    plain = a_product(supplier=SupplierFactory(), waste_share="0.125")
    double = a_product(watts="4.5", load_kinds=("dc-white", "dc-colour"))
    Feed.objects.filter(product=double).update(number=2)
    Feed.objects.create(product=double, number=1, name="down", watts="3")
    bare = a_product(kind="outlet")
    bare.feeds.all().delete()
    a_product(name="not asked for")
    keys = [bare.pk, uuid.uuid4(), double.pk, plain.pk]
    with django_assert_num_queries(1):
        found = Product.objects.in_order_with_feeds(keys)
        held = with_feeds(found)
    assert [each.pk for each in found] == [bare.pk, double.pk, plain.pk]
    assert held == with_feeds(Product.objects.prefetch_related("feeds").in_order(keys))
    assert [feed.number for feed in found[1].feeds.all()] == [1, 2]
    with django_assert_num_queries(0):
        assert [feed.product for feed in found[1].feeds.all()] == [double, double]


def test_no_products_ask_nothing(django_assert_num_queries):
    with django_assert_num_queries(0):
        assert Product.objects.in_order_with_feeds([]) == []
