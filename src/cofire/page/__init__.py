"""The workbench: the answers of ``studio`` and the pictures of ``show`` on a local page.

Routes, pages, who may come in, and drafts. No chemistry here, and none in the page's script.
"""
