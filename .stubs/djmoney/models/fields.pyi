from decimal import Decimal
from typing import Any, TypeVar

import moneyed
from django.db.models import DecimalField
from django.db.models.expressions import Combinable
from djmoney.money import Money

_ST = TypeVar("_ST", contravariant=True)
_GT = TypeVar("_GT", covariant=True)

class MoneyField(DecimalField[_ST, _GT]):
    _pyi_private_set_type: moneyed.Money | Decimal | Combinable  # type: ignore[assignment]
    _pyi_private_get_type: Money  # type: ignore[assignment]
    _pyi_lookup_exact_type: Any
    def __init__(
        self,
        verbose_name: str | None = ...,
        name: str | None = ...,
        max_digits: int | None = ...,
        decimal_places: int | None = ...,
        default: Any = ...,
        default_currency: str | None = ...,
        currency_choices: Any = ...,
        currency_max_length: int = ...,
        currency_field_name: str | None = ...,
        money_descriptor_class: Any = ...,
        **kwargs: Any,
    ) -> None: ...
