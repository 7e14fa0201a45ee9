"""A mailbox server for tests: just enough of IMAP (RFC 3501) for one folder, on this machine."""

import re
import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field


@dataclass
class Mailbox:
    """The mails of a folder, and which of them were seen; `refuses` names commands that are answered NO."""

    mails: list[bytes]
    seen: set[int] = field(default_factory=set)
    refuses: set[str] = field(default_factory=set)
    port: int = 0

    def answer(self, command: str, words: str) -> Iterator[bytes]:
        if command == "CAPABILITY":
            yield b"* CAPABILITY IMAP4rev1\r\n"
        elif command == "SELECT":
            yield f"* {len(self.mails)} EXISTS\r\n".encode()
        elif command == "UID SEARCH":
            unseen = [str(number) for number in range(1, len(self.mails) + 1) if number not in self.seen]
            yield f"* SEARCH {' '.join(unseen)}\r\n".encode()
        elif command == "UID FETCH":
            number, most = map(int, re.match(r"(\d+) \(BODY\.PEEK\[\]<0\.(\d+)>\)", words).groups())
            mail = self.mails[number - 1][:most]
            yield f"* {number} FETCH (UID {number} BODY[]<0> {{{len(mail)}}}\r\n".encode() + mail + b")\r\n"
        elif command == "UID STORE":
            self.seen.add(int(words.split()[0]))
        elif command == "LOGOUT":
            yield b"* BYE\r\n"


class _Talk(socketserver.StreamRequestHandler):
    def handle(self) -> None:
        self.wfile.write(b"* OK ready\r\n")
        for line in self.rfile:
            tag, _, rest = line.decode().strip().partition(" ")
            command, words = re.match(r"(UID \w+|\w+) ?(.*)", rest).groups()
            is_refused = command in self.server.mailbox.refuses
            for untagged in () if is_refused else self.server.mailbox.answer(command, words):
                self.wfile.write(untagged)
            self.wfile.write(f"{tag} {'NO refused' if is_refused else 'OK done'}\r\n".encode())
            if command == "LOGOUT":
                return


@contextmanager
def mailbox_server(*mails: bytes) -> Iterator[Mailbox]:
    mailbox = Mailbox(list(mails))
    with socketserver.ThreadingTCPServer(("127.0.0.1", 0), _Talk) as server:
        server.mailbox, mailbox.port = mailbox, server.server_address[1]
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
        thread.start()
        yield mailbox
        server.shutdown()
        thread.join()
