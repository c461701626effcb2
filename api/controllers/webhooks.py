"""Webhooks."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import ADDS, FINDS, READS, REMOVES, refuses
from api.controllers.parameters import Name
from api.services.desk import Desk
from schemas.webhooks import NewWebhook, Webhook, WebhookOrder, Webhooks


class WebhookController(Controller):
    path = "/webhooks"
    tags = ("webhooks",)

    @get(operation_id="listWebhooks", summary="List the webhooks", opt=refuses(READS))
    async def list_webhooks(self, desk: NamedDependency[Desk]) -> Webhooks:
        """Who is told of events, how many wait to be told, and how many were given up."""
        return await desk.webhooks.all()

    @post(operation_id="addWebhook", summary="Have an address told of events", opt=refuses(ADDS))
    async def add_webhook(
        self, desk: NamedDependency[Desk], data: JSONBody[WebhookOrder]
    ) -> Response[NewWebhook]:
        """Its secret is told this once.

        Each event is sent by POST as JSON, again and again until it is answered with 2xx (410 ends
        it), at least once and each time with the same id, for about half a day. Messages are signed
        after Standard Webhooks 1.0: `webhook-signature` is `v1,` and the base64 of an HMAC-SHA256,
        keyed with what follows `whsec_` in base64, over `webhook-id`, `webhook-timestamp` (seconds
        since 1970) and the body, joined by full stops. Refuse old timestamps.
        """
        made = await desk.webhooks.add(data)
        return Response(made, status_code=201, headers={"Location": f"/v1/webhooks/{made.id}"})

    @get("/{id:str}", operation_id="readWebhook", summary="Read a webhook", opt=refuses(FINDS))
    async def read_webhook(self, desk: NamedDependency[Desk], name: Name) -> Webhook:
        """Who is told, without the secret."""
        return await desk.webhooks.read(name)

    @delete(
        "/{id:str}", operation_id="removeWebhook", summary="Tell her no more", opt=refuses(REMOVES)
    )
    async def remove_webhook(self, desk: NamedDependency[Desk], name: Name) -> None:
        """What she has not been told by now she is not told."""
        await desk.webhooks.remove(name)
