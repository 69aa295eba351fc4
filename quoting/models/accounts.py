"""Who may sign in, and in which of the three roles."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AbstractUser, BaseUserManager
from django.db import models


class Role(models.TextChoices):
    """The owner and the office see money; the crew never does."""

    OWNER = "owner", "owner"
    OFFICE = "office", "office"
    CREW = "crew", "crew"


class UserManager(BaseUserManager["User"]):
    """People sign in with their e-mail address."""

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(email__iexact=username)

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> User:
        user = self.model(email=self.normalize_email(email).lower(), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> User:
        return self.create_user(
            email, password, **{"is_staff": True, "is_superuser": True, "role": Role.OWNER, **fields}
        )


class User(AbstractUser):
    """A person of the firm."""

    username = None  # type: ignore[assignment]
    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]
    email = models.EmailField(unique=True)
    name = models.CharField(max_length=100)
    role = models.CharField(max_length=10, choices=Role, default=Role.CREW)

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    objects = UserManager()  # type: ignore[misc]

    class Meta:
        ordering = ["name", "id"]
        constraints = [models.CheckConstraint(condition=models.Q(role__in=Role.values), name="user_role_known")]

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name.split()[0] if self.name.split() else self.email


class Attempts(models.Model):
    """How often something that is limited was tried in one window of time, counted by one UPSERT."""

    key = models.CharField(max_length=128)
    window = models.BigIntegerField(help_text="Number of the window since the epoch.")
    count = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["key", "window"], name="attempts_once_a_window")]
        verbose_name_plural = "attempts"
