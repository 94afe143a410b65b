"""What `manage.py setup` prints at its end: what the machine's own programs must be told."""

import getpass
import sys
from pathlib import Path
from urllib.parse import urlsplit

PROXY = """\
# For nginx: the proxy that speaks https and passes on to the board.
server {{
    listen 443 ssl;
    server_name {host};
    ssl_certificate     /etc/letsencrypt/live/{host}/fullchain.pem;
    ssl_certificate_key /etc/letsencrypt/live/{host}/privkey.pem;
    client_max_body_size 64m;
    location / {{
        proxy_pass http://127.0.0.1:{port};
        proxy_set_header Host $host;
        proxy_set_header X-Forwarded-For $remote_addr;
        proxy_set_header X-Forwarded-Proto $scheme;
    }}
}}
server {{
    listen 80;
    server_name {host};
    return 301 https://$host$request_uri;
}}
"""

UNIT = """\
# For systemd: /etc/systemd/system/hoof-case-board.service
[Unit]
Description=Hoof case board
After=network-online.target

[Service]
User={user}
WorkingDirectory={folder}
ExecStart={python} manage.py serve --port {port}
Restart=always
UMask=0077
NoNewPrivileges=true
ProtectSystem=strict
ReadWritePaths={data}
PrivateTmp=true

[Install]
WantedBy=multi-user.target
"""

NIGHTLY = """\
# For cron: a backup each night at four, the last fourteen kept, on another disk if there is one.
0 4 * * * cd {folder} && {python} manage.py backup {data}/backups --keep 14
"""


def proxy_block(site_url: str, port: int) -> str:
    return PROXY.format(host=urlsplit(site_url).hostname, port=port)


def service_unit(folder: Path, data: Path, port: int) -> str:
    return UNIT.format(
        user=getpass.getuser(), folder=folder, data=data, port=port, python=sys.executable
    )


def backup_line(folder: Path, data: Path) -> str:
    return NIGHTLY.format(folder=folder, data=data, python=sys.executable)
