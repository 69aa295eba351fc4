"""The app of the firm's quoting: jobs, price book, proposals and their papers."""

from django.apps import AppConfig


class QuotingConfig(AppConfig):
    """Registers the system checks; everything else is found by its place."""

    name = "quoting"
    verbose_name = "Quoting"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # Importing the module registers its checks, which needs the app registry to be there.
        from quoting import checks  # noqa: F401
        from quoting.views import sessions  # noqa: F401 - hears every sign-in, whatever door it came by
