"""A handler that does nothing but one SELECT, to measure ours beside: what the parts cost alone.

Litestar, uvicorn, SQLAlchemy's asynchronous engine and the database are those of the service.
"""

from __future__ import annotations

import sys
from typing import Any

import sqlalchemy as sa
import uvicorn
from litestar import Litestar, get

from api.settings import Settings
from api.store.engines import open_engines
from api.store.tables import chair


def bare(settings: Settings) -> Litestar:
    engines = open_engines(settings)

    @get("/chairs/{name:str}")
    async def read(name: str) -> Any:
        one = sa.select(chair.c.document).where(
            chair.c.salon_id == settings.salon, chair.c.id == name
        )
        async with engines.reader.begin() as connection:
            return (await connection.execute(one)).scalar_one()

    return Litestar([read], openapi_config=None, logging_config=None)


if __name__ == "__main__":
    uvicorn.run(
        bare(Settings(database=sys.argv[1])),
        host="127.0.0.1",
        port=int(sys.argv[2]),
        log_level="critical",
        access_log=False,
    )
