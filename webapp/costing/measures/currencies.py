"""The currencies that are in circulation, their decimals, and the signs that people write them with.

Codes and decimals are those of ISO 4217, list one of 1 January 2026, without funds, units of account, metals and the
codes for tests and for no currency. Of two codes for one money (VES and VED) it is the one that prices are told in.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from webapp.costing.errors import MeasureError
from webapp.costing.measures.typed_text import refuse

_TWO: Final = (
    "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC CUP "
    "CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES "
    "KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK "
    "NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB "
    "TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VES WST XCD XCG YER ZAR ZMW ZWG"
)
_NONE: Final = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
_THREE: Final = "BHD IQD JOD KWD LYD OMR TND"

#: Every currency in circulation and how many decimals its amounts have.
CURRENCIES: Final[Mapping[str, int]] = MappingProxyType(
    dict(sorted((code, places) for places, codes in ((2, _TWO), (0, _NONE), (3, _THREE)) for code in codes.split()))
)

#: What people write before or behind an amount, and which currencies they may mean by it.
SIGNS: Final[Mapping[str, str]] = MappingProxyType({
    "$": "ARS AUD BBD BMD BND BSD BZD CAD CLP COP CUP FJD GYD JMD KYD LRD MXN NAD NZD SBD SGD SRD TTD TWD USD "
    "UYU XCD",
    "€": "EUR", "£": "FKP GBP GIP SHP SSP", "¥": "CNY JPY", "₹": "INR", "₩": "KRW", "₽": "RUB", "₺": "TRY",
    "₴": "UAH", "₪": "ILS", "₫": "VND", "₱": "PHP", "₦": "NGN", "฿": "THB", "₡": "CRC", "₲": "PYG", "₭": "LAK",
    "₮": "MNT", "₸": "KZT", "₼": "AZN", "₾": "GEL", "៛": "KHR", "৳": "BDT",
    "R$": "BRL", "zł": "PLN", "Kč": "CZK", "Ft": "HUF", "kr": "NOK SEK", "kr.": "DKK",
    "R": "ZAR", "S/": "PEN", "GH₵": "GHS", "RM": "MYR", "Rp": "IDR",
})  # fmt: skip
_ANY_SIGN: Final = re.compile(r"[$\u00a2-\u00a5\u0e3f\u09f3\u17db\u20a0-\u20cf]")
#: Codes that no heading means anything else by.
_HEARD: Final = frozenset((
    "EUR", "USD", "GBP", "CHF", "PLN", "CZK", "HUF", "SEK", "NOK", "DKK", "ISK", "CAD", "AUD", "NZD", "JPY", "CNY",
    "INR", "ZAR", "BRL", "MXN",
))  # fmt: skip
_ENDS: Final = re.compile(
    r"(?P<before>[^\d.,+\s-][^\d,+\s-]*)?\s*(?P<amount>[-+]?[\d.,].*?)\s*(?P<after>[^\d.,\s]+\.?)?"
)


def strip_currency(text: str, currency: str) -> str:
    """An amount without the sign or the code of a currency; whatever else stands there is left.

    >>> strip_currency("$12.50", "USD"), strip_currency("12,50 €", "EUR"), strip_currency("12 €", "USD")
    ('12.50', '12,50', '12 €')
    """
    found = _ENDS.fullmatch(text.strip())
    if found is None or not currency:
        return text
    before, after = found["before"] or "", found["after"] or ""
    if (before or after) and all(not one or _is_of(one, currency) for one in (before, after)):
        return found["amount"]
    return text


def refuse_sign(text: str, plain: str, currency: str) -> MeasureError | None:
    """The error for an amount with a sign that is not of this currency; None where none stands there."""
    sign = _ANY_SIGN.search(plain)
    if sign is None:
        return None
    if currency:
        return refuse(text, f"has the sign {sign[0]}, but this shop reckons in {currency}.")
    return refuse(text, f"has the sign {sign[0]}: leave it out, and write the number alone.")


def other_currency(heading: str, currency: str) -> str:
    """The sign or the code of another currency in a heading; '' where it has none. Codes that are words are not heard.

    >>> other_currency("Preis €", "USD"), other_currency("EUR/100", "USD"), other_currency("$ each", "USD")
    ('€', 'EUR', '')
    """
    found = (*_ANY_SIGN.findall(heading), *(code for code in re.findall(r"[A-Z]{3}", heading) if code in _HEARD))
    return next((one for one in found if currency and not _is_of(one, currency)), "")


def _is_of(written: str, currency: str) -> bool:
    """Whether a sign or a code is one that people write this currency with."""
    if written.upper() == currency.upper():
        return True
    codes = SIGNS.get(written) or next((codes for sign, codes in SIGNS.items() if sign.lower() == written.lower()), "")
    return currency.upper() in codes.split()
