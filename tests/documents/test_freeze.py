import zlib

import pytest

from quoting.documents.freeze import canonical_json, count_pages, sha256_of


def test_the_same_value_gives_the_same_text_whatever_the_order_of_its_keys():
    assert canonical_json({"b": [1, "½"], "a": None}) == '{"a":null,"b":[1,"½"]}'
    assert canonical_json({"a": None, "b": (1, "½")}) == canonical_json({"b": [1, "½"], "a": None})


@pytest.mark.parametrize("value", [1.5, {"a": [1, 2.0]}, {1: "a"}])
def test_a_float_or_a_key_that_is_not_text_is_refused(value):
    with pytest.raises(TypeError):
        canonical_json(value)


def test_the_fingerprint_is_sha_256():
    # FIPS 180-2, appendix B.1: the digest of "abc".
    assert sha256_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert sha256_of(b"abc") == sha256_of("abc")


def test_pages_are_counted_whatever_byte_a_packed_stream_ends_with():
    ends = set()
    for n in range(256):
        packed = zlib.compress(b"/Type /Page " + bytes([n]))
        ends.add(packed[-1:])
        assert count_pages(b"1 0 obj <</Type /ObjStm>>\nstream\n" + packed + b"\nendstream\nendobj") == 1
    assert {b"\r", b"\n"} <= ends
