"""Private links: only the hash is kept; wrong, expired and revoked ones open nothing."""

from datetime import timedelta

import pytest
from django.utils import timezone

from quoting.documents.freeze import sha256_of
from quoting.models import PrivateLink
from quoting.services.links import find_link, make_link, revoke_link
from tests.factories import PaperFactory, UserFactory

pytestmark = pytest.mark.django_db


def made() -> tuple[PrivateLink, str]:
    link, address = make_link(PaperFactory(valid_until=timezone.localdate()), UserFactory())
    return link, address.rstrip("/").rpartition("/")[2]


def test_the_address_is_built_from_the_sites_own(settings):
    settings.SITE_ADDRESS = "https://quotes.example.com"
    _, address = make_link(PaperFactory(), None)
    assert address.startswith("https://quotes.example.com/p/")


def test_only_the_hash_of_the_token_is_kept():
    link, token = made()
    assert (link.token_sha256, len(token)) == (sha256_of(token), 43)  # 32 bytes are 43 letters in base 64


def test_the_token_finds_its_link():
    link, token = made()
    assert find_link(token) == link


def test_it_opens_until_90_days_after_the_offer():
    link, _ = made()
    assert timezone.localdate(link.expires_at) == timezone.localdate() + timedelta(days=90)


def test_wrong_expired_and_revoked_are_alike(django_assert_num_queries):
    expired, late = made()
    PrivateLink.objects.filter(pk=expired.pk).update(expires_at=timezone.now())
    revoked, gone = made()
    revoke_link(revoked)
    for token in ("wrong", late, gone):
        with django_assert_num_queries(1):
            assert find_link(token) is None
