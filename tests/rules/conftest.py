"""The asserts that all tables share tell what was compared, as those of a test module do."""

import pytest

pytest.register_assert_rewrite("tests.rules.tables")
