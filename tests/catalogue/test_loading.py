"""A catalogue from files: the demo's own, and files that do not hold."""

import csv
import datetime
import re
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from catalogue import loading, search
from catalogue.kinds import Kind, LoadKind
from catalogue.models import (
    FittingData,
    LabourNorm,
    LabourRate,
    Product,
    ProductPrice,
    SearchText,
    TaxRate,
)

DEMO = Path(loading.__file__).parent / "data"
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def cells():
    """(file, row, column, text) of every cell of the demo's files."""
    for path in sorted(DEMO.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row, line in enumerate(csv.DictReader(file), start=2):
                for column, text in line.items():
                    yield path.name, row, column, text


def test_every_cost_of_the_demo_is_a_number_that_occurs_nowhere_else():
    costs = [text for _file, _row, column, text in cells() if column == "cost"]
    others = [
        number
        for _file, _row, column, text in cells()
        if column != "cost"
        for number in NUMBER.findall(text)
    ]
    assert len(costs) > 180
    assert len({Decimal(cost) for cost in costs}) == len(costs)
    assert not {Decimal(cost) for cost in costs} & {Decimal(number) for number in others}
    for cost in costs:
        digits = cost.replace(".", "").lstrip("0")
        assert len(set(digits)) == len(digits) >= 4, f"{cost} repeats a digit"
        assert Decimal(cost) != round(Decimal(cost), 1), f"{cost} is too round"
    everything = " ".join(text for _f, _r, column, text in cells() if column != "cost")
    assert not [cost for cost in costs if re.search(rf"(?<!\d){re.escape(cost)}", everything)]


@pytest.fixture
def loaded(db):
    call_command("load_catalogue", verbosity=0)


def test_the_demo_has_every_kind_and_a_price_for_each(loaded, db):
    products = Product.objects.with_everything()
    today = datetime.date(2026, 3, 9)
    assert len(products) >= 64
    assert {product.kind for product in products} == set(Kind.values)
    assert all(product.price_on(today) for product in products)
    assert all(p.price_on(today).cost < p.price_on(today).sell for p in products)
    assert SearchText.objects.count() == len(products)
    assert search.find("tunable white tape", kinds=["tape"])[0].reference == "TP-1104"


def test_the_demo_serves_every_load_kind_with_a_fitting_and_a_receiver(loaded, db):
    products = Product.objects.with_everything()
    driven = {
        way for product in products for feed in product.feeds.all() for way in feed.load_kinds
    }
    carried = {
        limit.load_kind
        for product in products.filter(kind="receiver")
        for limit in product.receiver.limits.all()
    }
    assert driven == carried == set(LoadKind.values)


def test_the_light_of_the_demo_is_plausible(loaded, db):
    for product in Product.objects.with_everything().filter(kind__in=["fitting", "lamp"]):
        for feed in product.feeds.all():
            if feed.watts and feed.luminaire_lm:
                assert 70 <= feed.luminaire_lm / feed.watts <= 125, product.reference


def test_loading_again_changes_nothing(loaded, db):
    before = dict(Product.objects.values_list("reference", "version"))
    rows = [model.objects.count() for model in (ProductPrice, LabourNorm, LabourRate, TaxRate)]
    assert loading.load(folder=DEMO, today=datetime.date(2026, 11, 25)) == 0
    assert dict(Product.objects.values_list("reference", "version")) == before
    assert [m.objects.count() for m in (ProductPrice, LabourNorm, LabourRate, TaxRate)] == rows


# --- files that do not hold ---------------------------------------------------------------------
PRODUCTS = "kind,reference,name,supplier\naccessory,A-1,Bracket,Ebb\naccessory,A-2,Clip,Ebb\n"
SUPPLIERS = "name,lead_days\nEbb,5\n"
PRICES = "reference,from_day,cost,sell\nA-1,2024-01-08,3.1,6\nA-1,2030-01-08,3.2,7\n"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "suppliers.csv").write_text(SUPPLIERS)
    (tmp_path / "products.csv").write_text(PRODUCTS)
    (tmp_path / "prices.csv").write_text(PRICES)
    return tmp_path


def test_a_folder_of_ones_own_is_loaded(folder, db):
    call_command("load_catalogue", folder=folder, verbosity=0)
    assert Product.objects.get(reference="A-1").supplier.lead_days == 5
    (folder / "products.csv").write_text(PRODUCTS.replace("Clip", "Clamp"))
    call_command("load_catalogue", folder=folder, verbosity=0)
    assert Product.objects.get(reference="A-2").name == "Clamp"
    assert [p.reference for p in search.find("clamp")] == ["A-2"]


LAMP_ROWS = {
    "products": "kind,reference,name,supplier\nfitting,F-1,Downlight,Ebb\nfitting,F-2,Spot,Ebb\n",
    "fittings": "reference,ip_code,dimming_curve\nF-1,20,logarithmic\nF-2,20,\n",
    "feeds": "reference,watts,load_kinds\nF-1,8,phase-dimmed\nF-2,8,phase-dimmed\n",
    "prices": "reference,from_day,cost,sell\nF-1,2024-01-08,3.1,6\n",
}


