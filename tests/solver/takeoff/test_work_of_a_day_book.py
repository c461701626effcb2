"""Day books whose visits state take-offs."""

import pytest

from schemas.daybook import DayBook
from schemas.takeoff import RateOverride
from solver.errors import StyleError
from solver.takeoff import take_off
from solver.takeoff.work import with_work
from tests.solver.takeoff.heads import request

DAY = {"start": "2026-12-01T09:00:00+00:00", "end": "2026-12-01T19:00:00+00:00"}


def visit(name, **facts):
    return {"id": name, "client": "Client", "promise": {"start": DAY["start"]}} | facts


def day_book(*bookings, requests=(), materials=()):
    return DayBook.model_validate(
        {
            "zone": "Europe/Lisbon",
            "open": [DAY],
            "chairs": [{"id": "one", "name": "One"}],
            "staff": [{"id": "lead", "name": "Lead", "roles": ["lead"], "skills": []}],
            "shifts": [{"id": "day", "staff": "lead", "window": DAY}],
            "bookings": list(bookings),
            "requests": [
                {"id": name, "client": "Client", "windows": [DAY], "take_off": asked}
                for name, asked in requests
            ],
            "materials": list(materials),
        }
    )


def test_a_take_off_becomes_the_visits_phases_and_hair():
    asked = request()
    book = with_work(day_book(visit("a", take_off=asked), requests=[("b", asked)]))
    answer = take_off(asked)
    for done in (*book.bookings, *book.requests):
        assert done.take_off is None
        assert done.phases == answer.phases
        assert done.hair == answer.hair
    assert DayBook.model_validate(book.model_dump()) == book


def test_a_visit_that_states_its_phases_is_left_as_it_is():
    phases = [{"kind": "wash", "minutes": 30, "skill": "wash"}]
    book = day_book(visit("a", phases=phases), visit("b", take_off=request()))
    assert with_work(book).bookings[0] == book.bookings[0]
    plain = day_book(visit("a", phases=phases))
    assert with_work(plain) is plain


def test_a_material_of_the_day_book_goes_before_the_house_and_after_the_take_off():
    hair = [{"role": "bulk", "material": "bulk-wavy-black-18"}]
    mine = {
        "id": "bulk-wavy-black-18",
        "role": "bulk",
        "texture": "wavy",
        "colour": "black",
        "length_cm": 45.7,
        "pack_grams": 50,
        "pack_price": 4000,
        "currency": "EUR",
        "name": "Half bundles",
    }
    book = day_book(visit("a", take_off=request(hair=hair)), materials=[mine])
    (packs,) = (line.packs for line in with_work(book).bookings[0].hair if line.role == "bulk")
    assert packs == 5  # 225 g in halves of 50 g
    own = request(hair=hair, materials=[mine | {"pack_grams": 25}])
    book = day_book(visit("a", take_off=own), materials=[mine])
    (packs,) = (line.packs for line in with_work(book).bookings[0].hair if line.role == "bulk")
    assert packs == 9  # 225 g in quarters of 25 g


def test_the_faults_of_all_visits_are_listed_with_where_they_are():
    book = day_book(
        visit("a", take_off=request()),
        visit("b", take_off=request(size="enormous")),
        requests=[("c", request(technique="macrame"))],
    )
    with pytest.raises(StyleError) as refused:
        with_work(book)
    assert [fault.pointer for fault in refused.value.faults] == [
        "/bookings/1/take_off/style/size",
        "/requests/0/take_off/style/technique",
    ]


def with_rates(book, **values):
    rates = tuple(
        RateOverride(code=code.replace("_", "-"), value=value) for code, value in values.items()
    )
    return book.model_copy(update={"rates": rates})


def test_a_rate_of_the_day_book_goes_before_the_house_and_after_the_take_off():
    own = request(rates=[RateOverride(code="wash", value=90)])
    book = with_rates(
        day_book(visit("a", take_off=request()), visit("b", take_off=own)), wash=60, tie_off=1
    )
    first, second = with_work(book).bookings
    both = [RateOverride(code="wash", value=60), RateOverride(code="tie-off", value=1)]
    assert first.phases == take_off(request(rates=both)).phases
    both[0] = RateOverride(code="wash", value=90)
    assert second.phases == take_off(request(rates=both)).phases
    assert first.phases != take_off(request()).phases


def test_a_rate_of_the_day_book_out_of_its_range_is_named():
    book = with_rates(day_book(visit("a", take_off=request())), wash=9999)
    with pytest.raises(StyleError) as refused:
        with_work(book)
    assert [fault.pointer for fault in refused.value.faults] == ["/rates/0/value"]
