"""Every kind of refusal, with the words that its page says: the `type` of a problem (RFC 9457).

A type is a path of this service that answers with a page about it, so that whoever meets a refusal
in a log finds out what to do. A refusal without a line here fails a test.
"""

from __future__ import annotations

from dataclasses import dataclass

from api.services import errors

PATH = "/problems"


@dataclass(frozen=True)
class Kind:
    """`title` is the same for all problems of a kind; `remedy` says what a client can do."""

    name: str
    status: int
    title: str
    meaning: str
    remedy: str

    @property
    def type(self) -> str:
        return f"{PATH}/{self.name}"


OF_ERROR: dict[type[errors.ServiceError], Kind] = {
    errors.NotFoundError: Kind(
        "not-found", 404, "Not found",
        "There is no such thing in this salon, or not any more.",
        "Check the name. Lists show what there is; a hold is gone when its time is over.",
    ),
    errors.ConflictError: Kind(
        "conflict", 409, "It does not go with what is there",
        "The change would contradict something that is in the book or in the house already.",
        "Read what the sentence names, and change that first or ask for something else.",
    ),
    errors.AlreadyThereError: Kind(
        "already-there", 409, "The name is taken",
        "Something of that name is there already. Nothing was changed.",
        "Take another name, or change what is there. To tell a request again safely, send it with "
        "an Idempotency-Key.",
    ),
    errors.NotSetUpError: Kind(
        "not-set-up", 409, "Something must be told first",
        "The salon's zone, hours or people are not known yet, so nothing can be reckoned.",
        "Tell what the sentence names, then ask again.",
    ),
    errors.BookChangedError: Kind(
        "book-changed", 409, "The book has moved on",
        "The answer was made from a book that has changed since, and was not written into it.",
        "Ask anew: the plan or the repair is made from the book as it is now.",
    ),
    errors.DoubleBookedError: Kind(
        "double-booked", 409, "Taken at that time",
        "A chair, a basin or a person would be in two places at once. The database refused it.",
        "Ask for openings again and take one of those.",
    ),
    errors.OpeningGoneError: Kind(
        "opening-gone", 409, "The opening is gone",
        "The place was sold or held meanwhile, or a rule stands in the way by now.",
        "The answer carries fresh openings, best first; take one of those.",
    ),
    errors.AnsweredMeanwhileError: Kind(
        "answered-meanwhile", 409, "Being answered already",
        "The same request, with the same Idempotency-Key, has just been carried out.",
        "Tell it once more: the answer is kept.",
    ),
    errors.UnknownCallerError: Kind(
        "unknown-caller", 401, "Who is asking",
        "No token or session came with the request, or one that is unknown, expired or revoked.",
        "Send a token as Authorization: Bearer, or sign in. The owner makes tokens with `partline "
        "token make`.",
    ),
    errors.NotAllowedError: Kind(
        "not-allowed", 403, "Not for this role",
        "The caller is known, and her role may not do this.",
        "WWW-Authenticate and the sentence name the roles that may.",
    ),
    errors.ForeignRequestError: Kind(
        "foreign-request", 403, "Asked for by another page",
        "A browser sent this on behalf of a page that is none of this service's, or without what "
        "only its pages know.",
        "Open the page of this service again and ask from there. Programs send a bearer token.",
    ),
    errors.StaleError: Kind(
        "stale", 412, "Changed since it was read",
        "If-Match names a version that is not the one there now. Nothing was changed.",
        "Read it again, put the change on what is there now, and send the new ETag.",
    ),
    errors.UnseenError: Kind(
        "unseen", 428, "Say what you have seen",
        "Something is there, and the edit does not say on which version it was made, so it could "
        "undo somebody else's in silence (RFC 6585).",
        "Read it, and send its ETag as If-Match; or * to overwrite whatever is there.",
    ),
    errors.TooManyError: Kind(
        "too-many", 429, "Asked too often",
        "The caller has sent more requests in a minute than are taken (PARTLINE_PER_MINUTE).",
        "Wait for Retry-After seconds.",
    ),
    errors.UnprocessableError: Kind(
        "unprocessable", 422, "Some fields cannot be right",
        "The request was read, and some of its fields cannot be right.",
        "`errors` names each by a JSON Pointer into the body, or by the parameter's name.",
    ),
    errors.StoreUnavailableError: Kind(
        "store-unavailable", 503, "The book cannot be reached",
        "The database does not answer, is too busy, or is not at the level of this version.",
        "Tell the request again after Retry-After seconds; with an Idempotency-Key nothing is done "
        "twice.",
    ),
    errors.QueueUnavailableError: Kind(
        "queue-unavailable", 503, "The queue cannot be reached",
        "Redis does not answer, so no worker can be given the run. Booking goes on without it.",
        "Ask again after Retry-After seconds.",
    ),
    errors.RunFailedError: Kind(
        "run-failed", 500, "The run failed",
        "A plan or a repair that was waited for has failed; the answer is the problem that it met.",
        "Read the run at its path, and order another.",
    ),
}  # fmt: skip
"""An error without a line of its own is of the kind of the nearest class above it."""

OF_STATUS: dict[int, Kind] = {
    400: Kind(
        "unreadable", 400, "The request cannot be read",
        "The body is no JSON, is nested too deeply, or holds text that is no text.",
        "Send UTF-8 JSON as the description has it.",
    ),
    404: Kind(
        "no-such-path", 404, "There is nothing at this path",
        "The service has no such path.",
        "The description, at /schema, lists those it has.",
    ),
    405: Kind(
        "method-not-allowed", 405, "This path does not take this method",
        "The path is there, and cannot be asked in this way.",
        "Allow names the methods it takes.",
    ),
    406: Kind(
        "not-acceptable", 406, "It cannot be had in this form",
        "Accept names media types that this answer does not come in.",
        "Ask for application/json, or for text/csv where the description says so.",
    ),
    413: Kind(
        "too-large", 413, "The body is too large",
        "The body is longer than the service takes (PARTLINE_BODY_LIMIT).",
        "Send less at a time.",
    ),
    415: Kind(
        "unsupported-media-type", 415, "The body must be JSON",
        "Content-Type names something else than application/json.",
        "Send application/json.",
    ),
    500: Kind(
        "internal", 500, "Something went wrong inside",
        "The service failed. What happened is in its log, under the id in X-Request-Id.",
        "Tell whoever runs the service the id. With an Idempotency-Key the request can be told "
        "again safely.",
    ),
}  # fmt: skip
"""What the framework refuses before a service is asked."""

OTHER = Kind(
    "refused", 400, "The request was refused",
    "The service does not take such a request.",
    "The status says why (RFC 9110).",
)  # fmt: skip
"""A status that nothing here is known to answer with."""

KINDS = (*OF_ERROR.values(), *OF_STATUS.values(), OTHER)
BY_NAME = {kind.name: kind for kind in KINDS}


def kind_of(error: errors.ServiceError) -> Kind:
    for known in type(error).__mro__:
        if known in OF_ERROR:
            return OF_ERROR[known]
    return OF_STATUS[500]
