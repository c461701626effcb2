"""The sweep and the whole-number lengths, held against counting minute by minute."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from hypothesis import given
from hypothesis import strategies as st

from solver.rules.reading import covered
from solver.rules.stretches import Stretch, clashes, without
from solver.rules.true_length import duration, hundredths
from tests.builders import a_lead, a_shared_phase, an_assistant

spans = st.tuples(st.integers(0, 60), st.integers(0, 20)).map(lambda pair: (pair[0], sum(pair)))
several = st.lists(spans, max_size=8)


def minutes(span):
    return set(range(*span))


@given(several)
def test_a_pair_is_named_exactly_where_two_stretches_share_a_minute(given_spans):
    stretches = [Stretch(*span, str(index)) for index, span in enumerate(given_spans)]
    named = list(clashes(stretches))
    shared = any(
        minutes(one) & minutes(other)
        for index, one in enumerate(given_spans)
        for other in given_spans[:index]
    )
    assert bool(named) is shared
    for one, other in named:
        assert minutes((one.start, one.end)) & minutes((other.start, other.end))


@given(several)
def test_every_stretch_that_meets_an_earlier_one_is_named(given_spans):
    stretches = [Stretch(*span, str(index)) for index, span in enumerate(given_spans)]
    named = {stretch.visit for pair in clashes(stretches) for stretch in pair}
    ordered = sorted(stretches, key=lambda stretch: (stretch.start, stretch.end))
    for index, later in enumerate(ordered):
        before = [minutes((each.start, each.end)) for each in ordered[:index]]
        if any(minutes((later.start, later.end)) & each for each in before):
            assert later.visit in named


@given(spans, several)
def test_what_is_left_is_the_stretch_without_its_holes(whole, holes):
    left = [minute for span in without(*whole, holes) for minute in range(*span)]
    assert len(left) == len(set(left))
    assert set(left) == minutes(whole) - set().union(*map(minutes, holes))


@given(several)
def test_minutes_covered_twice_count_once(given_spans):
    assert covered(given_spans) == len(set().union(*map(minutes, given_spans)))


@given(
    work=st.integers(1, 600),
    pace=st.integers(25, 400),
    rate=st.integers(1, 100),
    helped=st.integers(0, 120),
    steps_of_rest=st.integers(0, 6),
    step=st.sampled_from([1, 5, 10, 15]),
)
def test_a_length_is_that_of_exact_fractions(*, work, pace, rate, helped, steps_of_rest, step):
    lead = a_lead(pace=pace / 100)
    helper = an_assistant(help_rate=rate / 100)
    rest = steps_of_rest * step
    alone = ceil(Fraction(work * pace, 100) / step) * step
    left = Fraction(alone + rest) - Fraction(rate * helped, 100)
    due = max(step, ceil(left / step) * step)
    assert duration(a_shared_phase(work), lead, [(helper, helped)], rest, step) == due


@given(st.integers(0, 400_000))
def test_hundredths_round_the_written_number_half_up(thousandths):
    written = thousandths / 1000
    assert hundredths(written) == (thousandths + 5) // 10
