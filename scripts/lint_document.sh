#!/usr/bin/env bash
# Two independent linters on the committed document: no error and no warning is let pass.
# Their rules: redocly.yaml (Redocly's recommended set, warnings as errors) and .spectral.yaml (Spectral's OpenAPI set).
set -euo pipefail
cd "$(dirname "$0")/.."
tools=.checks/node/node_modules/.bin

export REDOCLY_TELEMETRY=off REDOCLY_SUPPRESS_UPDATE_NOTICE=true
"$tools/redocly" lint --config redocly.yaml openapi/openapi.json
"$tools/spectral" lint --ruleset .spectral.yaml --fail-severity hint openapi/openapi.json
