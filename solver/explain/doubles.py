"""Doubles of chairs, basins and people, so that nobody stands in the way of anybody."""

from __future__ import annotations

from collections.abc import Iterable

from schemas.daybook import DayBook


def double_name(name: str, taken: Iterable[str]) -> str:
    """An id for the double of `name` that nobody has."""
    known = set(taken)
    double = f"{name[:50]}-double"
    while double in known:
        double += "-x"
    return double


def double_chairs(book: DayBook) -> DayBook:
    """Every chair twice, with its features and closures."""
    names = [chair.id for chair in book.chairs]
    double = {name: double_name(name, names) for name in names}
    chairs = tuple(c.model_copy(update={"id": double[c.id]}) for c in book.chairs)
    closures = tuple(
        closure.model_copy(update={"chair": double[closure.chair]})
        for closure in book.closures
        if closure.chair in double
    )
    return book.model_copy(
        update={"chairs": book.chairs + chairs, "closures": book.closures + closures}
    )


def double_basins(book: DayBook) -> DayBook:
    names = [basin.id for basin in book.basins]
    basins = tuple(b.model_copy(update={"id": double_name(b.id, names)}) for b in book.basins)
    return book.model_copy(update={"basins": book.basins + basins})


def double_staff(book: DayBook) -> DayBook:
    """Everybody twice: the doubles are the request's, so it asks for the double of its lead."""
    names = [person.id for person in book.staff]
    shift_names = [shift.id for shift in book.shifts]
    double = {name: double_name(name, names) for name in names}
    staff = tuple(person.model_copy(update={"id": double[person.id]}) for person in book.staff)
    shifts = tuple(
        shift.model_copy(
            update={"id": double_name(shift.id, shift_names), "staff": double[shift.staff]}
        )
        for shift in book.shifts
    )
    request = book.requests[0]
    changed = request.model_copy(
        update={
            "required_lead": double.get(request.required_lead or "", request.required_lead),
            "preferred_lead": double.get(request.preferred_lead or "", request.preferred_lead),
            "refused_leads": (
                *request.refused_leads,
                *(double[name] for name in request.refused_leads if name in double),
            ),
        }
    )
    return book.model_copy(
        update={
            "staff": book.staff + staff,
            "shifts": book.shifts + shifts,
            "requests": (changed,),
        }
    )
