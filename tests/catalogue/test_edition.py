"""What was read of the catalogue is kept while its edition stands, and no longer."""

import datetime
from decimal import Decimal

import pytest

from catalogue import edition, services
from catalogue.reader import read_stock
from catalogue.services import Price
from tests.factories import PersonFactory, a_product

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 6, 1)


@pytest.fixture(autouse=True)
def kept(settings):
    settings.STOCK_IS_KEPT = True


def read(product):
    return read_stock(product_ids=[str(product.pk)], day=TODAY, currency="GBP")


def test_reading_again_costs_one_query(django_assert_num_queries):
    product = a_product()
    first = read(product)
    with django_assert_num_queries(1):
        assert read(product) is first


def test_a_deed_raises_the_edition_and_the_new_price_is_read():
    product, office = a_product(), PersonFactory(role="office")
    before, number = read(product), edition.current()
    services.set_price(
        by=office, product=product, today=TODAY,
        price=Price(from_day=TODAY, cost=Decimal("30.11"), sell=Decimal("60.00")),
    )  # fmt: skip
    assert edition.current() == number + 1
    after = read(product)
    assert (before.prices[0].sell, after.prices[0].sell) == (Decimal("44.00"), Decimal("60.00"))
