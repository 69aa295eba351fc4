"""The app of people and their properties; it knows nothing of quoting."""

from django.apps import AppConfig


class CustomersConfig(AppConfig):
    """Customers and their properties."""

    name = "customers"
    verbose_name = "Customers"
    default_auto_field = "django.db.models.BigAutoField"
