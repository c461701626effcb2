"""Every figure of a take-off says how it comes about."""

import re
from math import fsum

import pytest

from schemas.takeoff import Provenance, RateOverride
from solver.takeoff import explained, take_off, techniques
from solver.takeoff.rates import HOUSE_BOOK
from tests.solver.takeoff.heads import request


@pytest.mark.parametrize("technique", techniques())
def test_the_lines_add_up_to_the_minutes_and_the_grams_exactly(technique):
    answer = explained(
        request(technique=technique, by_density=True, size="medium", curls={}, pace=1.17)
    )
    assert fsum(line.amount for line in answer.lines) == answer.minutes.mean
    assert fsum(line.amount for line in answer.hair_lines) == answer.hair_grams
    for line in (*answer.lines, *answer.hair_lines):
        assert line.amount == line.quantity * line.rate


@pytest.mark.parametrize("width", [None, 3.3])
@pytest.mark.parametrize("technique", techniques())
def test_a_rate_that_is_worked_out_names_the_rates_behind_it(technique, width):
    answer = take_off(
        request(technique=technique, by_density=True, size="medium", curls={}, box_width_cm=width)
    )
    plain = [line for line in (*answer.lines, *answer.hair_lines) if line.rate_code is None]
    assert plain
    for line in plain:
        codes = re.findall(r"[a-z]+(?:-[a-z]+)+", line.worked)
        assert {code for code in codes if code in HOUSE_BOOK.codes}, line.worked


def test_what_is_worked_out_is_the_sum_that_it_says():
    answer = take_off(request())
    (line,) = {line.worked: line for line in answer.lines if line.worked}.values()
    said = re.sub(r"[a-z]+(-[a-z]+)+ | cm", "", line.worked)
    assert re.fullmatch(r"[0-9.()+* ]+", said)
    numbers = [float(number) for number in re.findall(r"[0-9.]+", said)]
    start, per_cm, length, time = numbers
    assert (start + per_cm * length) * time == pytest.approx(line.rate)


def test_sentences_tell_braids_odds_crews_packs_and_money():
    answer = explained(request())
    told = "\n".join(answer.reckoning)
    assert "back: 3 + 4 + 3 + 4 + 3 + 4 + 3 = 24 braids" in told
    assert f"up to the next five: {answer.minutes.booked}." in told
    assert f"so {answer.crews[1].booked} min are booked" in told
    for line in answer.hair:
        assert f"so {line.packs} whole packs" in told
        assert f"= {line.price} minor units of EUR" in told
    assert take_off(request()).reckoning == ()


def test_a_line_says_where_an_overridden_rate_comes_from():
    learned = [
        RateOverride(code=code, value=0.06, provenance=Provenance.LEARNED)
        for code in ("waste-fill", "curl-density")
    ]
    answer = take_off(request(rates=learned, pace=1.2, pace_provenance=Provenance.LEARNED))
    assert {line.provenance for line in answer.lines if line.label == "Pace 1.2"} == {"learned"}
    told = {(line.phase, line.label): line.provenance for line in answer.hair_lines}
    assert told[("fill", "Waste")] == told[("bulk", "Strands")] == Provenance.LEARNED
    assert told[("fill", "Strands")] == Provenance.HOUSE
