"""The template engine, with what every template may use."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined
from litestar.plugins.jinja import JinjaTemplateEngine
from litestar.template.config import TemplateConfig

from api.pages.assets import address
from api.pages.words import FILTERS


def template_config() -> TemplateConfig[JinjaTemplateEngine]:
    """Templates of `api/pages/templates`. All that is written into them is escaped."""
    environment = Environment(
        loader=PackageLoader("api.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= FILTERS
    environment.globals["asset"] = address
    return TemplateConfig(instance=JinjaTemplateEngine.from_environment(environment))
