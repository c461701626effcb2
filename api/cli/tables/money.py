"""Amounts of money for people: minor units in, `27.00 EUR` out."""

from __future__ import annotations

# ISO 4217: currencies whose minor unit is not a hundredth.
_DIGITS = dict.fromkeys(
    ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND",
     "VUV", "XAF", "XOF", "XPF"), 0
) | dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3)  # fmt: skip
_USUAL = 2


def money(amount: int, currency: str) -> str:
    """`amount` minor units with the digits and the code of `currency`."""
    digits = _DIGITS.get(currency, _USUAL)
    sign, units = "-" if amount < 0 else "", abs(amount)
    if not digits:
        return f"{sign}{units} {currency}"
    whole, rest = divmod(units, 10**digits)
    return f"{sign}{whole}.{rest:0{digits}d} {currency}"
