"""Messages between two processes over a pipe: a length in four bytes, then JSON."""

import json
import struct
from typing import IO, Any


def write_message(pipe: IO[bytes], message: dict[str, Any]) -> None:
    content = json.dumps(message).encode()
    pipe.write(struct.pack(">I", len(content)) + content)
    pipe.flush()


def read_message(pipe: IO[bytes]) -> dict[str, Any]:
    """The next message; EOFError when the other side has gone, half-way through or not."""
    (length,) = struct.unpack(">I", _exactly(pipe, 4))
    message: dict[str, Any] = json.loads(_exactly(pipe, length))
    return message


def _exactly(pipe: IO[bytes], length: int) -> bytes:
    content = pipe.read(length)
    if len(content) < length:
        raise EOFError
    return content
