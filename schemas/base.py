"""What every document has in common."""

from pydantic import BaseModel, ConfigDict


class Document(BaseModel):
    """A frozen document: unknown fields, infinities and NaN are refused.

    Collections are tuples, so a document can be shared between threads and solves without a copy.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        ser_json_inf_nan="null",
        # What somebody wrote is not repeated in what may be logged.
        hide_input_in_errors=True,
    )
