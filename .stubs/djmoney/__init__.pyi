# django-money says nothing of its fields' types, and without that mypy takes an amount of money for a bare Decimal.
