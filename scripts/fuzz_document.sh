#!/usr/bin/env bash
# Sends requests that schemathesis makes from the document and the demo requests to a service on this machine, a bounded number of them.
# What it shows: no request leads to a 5xx; every answer has a status, a media type, headers and a
# shape that the document promises; what does not fit the document is refused, and what fits it is refused only for what no schema
# can say (scripts/fuzz_hooks.py, in place of positive_data_acceptance and negative_data_rejection). The same requests are made in every run.
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

# requests PHASES CHECKS...
requests() {
  PYTHONDONTWRITEBYTECODE=1 timeout 2400 python/bin/schemathesis run "$document" --url "$url" --phases "$1" "${@:2}" \
    --max-examples "$examples" --generation-deterministic --request-timeout 60 --continue-on-failure --no-color
}

# Every bound and every missing field: so many that only what an answer promises is checked of them.
requests coverage --checks not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance
# schemathesis finds a file of hooks by the name of its module.
export PYTHONPATH=../scripts SCHEMATHESIS_HOOKS=fuzz_hooks
requests examples,fuzzing --checks all --exclude-checks positive_data_acceptance,negative_data_rejection
