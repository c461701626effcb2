"""A page about each kind of problem: where the `type` of a refusal leads."""

from __future__ import annotations

from litestar import Controller, get
from litestar.exceptions import NotFoundException
from litestar.params import FromPath
from litestar.response import Template

from api.pages.frame import page
from api.paths import EVERYBODY
from api.problem_kinds import BY_NAME, KINDS, PATH, Kind


class ProblemPages(Controller):
    path = PATH

    @get(opt=EVERYBODY)
    async def every_kind(self) -> Template:
        return _told("Problems", KINDS)

    @get("/{kind:str}", opt=EVERYBODY)
    async def one(self, kind: FromPath[str]) -> Template:
        if kind not in BY_NAME:
            raise NotFoundException
        return _told(BY_NAME[kind].title, (BY_NAME[kind],))


def _told(title: str, kinds: tuple[Kind, ...]) -> Template:
    return page("problems.html", title=title, salon=None, places=(), kinds=kinds)
