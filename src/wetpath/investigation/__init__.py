"""Why a pump failed: rival mechanisms weighed by what was found and by what its rating allows."""
