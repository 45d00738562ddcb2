#!/usr/bin/env bash
# A check for CI: findings of outage and worse stop it, and so does a file that can't be read.
set -euo pipefail
settingslint check . --stop-at outage --form text
