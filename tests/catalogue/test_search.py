"""Finding products by words, on the list and in suggestions."""

import pytest

from catalogue import search, services
from catalogue.kinds import Kind
from catalogue.models import Feed, FittingData, Product, ProductPrice, SearchText
from catalogue.slips import distance
from tests.catalogue.sent import accessories, made
from tests.conftest import all_of, one


@pytest.fixture
def four(db):
    return {
        "bright": made(reference="DN-810", name="Fixed downlight, white", client_name="Little sun"),
        "wall": made(reference="WL-22/B", name="Up and down wall light", supplier_code="zq-518"),
        "dome": made(reference="PD-7", name="Café dome pendant", description="Spun by hand, 12 W"),
        "gone": services.discontinue(by=None, product=made(reference="DN-1", name="Old downlight")),
    }


def names(words, **options):
    return [product.reference for product in search.find(words, **options)]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("downlight", ["DN-810"]),
        ("DOWNLIGHT white", ["DN-810"]),
        ("white downlight", ["DN-810"]),
        ("light", ["WL-22/B", "DN-810"]),
        ("wall downlight", []),
        ("little sun", ["DN-810"]),
        ("dn-810", ["DN-810"]),
        ("dn810", ["DN-810"]),
        ("wl22b", ["WL-22/B"]),
        ("518", ["WL-22/B"]),
        ("cafe", ["PD-7"]),
        ("café", ["PD-7"]),
        ("spun hand", ["PD-7"]),
        ("12w", ["PD-7"]),
        ("2w", []),
        ("pendnat", ["PD-7"]),
        ("pedant", ["PD-7"]),
        ("downlihgt whit", ["DN-810"]),
        ("zebra", []),
        ("' OR 1=1 --", []),
        ('"unclosed (AND NOT *', []),
        ("%", ["PD-7", "DN-810", "WL-22/B"]),
    ],
)
def test_words_find(four, words, found):
    assert names(words) == found


def test_the_exact_reference_comes_first(db):
    made(reference="QY-10", name="QY-1 lookalike")
    made(reference="QY-1", name="Zinc downlight")
    assert names("qy-1")[0] == "QY-1"
    assert names("qy-1", kinds=[Kind.CABLE]) == []
    services.discontinue(by=None, product=Product.objects.get(reference="QY-1"))
    assert names("qy-1") == ["QY-10"]


def test_kinds_and_limit_narrow(four):
    Product.objects.create(kind="lamp", reference="LA-1", name="White lamp")
    search.rebuild()
    assert names("white", kinds=[Kind.LAMP]) == ["LA-1"]
    assert names("white", kinds=[Kind.LAMP, Kind.FITTING]) == ["LA-1", "DN-810"]
    assert names("white", kinds=[Kind.CABLE]) == []
    assert len(names("light", limit=1)) == 1
    assert names("", kinds=[Kind.LAMP]) == ["LA-1"]


def test_each_kind_has_a_mark_of_its_own():
    assert set(search.KIND_MARKS) == set(Kind.values)
    marks = [*search.KIND_MARKS.values(), search.DISCONTINUED_MARK]
    assert len(set(marks)) == len(marks) and {len(mark) for mark in marks} == {3}


def test_what_is_found_follows_every_change(four):
    wall = four["wall"]
    services.discontinue(by=None, product=wall)
    assert names("wall") == []
    assert [str(key) for key in search.search("wall", is_discontinued=True).ids] == [str(wall.pk)]
    services.sell_again(by=None, product=wall)
    assert names("wall") == ["WL-22/B"]
    before = dict(SearchText.objects.values_list("product_id", "text"))
    search.rebuild()
    assert dict(SearchText.objects.values_list("product_id", "text")) == before


def test_a_product_that_goes_is_found_no_more(db):
    accessories(2)
    Product.objects.filter(name="Bracket 1").delete()
    assert names("bracket") == ["ACC-000000"]
    assert [row[2] for row in search._rows([("bracket",)], kinds=(), is_discontinued=False)] == [
        "ACC-000000"
    ]


def test_the_answers_are_the_same_without_the_index(four, monkeypatch):
    asked = ["downlight", "light", "12w", "pendnat", "dn810", "white downlight", "518", "8"]
    with_index = [names(words) for words in asked]
    monkeypatch.setattr(search, "_has_index", lambda: False)
    assert [names(words) for words in asked] == with_index
    assert search.search("old", is_discontinued=True).ids


def test_a_search_that_finds_too_much_says_so(db, monkeypatch):
    accessories(5)
    monkeypatch.setattr(search, "MOST", 3)
    found = search.search("bracket")
    assert len(found.ids) == 3 and found.is_cut
    assert "ACC-000004" in [p.reference for p in search.find("ACC-000004")]


