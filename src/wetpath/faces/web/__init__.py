"""The web application: one view a question, one frame, no physics."""

import os

from wetpath.services.projects import data_folder

# Read by the web library when it is first imported; without it, its files land in the folder the user happens to be in.
os.environ.setdefault("NICEGUI_STORAGE_PATH", str(data_folder() / "web"))
