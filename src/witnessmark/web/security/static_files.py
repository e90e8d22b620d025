"""Style sheets and scripts under names that change with their content."""

from whitenoise.storage import (  # type: ignore[import-untyped]  # it ships no types
    CompressedManifestStaticFilesStorage,
)


class HashedNames(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # its base carries no types
    """Hashed names, also where one module imports another."""

    support_js_module_import_aggregation = True