@pytest.mark.parametrize(
    ("one_word", "other", "slips"),
    [
        ("lamp", "lamp", 0),
        ("lmap", "lamp", 1),
        ("lam", "lamp", 1),
        ("lammp", "lamp", 1),
        ("lump", "lamp", 1),
    ],
)
def test_a_slip_counts_once_either_way(one_word, other, slips):
    assert distance(one_word, other, most=2) == slips
    assert distance(other, one_word, most=2) == slips


# --- the list -----------------------------------------------------------------------------------
def references(page):
    return [cell.text for cell in all_of(page, "#rows .code")]


def test_the_list_filters_by_words_kind_and_state(designer_client, four):
    assert references(designer_client.get("/catalogue/")) == ["PD-7", "DN-810", "WL-22/B"]
    assert references(designer_client.get("/catalogue/?q=light")) == ["WL-22/B", "DN-810"]
    assert references(designer_client.get("/catalogue/?kind=lamp")) == []
    assert references(designer_client.get("/catalogue/?state=discontinued")) == ["DN-1"]
    assert references(designer_client.get("/catalogue/?q=downlight&state=discontinued")) == ["DN-1"]
    page = designer_client.get("/catalogue/?q=pendnat")
    assert "“pendnat” taken for pendant" in one(page, "#rows [role=status]").text
    assert (
        designer_client.get("/catalogue/?kind=nonsense&page=99&q=" + "x" * 500).status_code == 200
    )


def test_htmx_gets_the_rows_alone(designer_client, four):
    whole = designer_client.get("/catalogue/?q=light")
    rows = designer_client.get("/catalogue/?q=light", headers={"HX-Request": "true"})
    assert "HX-Request" in whole["Vary"] and "HX-Request" in rows["Vary"]
    assert not all_of(rows, "h1") and references(rows) == references(whole)


def test_pages_hold_fifty_and_lead_on(designer_client, db):
    accessories(120)
    first = designer_client.get("/catalogue/?q=bracket&kind=accessory")
    assert len(references(first)) == 50 and "120 products" in one(first, "#rows [role=status]").text
    onward = one(first, "#rows nav a")["href"]
    second = designer_client.get("/catalogue/" + onward)
    assert len(references(second)) == 50
    assert not set(references(first)) & set(references(second))


def test_the_list_asks_as_often_for_fifty_as_for_two(designer_client, queries, four):
    designer_client.get("/catalogue/")  # makes the business's profile
    for url in ("/catalogue/", "/catalogue/?q=light", "/catalogue/suggest/?q=light"):
        few = queries(lambda url=url: designer_client.get(url))
        for number in range(20):
            made(reference=f"MORE-{number}", name=f"Light {number}")
        assert queries(lambda url=url: designer_client.get(url)) == few
        _forget_more()


def _forget_more():
    gone = Product.objects.filter(reference__startswith="MORE")
    for model in (Feed, FittingData, ProductPrice):
        model.objects.filter(product__in=gone).delete()
    gone.delete()


def test_a_product_asks_as_often_with_many_rows(manager_client, queries, four):
    product = four["wall"]
    url = product.get_absolute_url()
    services.change_parts(
        by=None, product=product, parts=[{"part": made(), "per": "end", "quantity": 1}]
    )
    manager_client.get(url)  # makes the business's profile
    few = queries(lambda: manager_client.get(url))
    for number in range(2, 9):
        product.feeds.create(number=number, load_kinds=["switched"])
    needed = made(reference="PART-1")
    services.change_parts(
        by=None,
        product=product,
        parts=[
            {"part": needed, "per": "piece", "quantity": 1},
            {"part": needed, "per": "run", "quantity": 1},
        ],
    )
    services.change_parts(
        by=None, product=four["dome"], parts=[{"part": product, "per": "piece", "quantity": 1}]
    )
    assert queries(lambda: manager_client.get(url)) == few


# --- suggestions --------------------------------------------------------------------------------
def test_suggestions_are_choices_for_the_field_that_asked(designer_client, four):
    page = designer_client.get(
        "/catalogue/suggest/?q=light&kinds=fitting,lamp&field=fitting-product"
    )
    choices = all_of(page, "#suggested-fitting-product input[name=fitting-product]")
    assert [choice["value"] for choice in choices] == [str(four["wall"].pk), str(four["bright"].pk)]
    assert "66.50" in page.content.decode() and "31.74" not in page.content.decode()
    assert not all_of(designer_client.get("/catalogue/suggest/?q=light&kinds=cable"), "input")
    assert not all_of(designer_client.get("/catalogue/suggest/?q="), "input")


def test_a_field_name_is_only_a_name(designer_client, four):
    page = designer_client.get('/catalogue/suggest/?q=light&field="><script>')
    assert {choice["name"] for choice in all_of(page, "input")} == {"product"}