def test_the_dimming_curve_of_a_fitting_comes_from_its_column(folder, db):
    for name, text in LAMP_ROWS.items():
        (folder / f"{name}.csv").write_text(text)
    call_command("load_catalogue", folder=folder, verbosity=0)
    curves = FittingData.objects.values_list("product__reference", "dimming_curve")
    assert dict(curves) == {"F-1": "logarithmic", "F-2": ""}
    rows = LAMP_ROWS["fittings"].replace("logarithmic", "steep")
    (folder / "fittings.csv").write_text(rows)
    with pytest.raises(loading.NotLoaded) as refused:
        loading.load(folder=folder, today=datetime.date(2026, 3, 9))
    assert any("dimming_curve" in str(each) for each in refused.value.wrong)
    assert FittingData.objects.get(product__reference="F-1").dimming_curve == "logarithmic"


@pytest.mark.parametrize(
    ("file", "text", "row", "words"),
    [
        ("products", PRODUCTS + "gadget,A-3,X,Ebb\n", 4, "no such kind: gadget"),
        ("products", PRODUCTS + "accessory,A-1,X,Ebb\n", 4, "twice"),
        ("products", PRODUCTS + "accessory,,X,Ebb\n", 4, "reference: This field is required"),
        ("products", PRODUCTS + "accessory,A-3,X,Nobody\n", 4, "supplier"),
        ("products", PRODUCTS + "accessory,A-3\n", 4, "more or fewer cells"),
        ("products", PRODUCTS + "lamp,A-3,Globe,Ebb\n", 4, "A lamp needs its cap"),
        ("products", "kind,reference,name,supplier,discontinued,replaced_by\naccessory,A-1,B,Ebb,yes,A-9\n", 2, "no product"),
        ("prices", PRICES + "A-2,2024-01-08,NaN,6\n", 4, "Give a number"),
        ("prices", PRICES + "A-2,2024-01-08,1,2\nA-2,2024-01-08,1,2\n", 4, "begin on one day"),
        ("prices", PRICES + "A-9,2024-01-08,1,2\n", 4, "no product A-9"),
        ("feeds", "reference,watts\nA-9,8\n", 2, "no product A-9"),
        ("parts", "reference,part,per,quantity\nA-1,A-1,piece,1\n", 2, "no part of itself"),
        ("norms", "operation,per,minutes,grade,from_day\nsecond-fix,piece,-3,mate,2024-01-08\n", 2, "minutes"),
        ("taxes", "tax_class,from_day,share\nstandard,2024-01-08,120\n", 2, "share"),
        ("suppliers", SUPPLIERS + "Flow,never\n", 3, "lead_days"),
    ],
)  # fmt: skip
def test_one_bad_row_and_nothing_is_kept(folder, db, file, text, row, words):
    (folder / f"{file}.csv").write_text(text)
    with pytest.raises(loading.NotLoaded) as refused:
        loading.load(folder=folder, today=datetime.date(2026, 3, 9))
    told = [str(wrong) for wrong in refused.value.wrong]
    assert any(line.startswith(f"{file}.csv, row {row}: ") and words in line for line in told), told
    assert not Product.objects.exists() and not ProductPrice.objects.exists()


def test_every_bad_row_is_told_at_once(folder, db):
    (folder / "products.csv").write_text(PRODUCTS + "gadget,A-3,X,Ebb\nlamp,A-4,Globe,Ebb\n")
    with pytest.raises(CommandError, match=r"row 4: [\s\S]*row 5: "):
        call_command("load_catalogue", folder=folder, verbosity=0)


def test_a_past_price_is_not_changed_by_a_file(folder, db):
    call_command("load_catalogue", folder=folder, verbosity=0)
    (folder / "prices.csv").write_text(PRICES.replace("3.1,6", "3.1,5"))
    with pytest.raises(loading.NotLoaded, match=r"prices\.csv, row 2: .*past day stays"):
        loading.load(folder=folder, today=datetime.date(2026, 3, 9))
    (folder / "prices.csv").write_text(PRICES.replace("3.2,7", "3.2,8"))
    assert loading.load(folder=folder, today=datetime.date(2026, 3, 9)) == 1


def test_a_folder_that_is_not_there_is_told(tmp_path, db):
    with pytest.raises(CommandError, match="no folder"):
        call_command("load_catalogue", folder=tmp_path / "nowhere", verbosity=0)


def test_a_file_that_is_not_text_is_told(folder, db):
    (folder / "products.csv").write_bytes(b"kind\xff\xfe")
    with pytest.raises(loading.NotLoaded, match="not UTF-8"):
        loading.load(folder=folder, today=datetime.date(2026, 3, 9))
