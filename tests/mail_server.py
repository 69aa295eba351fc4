"""A real SMTP server for tests, in a thread of its own: it takes mail, refuses it, drops the line or takes its time."""

from __future__ import annotations

import asyncio
import email
import email.policy
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

OK = "250 Taken"


@dataclass
class MailServer:
    """What it has taken, and how it behaves: each rule gets the envelope and gives the answer."""

    taken: list[EmailMessage] = field(default_factory=list)
    on_recipient: Callable[[str], str] = lambda address: "250 OK"
    on_data: Callable[[EmailMessage], str] = lambda mail: OK
    delay: float = 0.0
    drop_before_answer: bool = False
    connections: int = 0
    host: str = "127.0.0.1"
    port: int = 0

    @property
    def ids(self) -> list[str]:
        """The Message-IDs of what was taken, in order, doubles and all."""
        return [str(mail["Message-ID"]) for mail in self.taken]

    async def handle_EHLO(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, hostname: str, responses: list[str]
    ) -> list[str]:
        session.host_name = hostname
        self.connections += 1
        await asyncio.sleep(self.delay)
        return responses

    async def handle_RCPT(  # noqa: N802
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        answer = self.on_recipient(address)
        if answer.startswith("2"):
            envelope.rcpt_tos.append(address)
        return answer

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:  # noqa: N802
        mail: Any = email.message_from_bytes(envelope.content or b"", policy=email.policy.default)
        answer = self.on_data(mail)
        if answer.startswith("2"):
            self.taken.append(mail)
        if self.drop_before_answer:
            server.transport.abort()
        return answer


@contextmanager
def running(server: MailServer) -> Iterator[MailServer]:
    """The server on a free port of this machine."""
    controller = Controller(server, hostname=server.host, port=free_port(), ready_timeout=20)
    server.port = controller.port
    controller.start()
    try:
        yield server
    finally:
        controller.stop()


def free_port() -> int:
    """A port on which nothing listens."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        port: int = trial.getsockname()[1]
        return port
