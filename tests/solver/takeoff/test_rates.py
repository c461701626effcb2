"""Rates: where they come from, and what a salon may set."""

import pytest
from pydantic import ValidationError

from schemas.takeoff import Provenance, Rate, RateOverride
from solver.errors import StyleError
from solver.takeoff import house_rates, sizes, take_off, techniques
from solver.takeoff.rates import rate_book
from tests.solver.takeoff.heads import request

RATES = {rate.code: rate for rate in house_rates()}


def set_to(code, value, **facts):
    return RateOverride(code=code, value=value, **facts)


def test_every_technique_and_size_has_its_rates():
    for technique in techniques():
        assert {f"start-{technique}", f"per-cm-{technique}"} <= RATES.keys()
    for size in sizes():
        assert {f"box-{size}", f"time-{size}", f"fill-{size}"} <= RATES.keys()


def test_only_what_names_a_source_is_called_published():
    published = [rate for rate in RATES.values() if rate.provenance is Provenance.PUBLISHED]
    assert [rate.code for rate in published] == ["scalp-area"]
    assert all((rate.source is not None) == (rate in published) for rate in RATES.values())
    with pytest.raises(ValidationError, match="names its source"):
        Rate.model_validate(RATES["wash"].model_dump() | {"provenance": "published"})
    with pytest.raises(ValidationError, match="names its source"):
        set_to("wash", 30, provenance="published")


@pytest.mark.parametrize("code", sorted(RATES))
def test_either_end_of_a_range_may_be_set_and_beyond_may_not(code):
    rate = RATES[code]
    assert rate.low <= rate.value <= rate.high
    for end in (rate.low, rate.high):
        assert rate_book((set_to(code, end),))[code] == end
    beyond = [rate.high * 1.01 + 0.01] + ([rate.low * 0.99] if rate.low > 0 else [])
    for value in beyond:
        with pytest.raises(StyleError, match=f"{code} must lie between") as refused:
            rate_book((set_to(code, value),))
        assert refused.value.faults[0].pointer == "/rates/0/value"


def test_an_override_changes_its_lines_and_says_whose_it_is():
    learned = set_to("curl-time", 0.3, provenance="learned")
    usual, changed = take_off(request()), take_off(request(rates=[learned]))
    assert changed.minutes.mean - usual.minutes.mean == pytest.approx(208 * 0.1)
    lines = [line for line in changed.lines if line.rate_code == "curl-time"]
    assert {(line.rate, line.provenance) for line in lines} == {(0.3, Provenance.LEARNED)}
    assert take_off(request()) == usual


def test_an_unknown_rate_and_one_set_twice_are_refused_together():
    rates = (set_to("wash", 20), set_to("wish", 1), set_to("wash", 30))
    with pytest.raises(StyleError) as refused:
        take_off(request(rates=rates))
    assert [(fault.pointer, fault.detail) for fault in refused.value.faults] == [
        ("/rates/1/code", "there is no rate wish; the list of rates names them all"),
        ("/rates/2/code", "the rate wash is set twice"),
    ]


def test_every_rate_in_a_line_is_the_one_it_names():
    answer = take_off(request(take_down=True, hot_water_set=True))
    for line in (*answer.lines, *answer.hair_lines):
        if line.rate_code is not None:
            assert line.rate == RATES[line.rate_code].value
            assert line.provenance is RATES[line.rate_code].provenance
