"""How the site is built: python -m sphinx -W -b html docs docs/_build."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from scaling.files.version import VERSION

project = "Scaling studies for small fighting robots"
release = version = VERSION
extensions = ["sphinx.ext.autodoc", "numpydoc", "site_pages"]
exclude_patterns = ["_build"]
templates_path = ["_templates"]

html_theme = "basic"
html_theme_options = {"nosidebar": True}
html_title = project
html_static_path = ["_static"]
html_css_files = ["site.css"]
html_permalinks_icon = "#"
html_copy_source = False
html_show_sourcelink = False
html_show_sphinx = False
html_show_copyright = False
html_use_index = False
html_domain_indices = False
html_show_search_summary = False  # a page opened from a folder may not fetch others
smartquotes = False  # quotes in these pages are to be typed
highlight_language = "none"  # one ink for code, which is readable on light and dark

autodoc_member_order = "bysource"
autodoc_default_options = {"exclude-members": "__init__"}
autodoc_class_signature = "separated"  # what a study hands out is not made by hand
autodoc_typehints_format = "short"
python_use_unqualified_type_names = True
numpydoc_show_class_members = False
