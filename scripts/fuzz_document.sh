#!/usr/bin/env bash
# Sends requests that schemathesis makes from the document and the demo requests to a service on this machine, a bounded number of them.
# What it shows: no request leads to a 5xx, and every answer has a status, a media type and a shape that the document
# promises. The same requests are made in every run.
#
# Usage: fuzz_document.sh http://127.0.0.1:PORT [EXAMPLES]
set -euo pipefail
cd "$(dirname "$0")/.."
document=$PWD/.checks/document-with-demo-requests.json
.checks/python/bin/python -B scripts/document.py openapi/openapi.json >"$document"
cd .checks # where it may leave its notes
url=${1:?the address of the service}
examples=${2:-20}
case $url in
  http://127.0.0.1:* | http://localhost:*) ;;
  *) echo "$url is not on this machine"; exit 2 ;;
esac

timeout 600 python/bin/schemathesis run "$document" --url "$url" \
  --phases examples,coverage,fuzzing \
  --checks not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance \
  --max-examples "$examples" --generation-deterministic \
  --request-timeout 60 --continue-on-failure --no-color
