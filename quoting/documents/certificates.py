"""Files of certificates that people bring: a PDF is kept as it is and only ever handed out as a download; a picture is
decoded and written anew in a limited child process."""

from __future__ import annotations

from quoting.documents.picture import BEGINNINGS, LARGEST_FILE, PictureRefused, rewrite_picture

PDF, PNG = "application/pdf", "image/png"
ENDINGS = {PDF: "pdf", PNG: "png"}
PDF_BEGINS, PDF_ENDS, TAIL = b"%PDF-", b"%%EOF", 2048

SENTENCES = {
    "kind": "This is no PDF, JPEG or PNG file. Save the certificate as one of the three.",
    "empty": "This file is empty.",
    "bytes": "This file is larger than 5 MB. Save it smaller.",
    "pixels": "This picture has more than 20 megapixels. Save it smaller.",
    "damaged": "This file is damaged and can’t be read to its end. Save it anew.",
}


class CertificateRefused(Exception):
    """A file that is not taken; says why, and what would be right."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(SENTENCES[why])


def read_certificate(content: bytes) -> tuple[bytes, str]:
    """What is kept of the file, and its type, both by its content; the name of a file says nothing.

    Raises CertificateRefused. Takes up to 20 seconds; never to be called inside a transaction.
    """
    if len(content) > LARGEST_FILE:
        raise CertificateRefused("bytes")
    if not content:
        raise CertificateRefused("empty")
    if content.startswith(PDF_BEGINS):
        if PDF_ENDS not in content[-TAIL:]:
            raise CertificateRefused("damaged")
        return content, PDF
    if not content.startswith(BEGINNINGS):
        raise CertificateRefused("kind")
    try:
        return rewrite_picture(content), PNG
    except PictureRefused as refused:
        raise CertificateRefused(refused.why) from refused
