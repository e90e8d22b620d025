# The few words of this project; people and CI use the same ones.
PY := .venv/bin/python

.PHONY: demo setup check format test fast bench docs oracles case new-test real-log clean

demo: setup          ## build the demo plant, run the job on it, open its audits in the application
	.venv/bin/witnessmark demo

setup:               ## make .venv from the lock (needs python3 and pip only)
	@python3 scripts/bootstrap.py

check: setup         ## format, lint, types, layers, SQL, docs freshness
	@$(PY) scripts/check.py

format: setup        ## put code and SQL into shape
	.venv/bin/ruff format src tests scripts
	.venv/bin/ruff check --fix --exit-zero src tests scripts
	$(PY) scripts/format_sql.py

test: check          ## everything: the checks above, then all tests
	$(PY) scripts/run_tests.py

fast: setup          ## the quick loop while writing
	.venv/bin/pytest -n 2 -m "not browser" tests

bench: setup         ## measure a plant-year, the statistics and the application; writes docs/bench*.md
	PYTHONPATH=tests/web $(PY) -m bench.web
	@python3 scripts/bootstrap.py --bench
	.venv-bench/bin/python -m bench.statistics
	.venv-bench/bin/python -m bench

oracles: setup       ## install the independent libraries that some tests compare with
	@python3 scripts/bootstrap.py --oracles

docs: setup          ## write the generated pages anew
	$(PY) scripts/make_docs.py

case: setup          ## run one case file: make case F=tests/record_tests/cases/gauge-overdue.md
	.venv/bin/witnessmark case $(F)

new-test: setup      ## start a new record test: make new-test N=checks/my-slug
	$(PY) scripts/new_test.py $(N)

real-log: setup      ## run the job on the machine-shop log: make real-log F=path/to/feedback_export_cp1252.csv
	$(PY) scripts/real_log.py $(F)

clean:
	rm -rf .venv .venv-bench .uv-boot out .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache .sqlfluff_cache
