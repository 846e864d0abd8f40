"""Serves the demonstration, arranges it, and lets schemathesis ask whatever the interface's description allows: no answer may be a
server error. Exit code 0 when none was. CADDIS_BINARY names the program; the seed is fixed, so that a failure comes again."""

import json
import os
import re
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
EXAMPLES = os.environ.get("CADDIS_CONTRACT_EXAMPLES", "20")


def main() -> int:
    binary = os.environ.get("CADDIS_BINARY", str(ROOT / "target/release/caddis"))
    with tempfile.TemporaryDirectory() as data:
        served = subprocess.Popen(
            [binary, "serve", "--data", data, "--port", "0", "--job", str(ROOT / "jobs/tindra-ridge")],
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            url = address(served)
            arrange(url)
            fuzzed = subprocess.run(
                [
                    str(Path(sys.executable).parent / "schemathesis"),
                    "--config-file",
                    str(HERE / "schemathesis.toml"),
                    "run",
                    str(ROOT / "web/api/openapi.json"),
                    "--url",
                    url,
                    "--checks",
                    "not_a_server_error",
                    "--max-examples",
                    EXAMPLES,
                    "--seed",
                    "7",
                    "--request-timeout",
                    "60",
                    "--warnings",
                    "off",
                    "--no-color",
                ],
                cwd=data,
                check=False,
            )
            if served.poll() is not None:
                print("the program ended while it was asked", file=sys.stderr)
                return 1
            return fuzzed.returncode
        finally:
            served.kill()
            served.wait()


def address(served: subprocess.Popen) -> str:
    for line in served.stderr:
        found = re.search(r"open (http://[^/]+)/", line)
        if found:
            return found.group(1)
    raise SystemExit("the program does not serve")


def arrange(url: str) -> None:
    """Drags and alternatives have nothing to answer about before there is an arrangement."""
    job = f"{url}/api/jobs/tindra-ridge"
    request = urllib.request.Request(
        f"{job}/solve?from=nothing", method="POST", headers={"content-type": "application/json"}
    )
    urllib.request.urlopen(request).read()
    while True:
        with urllib.request.urlopen(f"{job}/result") as answer:
            now = json.load(answer)
        if now.get("result"):
            return
        if now["state"] in ("failed", "impossible"):
            raise SystemExit(f"the demonstration is {now['state']}")
        time.sleep(0.5)


if __name__ == "__main__":
    sys.exit(main())
